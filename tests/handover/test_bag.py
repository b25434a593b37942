"""A bag that keeps to its standard, that two everyday commands can check, and in which no changed byte hides."""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import rfc8785

from restonb.errors import HandoverError
from restonb.handover import sign, signed_by, verify
from restonb.handover.bag import close_bag, write_zip


@pytest.mark.published("RFC 8493: an independent implementation validates the bag")
def test_another_program_finds_a_valid_bag(bag: Path) -> None:
    bagit = pytest.importorskip("bagit")
    found = bagit.Bag(str(bag))
    assert found.validate()
    assert found.info["Payload-Oxum"] == "{}.{}".format(
        sum(p.stat().st_size for p in (bag / "data").rglob("*") if p.is_file()),
        sum(p.is_file() for p in (bag / "data").rglob("*")),
    )


def test_the_everyday_command_agrees(bag: Path) -> None:
    tool = shutil.which("sha256sum")
    if tool is None:
        pytest.skip("sha256sum is not here")
    command = [tool, "--check", "--strict", "--quiet", "manifest-sha256.txt", "tagmanifest-sha256.txt"]
    assert subprocess.run(command, cwd=bag, check=False).returncode == 0
    readme = (bag / "README.txt").read_text(encoding="utf-8")
    assert "sha256sum -c manifest-sha256.txt tagmanifest-sha256.txt" in readme
    assert "python3 check.py" in readme


def checked(bag: Path, *arguments: str) -> tuple[int, str]:
    """The bag's own check, in a Python that sees nothing but its standard library."""
    command = [sys.executable, "-I", "-S", "-B", str(bag / "check.py"), *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env={"PATH": os.environ["PATH"]})
    return done.returncode, done.stdout + done.stderr


def test_the_bag_checks_itself_without_restonb(bag: Path, export: Any) -> None:
    code, said = checked(bag, export.seal)
    assert code == 0, said
    assert export.head in said
    assert export.seal in said
    assert "unbroken chain" in said


def test_a_bag_made_anew_is_told_by_its_seal(bag: Path, export: Any) -> None:
    lines = (bag / "data" / "entries.jsonl").read_text(encoding="utf-8").replace("31462", "11462")
    entries = [json.loads(line) for line in lines.splitlines()]
    out, previous = [], "0" * 64
    for line in entries:
        body = rfc8785.dumps(line["body"]).decode()
        line["sealed"]["previous"] = previous
        if "withheld" not in line:
            line["sealed"]["body"] = hashlib.sha256(body.encode()).hexdigest()
        text = rfc8785.dumps(line["sealed"]).decode()
        previous = hashlib.sha256(text.encode()).hexdigest()
        gone = f',"withheld":{json.dumps(line["withheld"], separators=(",", ":"))}' if "withheld" in line else ""
        out.append(f'{{"digest":"{previous}","sealed":{text},"body":{body}{gone}}}\n')
    (bag / "data" / "entries.jsonl").write_text("".join(out), encoding="utf-8")
    info = dict(line.split(": ", 1) for line in (bag / "bag-info.txt").read_text().splitlines())
    close_bag(bag, {**info, "Record-Head-Digest": previous}, (bag / "README.txt").read_text(encoding="utf-8"))
    assert verify(bag).ok  # from inside, it is whole
    told = verify(bag, seal=export.seal)
    assert not told.ok
    assert "this is another bag" in str(told)
    assert "that was given" in str(verify(bag, head=export.head))
    assert checked(bag, export.seal)[0] == 1


def spots(size: int, chance: random.Random) -> list[int]:
    """First, last, and some places between."""
    return sorted({0, size - 1, size // 2, *(chance.randrange(size) for _ in range(6))})


def test_every_changed_byte_is_found(bag: Path) -> None:
    chance = random.Random(20260314)
    tried = 0
    for path in sorted(p for p in bag.rglob("*") if p.is_file()):
        original = path.read_bytes()
        for spot in spots(len(original), chance):
            changed = bytearray(original)
            changed[spot] ^= 1 << chance.randrange(8)
            path.write_bytes(changed)
            found = verify(bag)
            assert not found.ok, f"byte {spot} of {path.name}"
            assert found.faults
            tried += 1
        path.write_bytes(original)
    assert tried > 200
    assert verify(bag).ok


@pytest.mark.parametrize("name", ["check.py", "tagmanifest-sha256.txt", "bag-info.txt", "data/record.pdf"])
def test_the_bag_itself_finds_a_changed_byte(bag: Path, name: str) -> None:
    path = bag / name
    original = path.read_bytes()
    for spot in spots(len(original), random.Random(1)):
        path.write_bytes(original[:spot] + bytes([original[spot] ^ 4]) + original[spot + 1 :])
        assert checked(bag)[0] != 0, f"byte {spot} of {name}"


def test_every_changed_byte_of_the_lists_is_found(bag: Path) -> None:
    """Byte by byte, since these are what everything else is checked against."""
    path = bag / "tagmanifest-sha256.txt"
    original = path.read_bytes()
    for spot in range(len(original)):
        path.write_bytes(original[:spot] + bytes([original[spot] ^ 1]) + original[spot + 1 :])
        assert not verify(bag).ok, f"byte {spot}"


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda bag: (bag / "data" / "record.pdf").unlink(), "record.pdf is listed"),
        (lambda bag: (bag / "data" / "more.txt").write_text("x"), "more.txt is not listed"),
        (lambda bag: (bag / "more.txt").write_text("x"), "more.txt is not listed"),
        (lambda bag: (bag / "data" / "record.pdf").rename(bag / "data" / "r.pdf"), "r.pdf is not listed"),
        (lambda bag: (bag / "bagit.txt").unlink(), "bagit.txt is missing"),
        (lambda bag: (bag / "manifest-sha256.txt").unlink(), "manifest-sha256.txt is missing"),
        (lambda bag: (bag / "tagmanifest-sha256.txt").write_bytes(b""), "is not listed"),
        (lambda bag: (bag / "data" / "entries.jsonl").write_bytes(b""), "entries.jsonl was changed"),
    ],
)
def test_what_is_missing_or_more_is_named(bag: Path, spoil: Any, said: str) -> None:
    spoil(bag)
    found = verify(bag)
    assert not found.ok
    assert said in str(found)


def test_a_link_in_place_of_a_file_is_found(bag: Path, tmp_path: Path) -> None:
    pdf = bag / "data" / "record.pdf"
    pdf.rename(tmp_path / "elsewhere.pdf")
    pdf.symlink_to(tmp_path / "elsewhere.pdf")
    assert "record.pdf was changed" in str(verify(bag))


def test_a_reordered_entry_breaks_the_chain_even_in_a_bag_closed_anew(bag: Path) -> None:
    path = bag / "data" / "entries.jsonl"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join([*lines[:3], lines[4], lines[3], *lines[5:]]), encoding="utf-8")
    info = dict(line.split(": ", 1) for line in (bag / "bag-info.txt").read_text().splitlines())
    close_bag(bag, info, (bag / "README.txt").read_text(encoding="utf-8"))
    assert "entry 4 is missing" in str(verify(bag))


@pytest.mark.published("RFC 8785 and FIPS 180-4, by another library: the digest of every entry")
@pytest.mark.parametrize("which", ["export", "whole_export"])
def test_digests_follow_from_the_entries(which: str, request: pytest.FixtureRequest) -> None:
    made = request.getfixturevalue(which)
    previous = "0" * 64
    lines = (made.folder / "data" / "entries.jsonl").read_text(encoding="utf-8").splitlines()
    for line in map(json.loads, lines):
        assert line["sealed"]["previous"] == previous
        previous = hashlib.sha256(rfc8785.dumps(line["sealed"])).hexdigest()
        assert line["digest"] == previous
        said = hashlib.sha256(rfc8785.dumps(line["body"])).hexdigest()
        assert (line["sealed"]["body"] == said) == ("withheld" not in line)
    assert previous == made.head
    assert any('"withheld"' in line for line in lines) == (which == "export")


# -- the zip


def test_the_zip_holds_the_bag(export: Any, tmp_path: Path) -> None:
    shutil.unpack_archive(export.zip, tmp_path)
    assert verify(tmp_path / export.folder.name).ok
    found = verify(export.zip, seal=export.seal, head=export.head)
    assert found.ok, str(found)


def test_a_changed_byte_of_the_zip_is_found(export: Any, tmp_path: Path) -> None:
    original = export.zip.read_bytes()
    path = tmp_path / export.zip.name
    chance = random.Random(7)
    tail = range(len(original) - 60, len(original))  # the end record, where tools do not look
    for spot in (*spots(len(original), chance), *(chance.randrange(len(original)) for _ in range(30)), *tail):
        path.write_bytes(original[:spot] + bytes([original[spot] ^ 16]) + original[spot + 1 :])
        assert not verify(path).ok, f"byte {spot}"


def test_a_zip_with_a_way_out_is_refused(tmp_path: Path) -> None:
    import zipfile

    path = tmp_path / "out.zip"
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("bag/../../escaped.txt", "x")
    assert "not a name that belongs there" in str(verify(path))
    assert not (tmp_path.parent / "escaped.txt").exists()


def test_a_zip_that_would_swell_is_refused(tmp_path: Path) -> None:
    import zipfile

    path = tmp_path / "big.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("bag/data/zeros", bytes(1 << 22))
    assert "repacked" in str(verify(path))


def test_the_zip_does_not_depend_on_file_times(bag: Path, tmp_path: Path) -> None:
    write_zip(bag, tmp_path / "a.zip", "top")
    for path in bag.rglob("*"):
        os.utime(path, (10**9, 10**9))
    write_zip(bag, tmp_path / "b.zip", "top")
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


# -- other things to verify


def test_a_build_and_a_record_file_can_be_verified(filled: Any) -> None:
    head = filled.record.head()
    for path in (filled.build.folder, filled.build.record_path):
        found = verify(path)
        assert found.ok, str(found)
        assert found.head == head.digest


def test_nothing_to_verify_is_said(tmp_path: Path) -> None:
    with pytest.raises(HandoverError, match="neither a bag nor a build"):
        verify(tmp_path)
    with pytest.raises(HandoverError, match="there is no"):
        verify(tmp_path / "nowhere")


def test_a_signature_with_an_ssh_key(export: Any, tmp_path: Path) -> None:
    tool = shutil.which("ssh-keygen")
    if tool is None:
        pytest.skip("ssh-keygen is not here")
    key = tmp_path / "key"
    subprocess.run([tool, "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", str(key)], check=True)
    allowed = tmp_path / "allowed"
    allowed.write_text(f"restorer {key.with_suffix('.pub').read_text()}")
    seal = shutil.copy(export.seal_file, tmp_path)
    assert export.seal in Path(seal).read_text()
    sign(seal, key)
    assert signed_by(seal, allowed, "restorer")
    assert not signed_by(seal, allowed, "somebody else")
    Path(seal).write_text(Path(seal).read_text().replace("seal ", "seal  "))
    assert not signed_by(seal, allowed, "restorer")


def test_signing_without_a_key_says_what_to_do(export: Any, tmp_path: Path) -> None:
    with pytest.raises(HandoverError, match="write the path of your SSH key"):
        sign(export.seal_file, tmp_path / "none")


def test_a_build_folder_is_checked_with_its_photographs_and_runs(filled: Any, tmp_path: Path) -> None:
    folder = shutil.copytree(filled.build.folder, tmp_path / "build")
    found = verify(folder)
    assert found.ok
    assert str(found).startswith("record.sqlite: whole")
    photo = next(p for p in sorted((folder / "photos").iterdir()) if p.is_file())
    photo.write_bytes(photo.read_bytes()[:-1])
    found = verify(folder)
    assert not found.ok
    assert f"{photo.name} was altered" in str(found)
