"""Are the files that a record names still what they were? The notebooks and pages of runs, and the photos."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from restonb.record.ondisk import digest_of_file

__all__ = ["faults_of_files", "not_sealed"]

_NAMED = "SELECT seq, kind, body FROM entry WHERE kind <> 'reading' AND kind IN ('run', 'photo') ORDER BY seq"
_STRUCK = (
    "SELECT json_extract(body, '$.seq') FROM entry WHERE kind <> 'reading' AND kind = 'strike' AND json_valid(body)"
)


def faults_of_files(db: sqlite3.Connection, build: Path) -> Iterator[str]:
    """What is missing or was altered since its entry was made. Each file is read once, however often it is named."""
    struck = {seq for (seq,) in db.execute(_STRUCK)}
    known: dict[str, str | None] = {}
    for seq, kind, body in _bodies(db):
        if kind == "run":
            named = [(f"{body.get('folder')}/{file}", digest, "log") for file, digest in _files(body).items()]
        else:
            named = [(str(body.get("file")), body.get("sha256"), "photos")] if seq not in struck else []
        for name, digest, home in named:
            if name not in known:
                known[name] = _digest(build, name, home)
            if known[name] is None:
                yield f"entry {seq}: {name} is missing"
            elif known[name] != digest:
                yield f"entry {seq}: {name} was altered since it was filed"


def not_sealed(db: sqlite3.Connection) -> list[int]:
    """The entries of runs that were filed before their files had digests: nothing can be said of these files."""
    return [seq for seq, kind, body in _bodies(db) if kind == "run" and body.get("folder") and not _files(body)]


def _bodies(db: sqlite3.Connection) -> Iterator[tuple[int, str, dict[str, Any]]]:
    for seq, kind, text in db.execute(_NAMED):
        try:
            body = json.loads(text)
        except ValueError:
            continue  # which the chain of digests has told
        if isinstance(body, dict):
            yield seq, kind.decode() if isinstance(kind, bytes) else kind, body


def _files(body: dict[str, Any]) -> dict[str, Any]:
    files = body.get("files")
    return files if isinstance(files, dict) else {}


def _digest(build: Path, name: str, home: str) -> str | None:
    """None for what is not there, or not where such files belong: an entry may have come from somebody else."""
    try:
        path = (build / name).resolve()
        return digest_of_file(path) if path.is_relative_to((build / home).resolve()) and path.is_file() else None
    except (OSError, ValueError, RuntimeError):
        return None
