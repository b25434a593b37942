"""What `read` says back: what was taken, what it replaces, what looks like a slip, and what there is to measure."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path


def test_what_was_typed_keeps_its_decimals(build: Path, say: Callable) -> None:
    out = say("read", "toy", "gap", "1=0.010", "2=1/64 in", "3=2 thou").out
    for words in ("foot 1: read as 0.010 mm,", "foot 2: read as 0.015625 in,", "foot 3: read as 2 thou,"):
        assert words in out


def test_a_reading_in_place_of_another_is_said(build: Path, say: Callable) -> None:
    assert "in place of" not in say("read", "toy", "gap", "1=0.02").out
    assert "as found, in place of 0.02 mm (entry 1)" in say("read", "toy", "gap", "1=0.03").out
    assert "in place of" not in say("read", "toy", "gap", "1=0", "--occasion", "after rework").out


def test_a_slip_is_taken_and_remarked_on(build: Path, say: Callable) -> None:
    said = say("read", "toy", "gap", "1=25", "2=0.2")
    assert said.code == 0
    assert said.out.count("look again") == 1
    assert "25 mm is far from the upper limit 0.05 mm" in said.out
    assert "restonb read --strike 1 --why" in said.out


def test_a_sheet_is_listed_with_limits_and_gauge(build: Path, say: Callable) -> None:
    spec = build / "specs" / "drivetrain.csv"
    spec.write_text(spec.read_text() + "toy,most,most of the gaps,spread of gap,,,0.1,,mm,,,book\n")
    say("read", "toy", "gap", "foot 2=10 thou")
    out = say("read", "toy").out
    assert "gap: gap under foot; 0 to 0.05 mm; feeler\n  foot 1  not measured\n  foot 2  10 thou (as found" in out
    assert "lift: rise at the middle; no limit, in mm\n  not measured" in out
    assert "most: most of the gaps; to 0.1 mm; worked out: spread of gap" in out


def test_values_without_a_place_are_told_the_places_of_that_row(build: Path, say: Callable) -> None:
    for words in (("0.1",), ("0.1", "0.2")):
        assert "such as 'foot 1=0.25 mm'; there are foot 1, foot 2" in say("read", "toy", "gap", *words).err
    assert "one value for lift, not 2" in say("read", "toy", "lift", "0.1", "mm").err


def test_a_strike_answers_in_json_too(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0.3")
    assert say("read", "--strike", "1", "--why", "wrong leaf", "--json").data["seq"] == 1


def test_what_is_counted_is_whole_and_has_no_unit(build: Path, say: Callable) -> None:
    spec = build / "specs" / "drivetrain.csv"
    spec.write_text(spec.read_text() + "toy,faults,faults found,once,,,0,,count,,,\n")
    assert "faults: read as 2, as found" in say("read", "toy", "faults", "2").out
    assert "\n  2 (as found" in say("read", "toy", "faults").out
    for wrong in ("1.5", "-1"):
        assert "what is counted is a whole number from 0 up" in say("read", "toy", "faults", wrong).err
