"""What somebody may put in the way: parameters that would be code, pictures that are none or swell, and entries that
point outside the build. Each ends in an answer or in an error that restonb documents, and touches nothing else."""

from __future__ import annotations

import ast
import base64
import io
import json
import shutil
import struct
import tempfile
import zipfile
import zlib
from pathlib import Path
from typing import Any

import kill
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from restonb import log
from restonb.bench._photos import photos, small
from restonb.errors import HandoverError, RecordError, RestonbError, RunError
from restonb.handover import hand_over
from restonb.handover import verify as verify_bag
from restonb.handover.photos import derive_all
from restonb.log._parameters import merged, parsed, read_cell, write_cell
from restonb.record import Record, enter_photo, enter_run, verify
from restonb.stated import Build

CELL = 'size = 2.0  # mm\nname = "a"  # of the part\nmany: list[str] = []  # parts\nrise: float | None = None  # mm\n'
KNOWN = read_cell(CELL)
PLAIN = (ast.Assign, ast.AnnAssign)

TEXT = st.text() | st.sampled_from(
    [
        '__import__("os").system("touch hacked")',
        '"\nimport os; os.abort()\n"',
        "'''",
        '"""',
        "\\",
        "\\\n",
        "{size}",
        "%s",
        "# \r\nsize = 1",
        "\x00",
        "\u2028import os",
        "$(touch hacked)",
        "!touch hacked",
        "%run hacked",
    ]
)
VALUE = st.recursive(
    TEXT | st.none() | st.booleans() | st.integers() | st.floats(), lambda v: st.lists(v, max_size=3), max_leaves=6
)


def literal(cell: str) -> dict[str, Any]:
    """The values of a cell of plain assignments; fails on anything that could run."""
    found = {}
    for statement in ast.parse(cell).body:
        assert isinstance(statement, PLAIN)
        target = statement.target if isinstance(statement, ast.AnnAssign) else statement.targets[0]
        assert isinstance(target, ast.Name)
        assert statement.value is not None
        found[target.id] = ast.literal_eval(statement.value)
    return found


@given(st.dictionaries(st.sampled_from(["size", "name", "many", "rise"]) | TEXT, VALUE, max_size=4))
@settings(deadline=None, max_examples=150)
def test_whatever_is_given_as_a_parameter_stays_a_value(values: dict[str, Any]) -> None:
    try:
        taken = merged(KNOWN, [("given", values)], "toy")
    except RunError as error:
        said = str(error)
    else:
        said = ""
        assert literal(write_cell(CELL, taken)) == taken
    assert "\n" not in said


@given(st.lists(TEXT.map(lambda t: f"name={t}") | TEXT, max_size=3))
@settings(deadline=None, max_examples=150)
def test_whatever_is_written_on_the_command_line_stays_a_value(texts: list[str]) -> None:
    try:
        taken = parsed(KNOWN, texts, "toy")
    except RunError:
        return
    written = literal(write_cell(CELL, taken))
    assert {k: written[k] for k in taken} == taken


@given(
    TEXT
    | st.sampled_from(["a = [x for x in ()]", "a = print()", "a: print() = 1", "(a := 1)", "a = b = 1", "a = f'{1}'"])
)
@settings(deadline=None, max_examples=150)
def test_a_parameters_cell_is_read_and_never_run(source: str) -> None:
    try:
        found = read_cell(source)
    except RunError:
        return
    assert {p.name: p.default for p in found} == literal(source)


def test_a_run_prints_a_hostile_parameter_and_does_not_obey_it(build: Build) -> None:
    kill.write_notebook(build, "toy", 'name = "a"  # of the part', "print(repr(name))", kill.CELLS[1])
    hostile = '"); import os; open(os.environ["RESTONB_BUILD"] + "/hacked", "w"); ("'
    with Record.open(build) as record:
        done = log.run(build, record, "toy", {"name": hostile})
    assert done.good
    notebook = json.loads((build.folder / done.folder / "toy.ipynb").read_text())
    assert ast.literal_eval(notebook["cells"][1]["outputs"][0]["text"]) == hostile
    assert not (build.folder / "hacked").exists()


# -- pictures ----------------------------------------------------------------------------------------------


def bomb(width: int, height: int) -> bytes:
    """A PNG of so many pixels in a few hundred bytes."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    )


def picture(form: str) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((40, 30), 50).convert("RGB").save(out, form)
    return out.getvalue()


def zipped() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("../../outside.jpg", b"x")
    return out.getvalue()


NO_PICTURES = {
    "bomb.png": bomb(60_000, 60_000),
    "truncated.jpg": picture("JPEG")[:300],
    "truncated.png": picture("PNG")[:300],
    "text.jpg": b"this is not a picture",
    "page.jpg": b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
    "packed.jpg": zipped(),
    "postscript.jpg": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n(hacked) print\n",
}


@pytest.mark.parametrize("name", NO_PICTURES)
def test_what_is_no_picture_is_refused_and_harms_nothing_that_shows_pictures(
    build: Build, tmp_path: Path, name: str
) -> None:
    """A record that came from somebody else may hold it all the same: then it is shown as missing, and told."""
    path = tmp_path / name
    path.write_bytes(NO_PICTURES[name])
    assert small(NO_PICTURES[name]) == ""
    (made,) = derive_all([(path, "", tmp_path / "large", tmp_path / "small")])
    assert "cannot be read as a picture" in made.fault
    assert not (tmp_path / "large").exists()
    with Record.open(build) as record, pytest.raises(RecordError, match="is not a whole picture"):
        enter_photo(record, build, path, caption="<script>alert(1)</script>", sheet="toy")
    assert not list(build.photos.iterdir())


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("pictures")


@given(
    form=st.sampled_from(["JPEG", "PNG", "GIF", "TIFF", "WEBP", "BMP"]),
    damage=st.lists(st.tuples(st.floats(0, 1), st.binary(max_size=8)), max_size=4),
    cut=st.floats(0, 1),
)
@settings(deadline=None, max_examples=80, suppress_health_check=[HealthCheck.too_slow])
def test_any_damaged_picture_is_a_picture_or_is_told(
    place: Path, form: str, damage: list[tuple[float, bytes]], cut: float
) -> None:
    data = bytearray(picture(form))
    for where, what in damage:
        at = int(where * len(data))
        data[at : at + len(what)] = what
    path = place / f"any.{form.lower()}"
    path.write_bytes(data[: int(cut * len(data)) + 1])
    (made,) = derive_all([(path, "", place / "large", place / "small")])
    assert bool(made.file) != ("cannot be read" in made.fault)
    shown = small(path.read_bytes())
    assert shown == "" or base64.b64decode(shown).startswith(b"\xff\xd8")


# -- entries that point outside -----------------------------------------------------------------------------

OUTSIDE = ["../secret.jpg", "../../secret.jpg", "/etc/passwd", "photos/../../secret.jpg", "log/../../secret", "..", ""]


@pytest.mark.parametrize("where", OUTSIDE)
def test_an_entry_that_points_outside_takes_nothing_along(build: Build, where: str) -> None:
    """A record that came from somebody else may say anything; an export of it holds what lies in the build only."""
    secret = build.folder.parent / "secret"
    secret.mkdir()
    for path in (secret / "toy.ipynb", secret / "toy.html", build.folder.parent / "secret.jpg"):
        path.write_text("the owner's secret")
    Image.new("RGB", (30, 20), "red").save(build.folder.parent / "secret.jpg")
    photo = {"file": where, "sha256": "0" * 64, "caption": "a", "sheet": "toy", "position": None}
    with Record.open(build) as record:
        try:
            record.append("photo", photo)
            head = {"seq": 1, "digest": "0" * 64}
            filed = {"template": "drivetrain/toy", "sheet": "toy", "subsystem": "drivetrain", "state": "good"}
            enter_run(
                record, {**filed, "head": head, "folder": where, "filed": {"sheet": "toy"}, "seconds": 1.0, "spec": {}}
            )
        except RestonbError:
            return  # better still
        try:
            done = hand_over(build, record)
        except HandoverError:
            return
    assert verify_bag(done.folder).ok
    for path in done.folder.rglob("*"):
        assert path.resolve().is_relative_to(build.handover.resolve())
        if path.is_file():
            assert b"the owner's secret" not in path.read_bytes()
    assert not list((done.folder / "data").glob("photos/*"))
    assert not list((done.folder / "data").glob("log/**/*.ipynb"))
    assert verify(build.record_path).ok


@pytest.mark.parametrize("where", [*OUTSIDE, "photos/link.jpg", "link.jpg", "a\0b", "photos/" + "x" * 5000])
def test_a_sheet_shows_no_picture_from_outside_photos(build: Build, where: str) -> None:
    outside = build.folder.parent / "secret.jpg"
    Image.new("RGB", (30, 20), "red").save(outside)
    shutil.copy(outside, build.folder / "mine.jpg")
    (build.photos / "link.jpg").symlink_to(outside)
    with Record.open(build) as record:
        for file in (where, str(outside), "mine.jpg"):
            record.append(
                "photo", {"file": file or ".", "sha256": "0" * 64, "caption": "a", "sheet": "toy", "position": None}
            )
        shown = photos(build, record, "toy", None).html
    assert "data:image" not in shown
    assert shown.count("is missing") == 3


@pytest.mark.parametrize(
    "name",
    [
        "../up",
        "toy/../../up",
        "/absolute",
        "toy/a/../../../up",
        "..\\up",
        "toy\\..\\..\\up",
        "C:\\up",
        "C:up",
        "toy//up",
        ".",
    ],
)
@pytest.mark.parametrize("link", [False, True])
def test_no_name_in_a_zip_leads_out_of_where_it_is_unpacked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, link: bool
) -> None:
    place = tmp_path / "a" / "b"
    place.mkdir(parents=True)
    monkeypatch.setattr(tempfile, "tempdir", str(place))
    with zipfile.ZipFile(tmp_path / "bag.zip", "w") as packed:
        if link:  # a link first, and then a file through it
            info = zipfile.ZipInfo("toy/link")
            info.external_attr = 0o120777 << 16
            packed.writestr(info, "../../..")
            packed.writestr("toy/link/up", "x")
        packed.writestr(name, "x")
    found = verify_bag(tmp_path / "bag.zip")
    assert not found.ok
    assert found.faults
    assert sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*")) == ["a", "a/b", "bag.zip"]


@pytest.mark.parametrize("name", ["../../up", "/absolute", "a\x00b", "C:\\x", "..\\..\\x", "con", "x" * 300])
def test_no_name_of_a_template_leads_out_of_the_log(build: Build, name: str) -> None:
    with Record.open(build) as record, pytest.raises(RunError, match=r"no template"):
        log.run(build, record, name)
    assert list(build.log.rglob("*")) == []
