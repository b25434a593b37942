"""Check a handed-over record: its files, the chain of its entries, and the head that it states.

This file is also copied into every bag, so that the check needs nothing but Python:

    python3 check.py            checks the folder that this file lies in
    python3 check.py SEAL       and compares the seal that was given with it

Every file is read; nothing is written. The lists of files are worked out anew and must agree byte for byte with
the lists that came along, so a single changed byte is found, in the lists and in this file too. What a check
from inside cannot find is a whole bag made anew: for that, compare the seal with one you got another way.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import sys
from collections.abc import Iterator
from pathlib import Path

LISTED = "manifest-sha256.txt"
SEALED = "tagmanifest-sha256.txt"
ENTRIES = "data/entries.jsonl"
_LINE = re.compile(r'\{"digest":"([0-9a-f]{64})","sealed":(\{[^{}]*\}),"body":(\{.*\})(,"withheld":\[[^\]{}]*\])?\}\n')


def digest(path: Path) -> str:
    """SHA-256 of a file, in hex."""
    found = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(1 << 20):
            found.update(block)
    return found.hexdigest()


def listing(folder: Path, payload: bool) -> dict[str, str]:
    """Name and digest of every file below data/ (`payload`), or of every other but the list of those itself."""
    found: dict[str, str] = {}
    start = folder / "data" if payload else folder
    for place, folders, names in os.walk(start):
        if not payload and Path(place) == folder:
            folders[:] = [f for f in folders if f != "data"]
        for name in (*names, *(f for f in folders if Path(place, f).is_symlink())):
            path = Path(place, name)
            relative = path.relative_to(folder).as_posix()
            if relative == SEALED:
                continue
            found[relative] = "a link, not a file" if path.is_symlink() or not path.is_file() else digest(path)
    return found


def manifest_bytes(files: dict[str, str]) -> bytes:
    """A list of files as it stands in a bag: digest, two spaces, name; sorted by name."""
    return b"".join(f"{files[name]}  {name}\n".encode("utf-8", "surrogateescape") for name in sorted(files))


def faults(folder: Path, seal: str = "") -> Iterator[str]:
    """What is wrong with a bag, one sentence each; nothing when it is whole."""
    if not (folder / "bagit.txt").is_file():
        yield "bagit.txt is missing: this is not a bag"
        return
    for name, payload in ((LISTED, True), (SEALED, False)):
        yield from _compare(folder, name, listing(folder, payload))
    if seal:
        own = digest(folder / SEALED) if (folder / SEALED).is_file() else ""
        if own != seal.strip().lower():
            yield f"the seal is {own[:16]}..., not the {seal.strip()[:16]}... that was given: this is another bag"
    yield from _chain(folder)


def _compare(folder: Path, name: str, now: dict[str, str]) -> Iterator[str]:
    path = folder / name
    if not path.is_file():
        yield f"{name} is missing"
        return
    stands = path.read_bytes()
    if stands == manifest_bytes(now):
        return
    before: dict[str, str] = {}
    for line in stands.decode("utf-8", "surrogateescape").splitlines():
        code, _, file = line.partition("  ")
        before[file] = code
    named = False
    for file in sorted(before.keys() | now.keys()):
        if file not in now:
            named = True
            yield f"{_name_text(file)} is listed in {name} but missing"
        elif file not in before:
            named = True
            yield f"{_name_text(file)} is not listed in {name}: it was added or renamed"
        elif before[file] != now[file]:
            named = True
            yield f"{_name_text(file)} was changed, or its line in {name} was"
    if not named:
        yield f"{name} was changed: its lines are not as they were written"


def _chain(folder: Path) -> Iterator[str]:
    path = folder / ENTRIES
    if not path.is_file():
        yield f"{ENTRIES} is missing: the chain cannot be followed"
        return
    previous, count = "0" * 64, 0
    with path.open(encoding="utf-8", errors="surrogateescape", newline="\n") as lines:
        for count, line in enumerate(lines, 1):
            match = _LINE.fullmatch(line)
            if match is None:
                yield f"{ENTRIES} line {count}: it is not written as an entry"
                return
            own, sealed, body, withheld = match.groups()
            try:
                entry = json.loads(sealed)
            except ValueError:
                yield f"{ENTRIES} line {count}: it cannot be read"
                return
            if entry.get("seq") != count:
                yield f"entry {count} is missing: {_name_text(str(entry.get('seq')))} is in its place"
                return
            if entry.get("previous") != previous:
                yield f"entry {count}: its previous digest is not that of the entry before"
                return
            if own != _digest_of(sealed) or (withheld is None and entry.get("body") != _digest_of(body)):
                yield f"entry {count}: its digest does not match what it says"
                return
            previous = own
    stated = head(folder)
    if stated != (str(count), previous):
        yield f"the chain ends at entry {count}, {previous[:16]}..., not at the head that bag-info.txt states"


def _digest_of(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest()


def head(folder: Path) -> tuple[str, str]:
    """Number and digest of the head that the bag states; empty where it states none."""
    try:
        info = (folder / "bag-info.txt").read_text(encoding="utf-8", errors="replace")
    except OSError:
        return "", ""
    labels = dict(line.split(": ", 1) for line in info.splitlines() if ": " in line)
    return labels.get("Record-Head-Entry", ""), labels.get("Record-Head-Digest", "")


def summary(folder: Path) -> str:
    """What was checked, for a person."""
    files = len(listing(folder, True)) + len(listing(folder, False)) + 1
    withheld = 0
    with (folder / ENTRIES).open(encoding="utf-8", newline="\n") as lines:
        withheld = sum(line.endswith("]}\n") and '},"withheld":[' in line for line in lines)
    number, code = head(folder)
    kept = f", {withheld} of them with something left out" if withheld else ""
    return (
        f"{files} files as they were written; {number} entries in one unbroken chain{kept}\n"
        f"head {code}\nseal {digest(folder / SEALED)}"
    )


def _name_text(name: str) -> str:
    return repr(name)[1:-1][:120]


def main(arguments: list[str]) -> int:
    folder = Path(__file__).resolve().parent
    found = list(faults(folder, arguments[0] if arguments else ""))
    for fault in found:
        print("FAULT", fault)
    print(f"{len(found)} found: do not rely on this copy" if found else "ok: " + summary(folder))
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
