"""What stays at home: not in any file of the bag, in no form, unless it was asked for; and the document says so."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zlib
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from restonb.errors import HandoverError
from restonb.handover import CHOICES, hand_over, preview
from restonb.handover.photos import derive_all
from restonb.handover.tables import Field, cell, write_table


def everything(folder: Path) -> str:
    """All that stands in the files, also inside the streams of the PDF."""
    out = []
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        data = path.read_bytes()
        out.append(data.decode("utf-8", "replace"))
        if path.suffix == ".pdf":
            for part in data.split(b"stream\n")[1:]:
                try:
                    out.append(zlib.decompressobj().decompress(part).decode("utf-8", "replace"))
                except zlib.error:
                    continue
    return "\n".join(out)


def test_nothing_private_leaves_unasked(export: Any, private: dict[str, str]) -> None:
    said = everything(export.folder)
    for choice, text in private.items():
        assert text not in said, choice
    assert "SecretCamera" not in said


@pytest.mark.parametrize("choice", ["costs", "addresses", "who", "private notes"])
def test_what_is_asked_for_leaves_and_nothing_else(
    filled: Any, private: dict[str, str], tmp_path: Path, choice: str
) -> None:
    made = hand_over(filled.build, filled.record, tmp_path, include=[choice])
    said = everything(made.folder)
    for other, text in private.items():
        assert (text in said) == (other == choice), other


def test_a_cost_that_was_left_out_cannot_be_guessed(export: Any, filled: Any, private: dict[str, str]) -> None:
    """Whoever knows all the rest of a part still cannot try amounts until the digest of its body fits."""
    lines = (export.folder / "data" / "entries.jsonl").read_text(encoding="utf-8").splitlines()
    part = next(line for line in map(json.loads, lines) if line["sealed"]["kind"] == "part")
    assert part["withheld"] == ["cost", "currency", "salt"]
    guess = {**part["body"], "cost": private["costs"], "currency": "GBP"}
    salt = filled.record.entry(part["sealed"]["seq"]).body["salt"]
    for more, fits in (({}, False), ({"salt": ""}, False), ({"salt": salt}, True)):
        said = hashlib.sha256(rfc8785.dumps({**guess, **more})).hexdigest()
        assert (said == part["sealed"]["body"]) == fits


def test_what_was_left_out_is_said_in_the_document(export: Any, whole_export: Any) -> None:
    def front(made: Any) -> str:
        report = json.loads((made.folder / "data" / "report.json").read_text(encoding="utf-8"))
        return json.dumps(report, ensure_ascii=False)

    for what in CHOICES.values():
        assert what in front(export)
        assert what in (export.folder / "README.txt").read_text(encoding="utf-8")
    assert "had something taken out" in front(export)
    assert "Left out of this export:" not in front(whole_export)
    assert "had something taken out" not in front(whole_export)


def test_the_preview_lists_what_leaves_and_what_stays(filled: Any, private: dict[str, str]) -> None:
    leaves, stays = preview(filled.build, filled.record)
    assert "1 photograph" in leaves
    assert set(CHOICES.values()) <= set(stays)
    assert "the machine's owner" in stays
    assert not any(private["who"] in line for line in (*leaves, *stays))
    leaves, stays = preview(filled.build, filled.record, include=list(CHOICES))
    assert not stays
    assert f"the machine's owner: {private['who']}" in leaves


def test_an_unknown_choice_says_what_to_write(filled: Any, tmp_path: Path) -> None:
    with pytest.raises(HandoverError, match="'cost'; write any of addresses, costs, gps"):
        hand_over(filled.build, filled.record, tmp_path, include=["cost"])


def test_the_owners_folders_are_not_told(export: Any, filled: Any) -> None:
    assert str(filled.build.folder) not in everything(export.folder)


# -- photographs


def test_no_derived_picture_knows_its_place(export: Any, whole_export: Any) -> None:
    from PIL import Image

    for made in (export, whole_export):
        found = list((made.folder / "data" / "photos").iterdir())
        assert found
        for path in found:
            with Image.open(path) as picture:
                assert not dict(picture.getexif())
                assert not picture.info.keys() & {"exif", "xmp", "icc_profile", "comment"}
            assert b"Exif" not in path.read_bytes()


def test_originals_leave_only_when_asked(export: Any, whole_export: Any, filled: Any) -> None:
    assert not (export.folder / "data" / "originals").exists()
    kept = {p.read_bytes() for p in (whole_export.folder / "data" / "originals").iterdir()}
    assert kept == {p.read_bytes() for p in filled.build.photos.iterdir()}


# Where the red left half of the stored picture must be once it is upright.
_UPRIGHT = {1: "left", 2: "right", 3: "right", 4: "left", 5: "top", 6: "top", 7: "bottom", 8: "bottom"}


@pytest.mark.published("Exif 2.3 (CIPA DC-008), 4.6.4 A, tag Orientation")
@pytest.mark.parametrize("orientation", range(1, 9))
def test_photographs_are_turned_upright(tmp_path: Path, orientation: int) -> None:
    from PIL import Image

    stored = Image.new("RGB", (400, 200), (20, 20, 200))
    stored.paste((200, 20, 20), (0, 0, 200, 200))
    exif = Image.Exif()
    exif[0x0112] = orientation
    stored.save(tmp_path / "in.jpg", exif=exif, quality=95)
    (made,) = derive_all([(tmp_path / "in.jpg", "", tmp_path / "large.jpg", tmp_path / "small.jpg")])
    assert made.file == "large.jpg"
    with Image.open(tmp_path / "large.jpg") as upright:
        wide, high = upright.size
        assert (wide > high) == (orientation <= 4)
        spots = {"left": (20, high // 2), "right": (wide - 20, high // 2), "top": (wide // 2, 20),
                 "bottom": (wide // 2, high - 20)}  # fmt: skip
        red = [side for side, spot in spots.items() if upright.getpixel(spot)[0] > 150]  # type: ignore[index]
    assert _UPRIGHT[orientation] in red
    assert len([s for s in red if s in ("left", "right")]) == (1 if orientation <= 4 else 0) or orientation > 4


def test_a_damaged_picture_is_told_and_ends_nothing(tmp_path: Path) -> None:
    (tmp_path / "bad.jpg").write_bytes(b"\xff\xd8\xff\xe0 no picture")
    jobs = [(tmp_path / n, "", tmp_path / f"l-{n}", tmp_path / f"s-{n}") for n in ("bad.jpg", "none.jpg")]
    bad, none = derive_all(jobs)
    assert "cannot be read as a picture" in bad.fault
    assert none.fault == "the file is missing"
    assert not list(tmp_path.glob("[ls]-*"))


# -- tables


@pytest.mark.parametrize("text", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "＝1+1", " =1", "|calc", "%0A"])
def test_no_cell_is_taken_for_a_formula(text: str) -> None:
    assert cell(text).startswith("'")


@given(st.text())
def test_the_apostrophe_can_always_be_taken_away(text: str) -> None:
    from restonb.handover.report import clean

    shown = cell(text)
    assert shown.removeprefix("'") == clean(text)


@pytest.mark.parametrize("text", ["-0.25", "12", "1e-5", "0.010"])
def test_numbers_stay_numbers(text: str) -> None:
    assert cell(text) == text


@given(st.lists(st.tuples(st.text(), st.text()), max_size=5))
def test_any_table_reads_back(rows: list[tuple[str, str]]) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "t.csv")
        columns = (Field("a", "string", ""), Field("b", "string", ""))
        write_table(path, columns, [{"a": a, "b": b} for a, b in rows])
        read = list(csv.reader(io.StringIO(path.read_bytes().decode("utf-8"), newline="")))
    assert read == [["a", "b"], *[[cell(a), cell(b)] for a, b in rows]]


def test_the_description_fits_the_tables(export: Any) -> None:
    folder = export.folder / "data" / "tables"
    package = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    assert {r["path"] for r in package["resources"]} == {p.name for p in folder.glob("*.csv")}
    for resource in package["resources"]:
        with (folder / resource["path"]).open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
            assert rows or resource["path"] in ("disturbances.csv",)
            names = [f["name"] for f in resource["schema"]["fields"]]
            assert list(rows[0]) == names
        for field in resource["schema"]["fields"]:
            if field["type"] in ("number", "integer"):
                for row in rows:
                    assert not row[field["name"]] or float(row[field["name"]]) is not None


@pytest.mark.recalled("UCUM: case sensitive codes of the units")
def test_units_have_their_ucum_codes(export: Any) -> None:
    with (export.folder / "data" / "tables" / "joints.csv").open(encoding="utf-8", newline="") as file:
        torques = {(r["torque"], r["unit"], r["ucum"]) for r in csv.DictReader(file) if r["torque"]}
    assert torques == {("25", "ft-lb", "[ft_i].[lbf_av]")}
    with (export.folder / "data" / "tables" / "readings.csv").open(encoding="utf-8", newline="") as file:
        assert {r["ucum"] for r in csv.DictReader(file)} == {"mm"}


def test_a_picture_of_few_colours_keeps_them_when_it_is_made_smaller(tmp_path: Path) -> None:
    """Black and white lines one point wide, in a picture with a palette: halved, their average is a grey, by hand 127.5."""
    from PIL import Image

    original = tmp_path / "lines.png"
    picture = Image.new("P", (4096, 64))
    picture.putpalette([0, 0, 0, 255, 255, 255])
    picture.putdata([x % 2 for _ in range(64) for x in range(4096)])
    picture.save(original)
    digest = hashlib.sha256(original.read_bytes()).hexdigest()
    (made,) = derive_all([(original, digest, tmp_path / "large.jpg", None)])
    assert made.fault == ""
    with Image.open(tmp_path / "large.jpg") as large:
        assert large.size == (2048, 32)
        assert large.mode == "RGB"
        assert large.getpixel((1000, 16)) == pytest.approx((127.5,) * 3, abs=12)
