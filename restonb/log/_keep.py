"""Putting the files of a run into the log: all of them in one step, into a folder of their own."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from restonb.errors import RunError
from restonb.record.ondisk import settle, sweep, unfinished, write
from restonb.stated import Build

__all__ = ["keep", "sweep_log"]


def keep(build: Build, name: str, when: datetime, contents: Mapping[str, str]) -> tuple[str, dict[str, str]]:
    """File name -> text, into a new folder of that day. Gives its path within the build, and the digest of each file.

    Raises RunError if the log cannot be written; then nothing is left there.
    """
    day = build.log / when.strftime("%Y-%m-%d")
    digests = {}
    try:
        begun = not day.is_dir()
        day.mkdir(parents=True, exist_ok=True)
        if begun:
            settle(build.log)
        with unfinished(day) as part:
            part.chmod(0o755)
            for file, text in contents.items():
                content = text.encode("utf-8")
                write(part / file, content)
                digests[file] = hashlib.sha256(content).hexdigest()
            settle(part)
            return _into_place(part, day, name).relative_to(build.folder).as_posix(), digests
    except OSError as error:
        raise RunError(f"the log cannot be written ({error.strerror}); make room, then run again") from error


def sweep_log(build: Build) -> None:
    """Remove what a killed run left half made."""
    for day in build.log.glob("*-*-*"):
        sweep(day)


def _into_place(part: Path, day: Path, name: str) -> Path:
    """Rename to the first name that is free: name, name-2, name-3 ... A folder is never replaced."""
    number = 1
    while True:
        target = day / (name if number == 1 else f"{name}-{number}")
        if not target.exists():
            try:
                part.rename(target)
                settle(day)
                return target
            except OSError:
                if not target.exists():
                    raise
        number += 1
