"""restonb verify: is a record, a bag or a zip whole and unchanged?"""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path

from restonb.cli.common import add_json, print_json
from restonb.handover import verify

EXAMPLE = """examples:
  restonb verify my-build
  restonb verify my-build/handover/wrenfield-450.zip --seal 3f2a...
Answers 0 when whole, 1 when not, 2 when there is nothing to check.
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "path", type=Path, nargs="?", default=Path(), help="a build folder, a record file, a bag or a zip"
    )
    command.add_argument("--seal", default="", help="seal noted at the export, to compare with")
    command.add_argument("--head", default="", help="head digest noted earlier, to compare with")
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    found = verify(args.path, seal=args.seal, head=args.head)
    if args.json:
        print_json(asdict(found))
    else:
        print(found)
    return 0 if found.ok else 1
