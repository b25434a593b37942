"""What a person enters: taken as typed, or refused with what to write instead."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from restonb.build import Build
from restonb.errors import BuildError, PositionError, QuantityError, RecordError
from restonb.record import (
    Record,
    enter_check,
    enter_disturb,
    enter_joint,
    enter_note,
    enter_part,
    enter_photo,
    enter_reading,
    enter_readings,
    enter_strike,
    enter_usage,
    enter_work,
    in_force,
    readings,
)


def test_a_reading_is_kept_as_typed(record: Record, build: Build) -> None:
    entry = enter_reading(
        record, build, "gearbox", "gap", "3", "2 thou", occasion="as left", temperature="68 degF", note="cold"
    )
    assert entry.body == {
        "sheet": "gearbox",
        "characteristic": "gap",
        "position": "foot 3",
        "value": "2",
        "unit": "thou",
        "typed": "2 thou",
        "resolution": "1",
        "instrument": "feeler",
        "occasion": "as left",
        "temperature": "20",
        "note": "cold",
    }
    (reading,) = readings(record)
    assert (reading.value, reading.unit, reading.resolution, reading.temperature) == (2.0, "thou", 1.0, 20.0)
    assert (reading.seq, reading.at) == (entry.seq, entry.at)


@pytest.mark.parametrize(("typed", "value"), [("1/64 in", "0.015625"), ("1e-5 mm", "0.00001"), (".05", "0.05")])
def test_every_way_to_type_a_value_becomes_plain_decimals(record: Record, build: Build, typed: str, value: str) -> None:
    assert enter_reading(record, build, "gearbox", "gap", "1", typed).body["value"] == value


def test_another_gauge_than_the_usual(record: Record, build: Build) -> None:
    assert enter_reading(record, build, "gearbox", "lift", "once", "0.01").body["instrument"] == "dial"
    other = enter_reading(record, build, "gearbox", "lift", "once", "0.01", instrument="calliper")
    assert other.body["instrument"] == "calliper"


@pytest.mark.parametrize(
    ("what", "error", "message"),
    [
        (("gearbx", "gap", "1", "0.05"), BuildError, "write 'gearbox'"),
        (("gearbox", "gaps", "1", "0.05"), BuildError, "write 'gap'"),
        (("gearbox", "gap", "9", "0.05"), PositionError, "write one of foot 1, foot 2, foot 3, foot 4"),
        (("shaft", "worked", "1", "0.05"), PositionError, "enter the readings of diameter instead"),
        (("gearbox", "gap", "1", "0,05"), QuantityError, r"write '0\.05'"),
        (("gearbox", "gap", "1", "5 V"), QuantityError, "length is wanted: write it in mm"),
        (("gearbox", "gap", "1", ""), QuantityError, "write"),
        (("gearbox", "gap", "1", "-0.05"), RecordError, "a gap cannot be negative: write 0 mm for touching, or 0"),
        (("shaft", "diameter", "A", "-20 mm"), RecordError, "a diameter cannot be negative: write 20 mm"),
        (("chain", "run", "over 20 links", "-254"), RecordError, "a length cannot be negative: write 254 mm"),
        (("charging", "coil", "once", "-1.7"), RecordError, r"a resistance cannot be negative: write 1\.7 ohm"),
    ],
)
def test_a_reading_is_refused_with_what_to_write(
    record: Record, build: Build, what: tuple[str, str, str, str], error: type[Exception], message: str
) -> None:
    with pytest.raises(error, match=message):
        enter_reading(record, build, *what)
    assert record.head() is None


@pytest.mark.parametrize(
    "what",
    [
        ("gearbox", "lift", "once", "-0.03"),
        ("wheel", "run_out", "6:00", "-0.2"),
        ("charging", "voltage", "once", "-12.6 V"),
        ("gearbox", "gap", "1", "0"),
    ],
)
def test_movement_run_out_and_reversed_leads_may_be_negative(
    record: Record, build: Build, what: tuple[str, str, str, str]
) -> None:
    assert float(enter_reading(record, build, *what).body["value"]) <= 0


def test_unknown_gauges_empty_occasions_and_wrong_temperatures(record: Record, build: Build) -> None:
    with pytest.raises(RecordError, match=r"no instrument 'feelr' in instruments\.csv: write 'feeler'"):
        enter_reading(record, build, "gearbox", "gap", "1", "0.05", instrument="feelr")
    with pytest.raises(RecordError, match="say the occasion: write for example 'as found'"):
        enter_reading(record, build, "gearbox", "gap", "1", "0.05", occasion=" ")
    with pytest.raises(QuantityError, match="temperature is wanted"):
        enter_reading(record, build, "gearbox", "gap", "1", "0.05", temperature="20 mm")
    assert record.head() is None


def test_several_positions_are_all_taken_or_none(record: Record, build: Build) -> None:
    with pytest.raises(QuantityError, match="'x'"):
        enter_readings(record, build, "gearbox", "gap", {"1": "0.05", "2": "x"})
    assert record.head() is None
    entries = enter_readings(record, build, "gearbox", "gap", {"1": "0.05", "2": "0"})
    assert [(e.seq, e.body["position"]) for e in entries] == [(1, "foot 1"), (2, "foot 2")]


def test_a_mistake_is_struck_and_both_stay(record: Record, build: Build) -> None:
    enter_reading(record, build, "gearbox", "gap", "1", "0.04")
    enter_reading(record, build, "gearbox", "gap", "1", "0.40")
    entry = enter_strike(record, 2, "read the wrong leaf")
    assert entry.body == {"seq": 2, "why": "read the wrong leaf"}
    assert [r.value for r in in_force(record)] == [0.04]
    assert [r.value for r in in_force(record, as_of=2)] == [0.40]
    assert [e.kind for e in record.entries()] == ["reading", "reading", "strike"]


@pytest.mark.parametrize(
    ("seq", "why", "message"),
    [
        (1, "again", "entry 1 was struck already, by entry 2: nothing is left to do"),
        (2, "no", "entry 2 is a strike, which cannot be struck: enter again what it struck"),
        (3, "no", "entry 3 is a run, which cannot be struck: run the template again"),
        (4, " ", "say why it is struck"),
        (5, "no", "there is no entry 5: write a number from 1 to 4"),
        (0, "no", "there is no entry 0"),
        (True, "no", "there is no entry True"),
    ],
)
def test_what_cannot_be_struck(record: Record, build: Build, seq: int, why: str, message: str) -> None:
    enter_reading(record, build, "gearbox", "gap", "1", "0.04")
    enter_strike(record, 1, "wrong leaf")
    record.append("run", {"template": "t", "sheet": "gearbox", "state": "good"})
    enter_note(record, build, "a")
    with pytest.raises(RecordError, match=message):
        enter_strike(record, seq, why)
    assert record.upto(None) == 4


def test_joints(record: Record, build: Build) -> None:
    entry = enter_joint(
        record,
        build,
        "gearbox",
        "tightened",
        why="after shims",
        label="yellow tag",
        waiting="cure",
        until="2026-03-02",
        fasteners=[
            {"position": 1, "torque": "24 N m", "treatment": "threadlocker", "new": True},
            {"position": 2, "torque": "17.7", "unit": "ft-lb"},
        ],
    )
    first, second = entry.body["fasteners"]
    assert (first["position"], first["torque"], first["unit"], first["new"]) == ("1", "24", "N m", True)
    assert (second["torque"], second["unit"]) == ("17.7", "ft-lb")
    assert entry.body["until"] == "2026-03-02"
    enter_disturb(record, build, "gearbox", "loosened", "check the shims")
    with pytest.raises(BuildError, match="write 'gearbox'"):
        enter_disturb(record, build, "gearbx", "loosened")
    with pytest.raises(RecordError, match="write one of 'loosened', 'removed', 'replaced'"):
        enter_disturb(record, build, "gearbox", "undone")
    with pytest.raises(RecordError, match="write one of 'apart', 'dry-fitted', 'temporary', 'tightened', 'final'"):
        enter_joint(record, build, "gearbox", "done")
    with pytest.raises(RecordError, match="is a force, not a torque: write it as '24 N m'"):
        enter_joint(record, build, "gearbox", "tightened", fasteners=[{"torque": "24 N"}])
    with pytest.raises(RecordError, match="a torque cannot be negative"):
        enter_joint(record, build, "gearbox", "tightened", fasteners=[{"torque": "-24 N m"}])
    with pytest.raises(RecordError, match="is no date: write it as 2026-03-14"):
        enter_joint(record, build, "gearbox", "tightened", waiting="cure", until="tomorrow")
    with pytest.raises(RecordError, match="write one of 'part', 'cure', ''"):
        enter_joint(record, build, "gearbox", "tightened", waiting="Godot")


def test_the_rest(record: Record, build: Build) -> None:
    assert enter_check(record, build, "dial", False, "5 mm gauge block").body["good"] is False
    assert enter_usage(record, 12034.5, "km").body["value"] == "12034.5"
    assert enter_part(record, build, "stud nut", "ordered", 4, strength="8.8", joint="gearbox").body["class"] == "8.8"
    assert (
        enter_work(
            record, build, "face the mounting", where="machine shop", state="sent", hours=1.5, sheet="gearbox"
        ).body["hours"]
        == "1.5"
    )
    with pytest.raises(RecordError, match=r"no instrument 'dail'.*write 'dial'"):
        enter_check(record, build, "dail", True)
    with pytest.raises(RecordError, match="write what the odometer or the hour meter shows"):
        enter_usage(record, -1)
    with pytest.raises(RecordError, match="no sheet 'gearbx': write 'gearbox'"):
        enter_note(record, build, "a", sheet="gearbx")
    with pytest.raises(RecordError, match="write one of 'wanted', 'ordered', 'fitted'"):
        enter_part(record, build, "nut", "lost")


def test_a_photo_is_kept_by_its_content(record: Record, build: Build, tmp_path: Path) -> None:
    content = b"\xff\xd8 not really a photo"
    original = tmp_path / "IMG 1.JPG"
    original.write_bytes(content)
    entry = enter_photo(record, build, original, "left foot", sheet="gearbox")
    digest = hashlib.sha256(content).hexdigest()
    assert (entry.body["file"], entry.body["sha256"]) == (f"photos/{digest}.jpg", digest)
    kept = build.folder / entry.body["file"]
    assert kept.read_bytes() == original.read_bytes() == content
    again = enter_photo(record, build, original, "once more")
    assert again.body["file"] == entry.body["file"]
    assert [p.name for p in build.photos.iterdir()] == [kept.name]
    with pytest.raises(RecordError, match=r"cannot be kept .*write the path of a photo"):
        enter_photo(record, build, tmp_path / "none.jpg")
    (tmp_path / "empty.jpg").touch()
    with pytest.raises(RecordError, match="is empty: take the photo again"):
        enter_photo(record, build, tmp_path / "empty.jpg")
