"""The executed notebooks of the log, copied without what the machine that ran them left in their metadata."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from restonb.handover.facts import Facts

__all__ = ["copy_log", "stays_home"]

PRIVATE = "application/vnd.restonb.private+json"
"""An output of a page that says which choice of `privacy` must be asked for before it may leave."""

_TAKEN = (".ipynb", ".html")
_PLACES = ("papermill", "widgets", "execution")
"""Metadata that names folders, holds widget state, or says when the machine was busy."""


def copy_log(facts: Facts, target: Path, step: Callable[[str], None] = lambda _: None) -> list[str]:
    """Copy the folder of every filed run that there is; answers the runs whose folder is missing, in words.

    Only files below the build's log folder are taken, whatever an entry says; pages that say they are private, only
    where what they hold was asked for.
    """
    missing = []
    home = facts.build.folder.resolve()
    for run in facts.runs:
        if not run.folder:
            continue
        source = (home / run.folder).resolve()
        if not source.is_relative_to(home / "log") or not source.is_dir():
            missing.append(f"run of entry {run.seq}: its folder {run.folder} is missing")
            continue
        if stays_home(facts, source):
            continue
        step(run.folder)
        place = target.joinpath(*(_plain_name(part) for part in source.relative_to(home / "log").parts))
        for file in _files(source):
            place.mkdir(parents=True, exist_ok=True)
            copy = place / _plain_name(file.name)
            if file.suffix == ".ipynb":
                copy.write_text(_bare(file, home), encoding="utf-8")
            else:
                copy.write_text(_without_home(file.read_text(encoding="utf-8"), home), encoding="utf-8")
    return missing


def stays_home(facts: Facts, folder: Path) -> bool:
    """Whether a notebook in this folder of the log says that it is private, and that was not asked for.

    One that cannot be read stays, too.
    """
    for file in _files(folder) if folder.is_dir() else ():
        if file.suffix == ".ipynb":
            try:
                book = json.loads(file.read_text(encoding="utf-8"))
                outputs = [o for c in book["cells"] for o in c.get("outputs", ())]
                asked = {o["data"][PRIVATE]["choice"] for o in outputs if PRIVATE in o.get("data", {})}
            except (ValueError, KeyError, TypeError, AttributeError):
                return True
            if not asked <= facts.include:
                return True
    return False


def _files(source: Path) -> Iterator[Path]:
    for file in sorted(source.iterdir()):
        if file.suffix in _TAKEN and file.is_file() and not file.is_symlink():
            yield file


def _bare(file: Path, home: Path) -> str:
    text = _without_home(file.read_text(encoding="utf-8"), home)
    try:
        book: dict[str, Any] = json.loads(text)
    except ValueError:
        return text
    for part in (book, *book.get("cells", ())):
        kept = part.get("metadata") or {}
        part["metadata"] = {k: v for k, v in kept.items() if k not in _PLACES}
    return json.dumps(book, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def _without_home(text: str, home: Path) -> str:
    """Paths of the owner's machine as paths of the build."""
    for place in (home, Path.home()):
        if len(place.parts) > 1:
            text = text.replace(json.dumps(str(place))[1:-1], "BUILD" if place == home else "HOME")
    return text


def _plain_name(name: str) -> str:
    return re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip(".") or "unnamed"
