"""instruments.csv: gauges, their resolution and error, and when they were last checked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from restonb.errors import BuildError, Mistake
from restonb.stated import Build

HEADER = "instrument,what,unit,resolution,error,expansion,last_check,source"
Told = Callable[..., list[Mistake]]


def gauges(folder: Path, *rows: str) -> Build:
    (folder / "instruments.csv").write_text("\n".join((HEADER, *rows)) + "\n", encoding="utf-8")
    return Build.open(folder)


def test_a_gauge_is_taken_as_written(folder: Path) -> None:
    build = gauges(folder, 'calliper,"calliper, 150 mm",mm,0.01,±0.03 mm,11.5e-6,2025-10-04,data sheet')
    found = build.instruments["calliper"]
    assert (found.what, found.unit) == ("calliper, 150 mm", "mm")
    assert (found.resolution, found.error, found.expansion) == (0.01, 0.03, 11.5e-6)
    gauge = build.gauges["calliper"]
    assert (gauge.last_check, gauge.source, gauge.line) == (date(2025, 10, 4), "data sheet", 2)


def test_what_is_not_known_is_none(folder: Path) -> None:
    found = gauges(folder, "rule,steel rule,mm,,,,,").instruments["rule"]
    assert (found.resolution, found.error, found.expansion) == (None, None, None)


def test_errors_are_differences_and_take_any_unit(folder: Path) -> None:
    """1.8 degF is 1 degC of difference; 0.001 in is 0.0254 mm; 11.5 um/m/K is 11.5e-6 per kelvin."""
    found = gauges(
        folder, "warm,thermometer,degC,0.1,1.8 degF,,,", "dial,dial,mm,0.001 in,0.5 thou,11.5 um/m/K,,"
    ).instruments
    assert found["warm"].error == pytest.approx(1.0)
    assert found["dial"].resolution == pytest.approx(0.0254)
    assert found["dial"].error == pytest.approx(0.0127)
    assert found["dial"].expansion == pytest.approx(11.5e-6)


@pytest.mark.parametrize(
    ("error", "fixed", "percent"),
    [
        ("4 %", 0.0, 4.0),
        ("0.5 % + 2 digits", 0.02, 0.5),
        ("±(0.5 % of reading + 2 digits)", 0.02, 0.5),
        ("+/- (0.2% rdg + 1 dgt)", 0.01, 0.2),
        ("1 % + 30 mV", 0.03, 1.0),
        ("3 counts", 0.03, 0.0),
        ("0.04", 0.04, 0.0),
        ("1e-3 V", 0.001, 0.0),
    ],
)
def test_an_error_in_per_cent_of_the_reading_and_digits(folder: Path, error: str, fixed: float, percent: float) -> None:
    """A digit is one step of what the meter shows, 0.01 V here."""
    found = gauges(folder, f'meter,multimeter,V,0.01,"{error}",,,').instruments["meter"]
    assert found.error == pytest.approx(fixed)
    assert found.percent == pytest.approx(percent)


def test_a_gauge_of_a_ratio_says_which_per_cent_it_means(folder: Path) -> None:
    found = gauges(folder, "a,a,%,0.1,2 %,,,", "b,b,%,0.1,2 % of reading,,,").instruments
    assert (found["a"].error, found["a"].percent) == (2.0, 0.0)
    assert (found["b"].error, found["b"].percent) == (0.0, 2.0)


MISTAKES = [
    ("c,c,V,,1 % + 2 digits,,,", "error '1 % + 2 digits'", "write the resolution too"),
    ("c,c,V,0.01,1 % + 2 sparks,,,", "'sparks'", "V"),
    ("c,c,V,0.01,1 % + 2,,,", "error '1 % + 2'", "'+ 2 digits' or '+ 2 V'"),
    ("c,c,V,0.01,150 %,,,", "error '150 %'", "% of the reading"),
    ("Calliper 1,c,mm,0.01,0.03,,,", "instrument 'Calliper 1'", "write 'calliper_1'"),
    ("c,c,milimetr,0.01,0.03,,,", "'milimetr'", "mm"),
    ("c,c,mm,0,0.03,,,", "resolution 0", "smallest step"),
    ("c,c,mm,-0.01,0.03,,,", "resolution '-0.01' below zero", "without a sign"),
    ("c,c,mm,0.01,0.03 V,,,", "'0.03 V'", "mm"),
    ("c,c,mm,0.01,2 % of range,,,", "'2 % of range'", "mm"),
    ("c,c,mm,0.01,0.03,11.5,,", "expansion '11.5'", "11.5e-6"),
    ("c,c,mm,0.01,0.03,,14.3.2026,", "date '14.3.2026'", "2026-03-14"),
    ("c,c,mm,0.01,0.03,,2026-02-30,", "date '2026-02-30'", "year-month-day"),
    ("c,,mm,0.01,0.03,,,", "no words for 'c'", "which gauge"),
]


@pytest.mark.parametrize(("row", "found", "write"), MISTAKES, ids=[f for _, f, _ in MISTAKES])
def test_a_mistake_in_a_row(told: Told, row: str, found: str, write: str) -> None:
    (mistake,) = told("instruments.csv", HEADER, row)
    assert found in mistake.found
    assert write in mistake.write
    assert (mistake.file, mistake.line) == ("instruments.csv", 2)


def test_a_name_twice_points_at_the_first(told: Told) -> None:
    (mistake,) = told("instruments.csv", HEADER, "c,one,mm,0.01,0.03,,,", "c,two,mm,0.01,0.03,,,")
    assert (mistake.line, mistake.column) == (3, 1)
    assert mistake.write == "rename it; the first is in line 2"


def test_an_unknown_error_is_a_warning(told: Told) -> None:
    (warning,) = told("instruments.csv", HEADER, "c,one,mm,0.01,,,,", warnings=True)
    assert warning.found == "no error for 'c'"


def test_a_missing_file_is_told_with_its_header(folder: Path) -> None:
    (folder / "instruments.csv").unlink()
    with pytest.raises(BuildError, match=f"instruments.csv: found no such file; create it with the header: {HEADER}"):
        Build.open(folder).instruments  # noqa: B018 - reading it is the test


def test_specs_are_checked_even_when_the_instruments_cannot_be_read(folder: Path, told: Told) -> None:
    (folder / "instruments.csv").write_text("nonsense\n")
    found = told(
        "specs/drivetrain.csv",
        "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source",
        "g,a,w,once,,2,1,,mm,whatever,,x",
    )
    assert [(m.file, m.found) for m in found if m.file.startswith("specs")] == [
        ("specs/drivetrain.csv", "upper '1' below lower '2'")
    ]
    assert any(m.file == "instruments.csv" for m in found)
