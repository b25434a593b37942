"""An earlier view is judged by the files of today, which keep no history: that is said, and which edits are known."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from restonb.record import Record, Standing, standing
from restonb.stated import Build

__all__ = ["data", "lines"]


def data(build: Build, record: Record, as_of: str | None, found: Standing | None = None) -> dict[str, Any]:
    """For a program; empty where no earlier day is asked for. `found` is the standing of that day, if it is known."""
    if not as_of:
        return {}
    from restonb.record import edited_since

    edited = edited_since(record, build, found or standing(record, build, as_of))
    return {"files": {"as_of": "today", "edited_since": edited}}


def lines(build: Build, record: Record, as_of: str | None, found: Standing | None = None) -> Iterator[str]:
    """The same in lines: each edit once, with the sheets that it bears on."""
    if not as_of:
        return
    sheets: dict[str, list[str]] = {}
    for sheet, texts in data(build, record, as_of, found)["files"]["edited_since"].items():
        for text in texts:
            sheets.setdefault(text, []).append(sheet)
    told = "edited since then, as far as the record knows:" if sheets else "the record knows of no edit since then"
    yield f"limits, gauges, rule, parameters and joints are those of today's files; {told}"
    yield from (f"  {text}: {', '.join(names)}" for text, names in sheets.items())
