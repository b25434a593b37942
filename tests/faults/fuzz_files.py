"""One random file each: what a person edits, photographs, or was given by somebody else. For fuzz.py."""

from __future__ import annotations

import io
import random
import shutil
import struct
import tempfile
import zipfile
import zlib
from pathlib import Path

import kill
from fuzz_text import PATTERNS, PEPPER, QUANTITIES, THREADS, mutated
from PIL import Image

from restonb.bench._photos import small
from restonb.handover import hand_over
from restonb.handover import verify as verify_bag
from restonb.record import Record, verify
from restonb.record._photos import check_picture
from restonb.stated import Build

WORK = Path()
"""Everything happens some folders below; what appears beside those folders got out."""
DEEP = "in/here/and/below"


def prepare(folder: Path, bags: bool) -> None:
    """A toy build, and a bag of it where bags are asked for."""
    global WORK
    WORK = folder
    place = folder / DEEP
    place.mkdir(parents=True)
    tempfile.tempdir = None
    build = kill.toy_build(place / "toy")
    (place / "any").mkdir()
    with Record.open(build) as journal:
        if bags:
            done = hand_over(build, journal)
            shutil.copytree(done.folder, place / "bag")
            shutil.copy(done.zip, place / "bag.zip")
    shutil.copy(build.record_path, place / "record.sqlite")
    (place / "unpacked").mkdir()
    tempfile.tempdir = str(place / "unpacked")


def strayed() -> list[str]:
    """What was made where nothing should be."""
    tempfile.tempdir = None
    parents = {part.as_posix() for part in Path(DEEP).parents if part != Path()} | {DEEP}
    found = (p.relative_to(WORK).as_posix() for p in WORK.rglob("*"))
    out = [name for name in found if not name.startswith(DEEP + "/") and name not in parents]
    return out + [p.name for p in (WORK / DEEP / "unpacked").iterdir()]


def any_bytes(content: bytes, dice: random.Random, most: int = 5) -> bytes:
    """Flipped, cut, doubled, and overwritten with what means something in many formats."""
    data = bytearray(content)
    for _ in range(dice.randint(1, most)):
        at = dice.randrange(len(data) + 1)
        match dice.randrange(5):
            case 0:
                data[at : at + 1] = bytes([dice.randrange(256)])
            case 1:
                data[at : at + 4] = dice.choice(
                    (b"\xff\xff\xff\xff", b"\0\0\0\0", b"\x7f\xff\xff\xff", b"\0\0\xff\xff")
                )
            case 2:
                del data[at : at + dice.randint(1, 64)]
            case 3:
                data[at:at] = dice.randbytes(dice.randint(1, 64))
            case _:
                if dice.random() < 0.3:
                    del data[at:]
    return bytes(data)


# -- what a person edits -----------------------------------------------------------------------------------

SPEC = """# limits
sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
toy,gap,"gap under foot, nuts off",feet 4,0,,0.05,,mm,feeler,yes,"data sheet, p. 7"
toy,spread,thickest less thinnest,spread of gap,,,0.020,,mm,feeler,,
"""
INSTRUMENTS = """instrument,what,unit,resolution,error,expansion,last_check,source
feeler,feeler gauges,mm,0.01 mm,0.005 mm,11.5e-6,2025-10-04,data sheet
"""
IDENTITY = """name = "Toy"
rule = "prove"
[machine]
year = 1971
[units]
length = "mm"
torque = "N m"
[parameters.toy]
feet_mm = [[0, 120], [150, 120]]
stock = ["0.002 in", "0.05 mm"]
"""
JOINTS = """[joints.frame]
what = "frame"
safety = true
[joints.mounting]
what = "feet to the plates"
rests_on = ["frame"]
retighten = "500 mile"
[[joints.mounting.fasteners]]
what = "bolt"
count = 4
thread = "5/16-22 BSF"
torque = "15 ft-lb"
stages = ["50 %", "100 %"]
order = [1, 4, 2, 3]
layout_mm = [[0, 0], [95, 0], [0, 60], [95, 60]]
replace_on_removal = true
[sheets]
toy = ["mounting"]
"""
WORDS = (
    *PATTERNS,
    *QUANTITIES,
    *THREADS,
    "yes",
    "[[x]]",
    "a = 1\n",
    '"""',
    "'''",
    "2026-13-45",
    "1979-05-27T07:32:00Z",
    "\n\n",
)


def edited(name: str, sample: str, dice: random.Random) -> None:
    """The whole build is checked, and all of it is asked for."""
    folder = WORK / DEEP / "toy"
    path = folder / name
    before = path.read_bytes()
    text = mutated(sample, dice, WORDS, 8).encode("utf-8", "surrogatepass")
    path.write_bytes(any_bytes(text, dice, 2) if dice.random() < 0.15 else text)
    try:
        build = Build.open(folder)
        for mistake in build.check():
            assert str(mistake).strip()
        for row in build.specs:
            assert build.specs.line_of(row) > 0
            assert build.specs.digest(row)
        assert build.name
        for sheet in build.specs.sheets:
            build.joints.relied_on(sheet)
        build.joints.closing_order()
        _ = build.parameters, build.units, build.rule, build.machine, build.instruments
    finally:
        path.write_bytes(before)


def spec(dice: random.Random) -> None:
    edited("specs/drivetrain.csv", SPEC, dice)


def instruments(dice: random.Random) -> None:
    edited("instruments.csv", INSTRUMENTS, dice)


def identity(dice: random.Random) -> None:
    edited("build.toml", IDENTITY, dice)


def joints(dice: random.Random) -> None:
    edited("joints.toml", JOINTS, dice)


# -- photographs -------------------------------------------------------------------------------------------


def _pictures() -> tuple[bytes, ...]:
    noise = Image.effect_noise((40, 30), 50).convert("RGB")
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "camera"
    made = []
    for form in ("JPEG", "PNG", "GIF", "TIFF", "WEBP", "BMP"):
        out = io.BytesIO()
        noise.save(out, form, **({"exif": exif} if form in ("JPEG", "PNG", "WEBP", "TIFF") else {}))
        made.append(out.getvalue())
    return tuple(made)


def bomb(width: int, height: int) -> bytes:
    """A PNG of so many pixels in a few hundred bytes."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(bytes(100_000))) + chunk(b"IEND", b"")


PICTURES = _pictures()
OTHERS = (
    b"",
    b"%!PS-Adobe-3.0 EPSF-3.0\n",
    b"<svg xmlns='http://www.w3.org/2000/svg'/>",
    b"\0" * 99,
    b"PK\x03\x04",
    b"BM",
)


def photo(dice: random.Random) -> None:
    """A page shows a JPEG of it or nothing, whatever it is; only then is it refused."""
    match dice.randrange(8):
        case 0:
            data = bomb(dice.choice((1, 3000, 65_535, 2**31 - 1)), dice.choice((0, 1, 5000, 65_535)))
        case 1:
            data = dice.choice(OTHERS)
        case _:
            data = any_bytes(dice.choice(PICTURES), dice)
    path = WORK / DEEP / "any" / "picture.jpg"
    path.write_bytes(data)
    shown = small(data)
    check_picture(path)
    assert shown


# -- from somebody else ------------------------------------------------------------------------------------


def record(dice: random.Random) -> None:
    """A damaged record is told by verify, which never raises, and is opened or refused."""
    path = WORK / DEEP / "any" / "record.sqlite"
    path.write_bytes(any_bytes((WORK / DEEP / "record.sqlite").read_bytes(), dice))
    for beside in ("-wal", "-shm"):
        path.with_name(path.name + beside).unlink(missing_ok=True)
    found = verify(path)
    assert found.ok or found.faults
    with Record.open(path) as journal:
        for _ in journal.entries():
            pass
        if found.ok:
            journal.append("note", {"text": "goes on"})
            assert verify(path).ok


def bag(dice: random.Random) -> None:
    """One file of it altered: that is told, unless it is the same as before."""
    folder = WORK / DEEP / "bag"
    files = sorted(p for p in folder.rglob("*") if p.is_file())
    path = dice.choice([*files, *(p for p in files if p.parent == folder)])
    before = path.read_bytes()
    after = any_bytes(before, dice)
    if dice.random() < 0.3 and path.suffix == ".txt":
        after = mutated(before.decode(), dice, ("../../../up", "/etc/passwd", "data/../../x")).encode(
            "utf-8", "replace"
        )
    path.write_bytes(after)
    try:
        found = verify_bag(folder)
        assert str(found)
        assert found.ok == (after == before), path.name
    finally:
        path.write_bytes(before)


NAMES = (
    "../up",
    "/absolute",
    "a/../../up",
    "C:\\x",
    "..\\..\\up",
    "con",
    "x" * 300,
    "a\0b",
    "",
    ".",
    "..",
    "toy/bagit.txt",
)


def packed(dice: random.Random) -> None:
    """A zip that was changed, or whose names would lead elsewhere."""
    path = WORK / DEEP / "any" / "bag.zip"
    whole = (WORK / DEEP / "bag.zip").read_bytes()
    if dice.random() < 0.5:
        path.write_bytes(any_bytes(whole, dice))
    else:
        how = dice.choice((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED))
        with zipfile.ZipFile(path, "w", how) as out:
            for n in range(dice.randint(0, 4)):
                info = zipfile.ZipInfo(mutated(dice.choice(NAMES), dice, (*NAMES, *PEPPER)) or f"toy/{n}")
                info.external_attr = dice.choice((0, 0o120777 << 16, 0o40755 << 16))  # a link, a folder
                try:
                    out.writestr(info, dice.choice((b"../../up", b"x", bytes(1000))))
                except (UnicodeEncodeError, ValueError, struct.error, UserWarning):
                    continue
    found = verify_bag(path)
    assert found.ok == (path.read_bytes() == whole)
