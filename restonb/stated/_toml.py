"""TOML in which a mistake can be told with its line and column; `tomllib` decides what is valid."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from restonb.stated._text import Report, quoted, read_text
from restonb.words import listed, nearest

__all__ = ["Document", "TomlPath", "read_toml"]

TomlPath = tuple[str | int, ...]


class Document(NamedTuple):
    """What the file says, and where it says it."""

    data: dict[str, Any]
    text: str

    @property
    def places(self) -> dict[TomlPath, tuple[int, int]]:
        """Line and column of every key and list item. Looked for only when a mistake is told."""
        return _places(self.text)

    def place(self, *path: str | int) -> tuple[int, int]:
        """Line and column of the key (or list item) at `path`, or of the nearest thing around it."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.places:
                return self.places[path[:length]]
        return (0, 0)

    def keys(self, table: Mapping[str, Any], path: TomlPath, known: Collection[str], report: Report) -> None:
        """Reports every key of `table` that is not `known`, with the near one."""
        for key in table:
            if key not in known:
                meant = nearest(key, [k for k in known if k not in table])
                report.add(
                    *self.place(*path, key),
                    f"unknown key {quoted(key)}",
                    f"write {quoted(meant)}" if meant else f"use only: {listed(known, 20, ',')}",
                )


def read_toml(path: Path, report: Report, missing: str) -> Document:
    """The document at `path`. Raises BuildError when there is no file or it is not TOML."""
    text = read_text(path, report, missing)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        _explain(error, text, report)
        report.stop()
        raise AssertionError from error
    except RecursionError:
        report.add(0, 0, "lists nested too deep", "write at most a few levels of [ ] and { }")
        report.stop()
        raise AssertionError from None
    return Document(data, text)


@lru_cache(maxsize=4)
def _places(text: str) -> dict[TomlPath, tuple[int, int]]:
    from restonb.stated._toml_places import places_in

    return places_in(text)


_AT = r"(?s)^(.*) \(at (?:line (\d+), column (\d+)|end of document)\)$"
_ADVICE = (
    ("Invalid value", 'put text and quantities in double quotes: "0.010 in"'),
    ("Cannot overwrite", "give each key only once; rename or remove this one"),
    ("Cannot declare", "give each [table] only once; join the two"),
    ("Unclosed array", "close the list with ]"),
    ("Unterminated string", 'close the text with "'),
    ("Illegal character", 'close the text with " on the same line'),
    ("Unescaped '\\'", "write \\\\ for one backslash"),
    ("Expected '='", "write: key = value; a key with blanks in it goes in double quotes"),
    ("Expected newline", "start a new line here, and put text with blanks in double quotes"),
)


def _explain(error: tomllib.TOMLDecodeError, text: str, report: Report) -> None:
    found = re.match(_AT, str(error))
    reason, line, column = (found[1], found[2], found[3]) if found else (str(error), None, None)
    if line is None and reason == "Invalid value":
        reason = "Unclosed array: invalid value at the end"
    if line is None:
        line, column = text.count("\n") + 1, len(text.rsplit("\n", 1)[-1]) + 1
    advice = next((a for start, a in _ADVICE if reason.startswith(start)), "write: key = value")
    reason = reason[:1].lower() + reason[1:]
    report.add(int(line), int(column or 0), f"text that is not TOML ({reason})", advice)
