"""What commands share: which build, which date, how JSON is printed."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from restonb.errors import RestonbError
from restonb.stated import Build

if TYPE_CHECKING:
    from restonb.record import Record, Run

__all__ = [
    "add_as_of",
    "add_build",
    "add_json",
    "build_of",
    "pairs",
    "print_json",
    "record_of",
    "refuse_without_record",
    "tally",
    "verdict_counts",
    "whole_number",
]


def add_build(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "-b", "--build", type=Path, metavar="FOLDER", help="the build folder (default: the one that this folder is in)"
    )


def add_json(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="print JSON for a program to read")


def add_as_of(command: argparse.ArgumentParser) -> None:
    command.add_argument("--as-of", metavar="DATE", help="as it was at the end of that day, such as 2026-03-14")


def build_of(args: argparse.Namespace) -> Build:
    """The build that the command is about."""
    return Build.open(args.build) if args.build else Build.find()


def record_of(build: Build, begin: bool = False) -> Record:
    """The record of a build. Where it is missing, only `begin` begins one, and only where nothing was ever filed."""
    if not build.record_path.exists():
        refuse_without_record(build.folder, begin)
    from restonb.record import Record

    return Record.open(build)


def refuse_without_record(folder: Path, begin: bool = False) -> None:
    """Says that `folder` has no record, and what to do about it."""
    if any((folder / "log").glob("*/*/")):
        raise RestonbError(
            f"record.sqlite is missing in {folder}, though its log holds runs: put back the one that belongs to them"
        )
    if not begin:
        raise RestonbError(f"no record in {folder} yet; the first reading or entry begins it")


def whole_number(text: str) -> int:
    """For argparse: digits, else a line that says what to write."""
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number; write digits, such as 17") from None


def pairs(words: Iterable[str], example: str) -> dict[str, str]:
    """'key=value' words as a dict; refused by name where the sign is missing or a key comes twice."""
    found: dict[str, str] = {}
    for word in words:
        key, sign, value = word.partition("=")
        key = key.strip()
        if not sign or not key:
            raise RestonbError(f"'{word}' has no name; write {example}")
        if key in found:
            raise RestonbError(f"'{key}' is given twice; give it once")
        found[key] = value.strip()
    return found


def verdict_counts(run: Run) -> dict[str, int]:
    """How often each verdict occurs in a filed run, the gravest first."""
    from restonb.record import verdict_word

    words = [verdict_word(row) for row in run.verdicts]
    order = ("outside", "too close to call", "in doubt", "not measured", "inside")
    return {word: words.count(word) for word in order if word in words}


def tally(run: Run) -> str:
    """'2 outside, 6 inside'; a sheet that only works out what is recorded has nothing to measure, and that is not a fault."""
    found = ", ".join(f"{n} {word}" for word, n in verdict_counts(run).items())
    kept = sum(row.get("verdict") == "no limit" for row in run.verdicts)
    if found or kept:
        return found or f"{kept} read, no limit given"
    lacks = run.spec or run.filed.get("rows_missing")
    return "nothing measured yet" if lacks else "worked out; nothing to measure"


def print_json(data: Any) -> None:
    print(json.dumps(data, ensure_ascii=False, indent=2, default=str))
