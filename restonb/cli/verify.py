"""restonb verify: is a record, a bag or a zip whole and unchanged?"""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path

from restonb.cli.common import add_json, print_json, refuse_without_record
from restonb.errors import RestonbError
from restonb.handover import signed_by, verify

EXAMPLE = """examples:
  restonb verify my-build
  restonb verify my-build/handover/wrenfield-450.zip --seal 3f2a...
  restonb verify wrenfield-450.seal.txt --signers allowed_signers --who maker@example.org
Answers 0 when whole, 1 when not, 2 when there is nothing to check.
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "path", type=Path, nargs="?", default=Path(), help="a build folder, a record file, a bag or a zip"
    )
    command.add_argument("--seal", default="", help="seal noted at the export, to compare with")
    command.add_argument("--head", default="", help="head digest noted earlier, to compare with")
    command.add_argument("--signers", type=Path, metavar="FILE", help="'who key' lines, to check a signed seal file")
    command.add_argument("--who", default="", help="who should have signed it")
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    if args.signers:
        return _signature(args)
    path = args.path.resolve()
    _refuse_what_is_none(path)
    found = verify(path, seal=args.seal, head=args.head)
    if args.json:
        print_json(asdict(found))
    else:
        print(found)
    return 0 if found.ok else 1


def _refuse_what_is_none(path: Path) -> None:
    """A build whose record is missing, and a file that never was one of ours: nothing there can be altered."""
    if path.is_dir():
        if (path / "build.toml").is_file() and not (path / "record.sqlite").exists():
            refuse_without_record(path)
    elif path.is_file() and path.suffix.lower() not in (".sqlite", ".zip"):
        with path.open("rb") as file:
            begins = file.read(16)
        if begins != b"SQLite format 3\0" and not begins.startswith(b"PK"):
            sealed = path.name.endswith(".seal.txt")
            more = "; a signed seal is checked with --signers FILE --who WHO" if sealed else ""
            raise RestonbError(f"{path.name} is not a record, bag or zip{more}")


def _signature(args: argparse.Namespace) -> int:
    if not args.who:
        raise RestonbError("say who should have signed it: --who, as written in the file of signers")
    good = signed_by(args.path, args.signers, args.who)
    if args.json:
        print_json({"signed": good, "who": args.who})
    else:
        print(f"signed by {args.who}" if good else f"not signed by {args.who}, or changed since")
    return 0 if good else 1
