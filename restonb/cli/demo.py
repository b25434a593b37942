"""restonb demo: a fresh copy of the Wrenfield 450, its story played back, every template run, the record exported."""

from __future__ import annotations

import argparse
import shutil
from pathlib import Path

from restonb.cli.replay import replay
from restonb.errors import RestonbError
from restonb.handover import hand_over
from restonb.stated import Build, shipped

EXAMPLE = """examples:
  restonb demo                                    into wrenfield-450, or the next free name
  restonb demo somewhere/else
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=Path, nargs="?", help="where to make it; must not exist, or be empty")
    command.add_argument("--quick", action="store_true", help="play the story back, but do not export")


def answer(args: argparse.Namespace) -> int:
    folder = _free(args.folder)
    source = shipped("data_demo")
    shutil.copytree(source, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("story", "README.md"))
    build = Build.open(folder)
    print(f"playing back the restoration of the {build.name} (an invented machine) in {build.folder}", flush=True)
    with replay(build, source / "story", lambda line: print(f"  {line}", flush=True)) as record:
        if not args.quick:
            done = hand_over(build, record)
            print(f"\nthe record for a buyer:\n  PDF   {done.pdf}\n  page  {done.html}\n  zip   {done.zip}")
    print(f"\nlog     {build.log}")
    print(f"next:   restonb status -b {folder}\n        restonb bench -b {folder}")
    return 0


def _free(folder: Path | None) -> Path:
    """The folder asked for if nothing is in it, else the first free name."""
    if folder is not None:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise RestonbError(f"{folder} is not empty; name a new folder, or leave the name out")
        return folder
    names = (Path("wrenfield-450" if i == 1 else f"wrenfield-450-{i}") for i in range(1, 1000))
    return next(path for path in names if not path.exists())
