"""What a person enters: taken as typed, or refused with what to write instead."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import pytest
from PIL import Image

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
    known_occasions,
    open_ends,
    readings,
)
from restonb.record.meters import usage_totals
from restonb.record.views import unstruck
from restonb.stated import Build


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
        (("gearbox", "gap", "9", "0.05"), PositionError, "write one of foot 1, foot 2, foot 3 or foot 4"),
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
    with pytest.raises(RecordError, match="is not a date: write it as 2026-03-14"):
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
    original = tmp_path / "IMG 1.JPG"
    Image.new("RGB", (40, 30), "grey").save(original, "JPEG")
    content = original.read_bytes()
    entry = enter_photo(record, build, original, "left foot", sheet="gearbox")
    digest = hashlib.sha256(content).hexdigest()
    assert (entry.body["file"], entry.body["sha256"]) == (f"photos/{digest}.jpg", digest)
    kept = build.folder / entry.body["file"]
    assert kept.read_bytes() == original.read_bytes() == content
    again = enter_photo(record, build, original, "once more")
    assert again.body["file"] == entry.body["file"]
    assert [p.name for p in build.photos.iterdir()] == [kept.name]


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP"])
def test_every_usual_kind_of_picture_is_taken(record: Record, build: Build, tmp_path: Path, form: str) -> None:
    original = tmp_path / "photo"
    Image.new("RGB", (40, 30), "grey").save(original, form)
    kept = build.folder / enter_photo(record, build, original).body["file"]
    assert kept.read_bytes() == original.read_bytes()


def whole_jpeg() -> bytes:
    out = io.BytesIO()
    Image.effect_noise((200, 150), 50).convert("RGB").save(out, "JPEG")
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        (
            "notes.txt",
            b"gap 0.05, shim behind foot 3",
            r"notes\.txt is not a whole picture: choose a photo, saved as JPEG",
        ),
        ("fake.jpg", b"\xff\xd8 not really a photo", "is not a whole picture"),
        ("cut.jpg", whole_jpeg()[:2000], "is not a whole picture"),
        ("drawing.svg", b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is not a whole picture"),
        ("page.jpg", b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n", "is not a whole picture"),
        # ISO/IEC 14496-12: a file begins with a box of its type; 'heic' and 'mif1' are the brands of ISO/IEC 23008-12.
        ("IMG_1.HEIC", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "is an HEIC picture.*: save it as JPEG"),
        ("IMG_2.jpg", b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic", "is an HEIC picture.*: save it as JPEG"),
        ("empty.jpg", b"", "is empty: take the photo again"),
        ("none.jpg", None, r"cannot be read \(No such file or directory\): write the path of a photo"),
    ],
)
def test_what_is_no_picture_is_refused_and_nothing_is_copied(
    record: Record, build: Build, tmp_path: Path, name: str, content: bytes | None, message: str
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    with pytest.raises(RecordError, match=message):
        enter_photo(record, build, tmp_path / name)
    assert record.head() is None
    assert not build.photos.exists() or not list(build.photos.iterdir())


def test_a_folder_is_no_photo(record: Record, build: Build, tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="write the path of a photo"):
        enter_photo(record, build, tmp_path)


def test_a_meter_never_goes_back(record: Record, build: Build) -> None:
    enter_usage(record, 41210)
    with pytest.raises(
        RecordError, match=r"41200 mile is less than the 41210 mile of entry 1 \(2026-03-01\): .*strike"
    ):
        enter_usage(record, 41200)
    with pytest.raises(RecordError, match=r"66319 km is less than the 41210 mile"):
        enter_usage(record, "66319 km")  # 41 210 mile x 1.609344 km/mile = 66 321.1 km
    enter_usage(record, "66322 km")
    enter_usage(record, "3.5 h")  # the hour meter is another one
    with pytest.raises(RecordError, match=r"3 h is less than the 3\.5 h of entry 3"):
        enter_usage(record, "3 h")
    assert [e.body["unit"] for e in record.entries("usage")] == ["mile", "km", "h"]


def test_a_meter_read_wrong_is_struck_and_one_exchanged_counts_on(record: Record, build: Build) -> None:
    enter_usage(record, 1000)
    enter_usage(record, 12000)
    enter_strike(record, 2, "a digit too many")
    enter_usage(record, 1200)
    enter_usage(record, 0, replaced="speedometer exchanged")
    enter_usage(record, "160.9344 km")
    with pytest.raises(RecordError, match=r"is less than the 160\.9344 km of entry 6"):
        enter_usage(record, 99)
    assert usage_totals(unstruck(record, "usage"), "mile") == [
        (1, 1000),
        (4, 1200),
        (5, 1200),
        (6, pytest.approx(1300)),
    ]
    assert usage_totals(unstruck(record, "usage"), "h") == []


def test_tightening_again_comes_due_across_an_exchange(record: Record, build: Build) -> None:
    enter_usage(record, 1000)
    enter_joint(record, build, "gearbox", "tightened")
    enter_usage(record, 1300)
    enter_usage(record, 0, replaced="speedometer exchanged")
    enter_usage(record, "300 km")
    (end,) = (e for e in open_ends(record, build) if e.kind == "retighten")
    assert (end.due, end.text) == (False, "gearbox: tighten again after 500 mile (486 mile so far)")  # 300 + 186.4
    enter_usage(record, 201)
    (end,) = (e for e in open_ends(record, build) if e.kind == "retighten")
    assert end.due


def test_an_occasion_is_a_known_one_or_plainly_another(record: Record, build: Build) -> None:
    def enter(occasion: str, new: bool = False) -> str:
        entry = enter_reading(record, build, "gearbox", "gap", "1", "0.05", occasion=occasion, new_occasion=new)
        return str(entry.body["occasion"])

    assert enter("As-Found ") == "as found"
    assert enter("after  rework") == "after rework"
    for slip, meant in (("as fond", "as found"), ("afer rework", "after rework"), ("as lef", "as left")):
        with pytest.raises(RecordError, match=f"no occasion '{slip}' so far, did you mean '{meant}'"):
            enter(slip)
    assert enter("after 500 miles") == "after 500 miles"
    assert enter("after 1000 miles") == "after 1000 miles"  # another number is another occasion
    assert enter("after 500 Miles") == "after 500 miles"
    with pytest.raises(RecordError, match="did you mean 'after 500 miles'"):
        enter("afer 500 miles")
    with pytest.raises(RecordError, match="did you mean 'as left'"):
        enter_readings(record, build, "gearbox", "gap", {"1": "0.05"}, occasion="as lift")
    assert enter("as lift", new=True) == "as lift"
    assert enter("as lift") == "as lift"


def test_an_occasion_known_from_another_sheet_is_known_and_one_struck_is_not(record: Record, build: Build) -> None:
    enter_reading(record, build, "wheel", "run_out", "6:00", "0.2", occasion="spring service")
    with pytest.raises(RecordError, match="did you mean 'spring service'"):
        enter_reading(record, build, "gearbox", "gap", "1", "0.05", occasion="spring servise")
    enter_strike(record, 1, "wrong occasion")
    entry = enter_reading(record, build, "gearbox", "gap", "1", "0.05", occasion="spring servise")
    assert known_occasions(record)[-1] == entry.body["occasion"] == "spring servise"
