"""restonb new: an empty build folder."""

from __future__ import annotations

import argparse
from pathlib import Path

from restonb.record import Record
from restonb.stated import Build

EXAMPLE = """example:
  restonb new my-build --name "Wrenfield 450"
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, help="where to make it; must not exist, or be empty")
    command.add_argument("--name", default="", help="what the machine is called")


def answer(args: argparse.Namespace) -> int:
    build = Build.create(args.folder, args.name or args.folder.resolve().name)
    Record.open(build).close()
    print(f"made {build.folder}")
    print(
        f"next: in {build.folder / 'specs'} take the '# ' from the rows that your machine has and write your manual's limits "
        f"into them;\n      gauges go into instruments.csv, joints into joints.toml; then 'restonb bench -b {args.folder}'"
    )
    return 0
