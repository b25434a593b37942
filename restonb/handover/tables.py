"""The data as CSV, with a description of every column (Data Package and Table Schema, JSON) and UCUM unit codes.

Written row by row from an iterator, so that the number of rows does not matter.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from restonb.handover.report import clean

__all__ = ["Field", "cell", "describe", "write_table"]

# A spreadsheet takes such a cell for a formula; some also take the full-width signs.
_FORMULA = re.compile(r"[\s]*[=+\-@\uff0b\uff0d\uff1d\uff20|%']")
_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")


@dataclass(frozen=True, slots=True)
class Field:
    """One column: its name, its Table Schema type, and what it says."""

    name: str
    type: str
    what: str


def cell(value: Any) -> str:
    """A value as the text of one cell. Text that a spreadsheet would take for a formula gets an apostrophe before
    it, and so does text that begins with one, so that taking one away always gives the text back.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    text = clean(str(value))
    if _NUMBER.fullmatch(text):
        return text
    return f"'{text}" if _FORMULA.match(text) else text


def write_table(path: Path, columns: Iterable[Field], rows: Iterable[Mapping[str, Any]]) -> int:
    """One CSV file (RFC 4180, UTF-8), with a heading. Answers the number of rows."""
    names = [column.name for column in columns]
    count = 0
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(names)
        for row in rows:
            writer.writerow([cell(row.get(name)) for name in names])
            count += 1
    return count


def describe(tables: Mapping[str, tuple[str, tuple[Field, ...]]], name: str) -> str:
    """The description of the tables, `{file name: (what it holds, columns)}`, as a Data Package (JSON)."""
    package = {
        "name": name,
        "title": "Tables of a restoration record",
        "description": (
            "Every table is worked out from entries.jsonl. 'seq' is the number of the entry. A text that begins "
            "with = + - @ | % or ' is written with an apostrophe before it, so that no spreadsheet takes it for "
            "a formula."
        ),
        "resources": [
            {
                "name": file.removesuffix(".csv"),
                "path": file,
                "description": what,
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "schema": {
                    "fields": [{"name": f.name, "type": f.type, "description": f.what} for f in columns],
                    "missingValues": [""],
                },
            }
            for file, (what, columns) in tables.items()
        ],
    }
    return json.dumps(package, indent=2, ensure_ascii=False) + "\n"
