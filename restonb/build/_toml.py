"""TOML with the place of every key and value, which the standard library's reader does not give.

`tomllib` decides what is valid. What it has accepted is then scanned once more, only to find where each
key stands, so that a mistake in a value can be told with its line and column.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Collection, Mapping
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from restonb.build._text import Report, listed, near, quoted, read_text

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
                meant = near(key, [k for k in known if k not in table])
                report.add(
                    *self.place(*path, key),
                    f"unknown key {quoted(key)}",
                    f"write {quoted(meant)}" if meant else f"use only: {listed(known, 20)}",
                )


def read_toml(path: Path, report: Report, missing: str) -> Document:
    """The document at `path`. Raises BuildError when there is no file or it is no TOML."""
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
    return _Scan(text).places


_AT = re.compile(r"^(.*) \(at (?:line (\d+), column (\d+)|end of document)\)$", re.DOTALL)
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
    found = _AT.match(str(error))
    reason, line, column = (found[1], found[2], found[3]) if found else (str(error), None, None)
    if line is None and reason == "Invalid value":
        reason = "Unclosed array: invalid value at the end"
    if line is None:
        line, column = text.count("\n") + 1, len(text.rsplit("\n", 1)[-1]) + 1
    advice = next((a for start, a in _ADVICE if reason.startswith(start)), "write: key = value")
    reason = reason[:1].lower() + reason[1:]
    report.add(int(line), int(column or 0), f"text that is no TOML ({reason})", advice)


_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_KEY = re.compile(r"""[ \t]*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))[ \t]*""")
_STRING = re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}|' r"'''.*?'{3,5}|" r'"(?:[^"\\]|\\.)*"|' r"'[^']*'", re.DOTALL)
_SCALAR = re.compile(r"[^,\]}#\n\r]+")


class _Scan:
    """Walks through valid TOML and notes where keys and list items start."""

    def __init__(self, text: str) -> None:
        self.text = text.replace("\r\n", "\n")
        self.starts = [0, *(m.end() for m in re.finditer("\n", self.text))]
        self.places: dict[TomlPath, tuple[int, int]] = {}
        self.at = 0
        self.lists: dict[TomlPath, int] = {}
        # A place is a help, not a need: what was found so far is kept, the rest points further out.
        with suppress(AssertionError, IndexError, RecursionError):
            self._document()

    def _document(self) -> None:
        table: TomlPath = ()
        self._blank()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._blank()

    def _blank(self) -> None:
        found = _BLANK.match(self.text, self.at)
        assert found is not None
        self.at = found.end()

    def _note(self, path: TomlPath, at: int) -> None:
        line = bisect_right(self.starts, at) - 1
        self.places.setdefault(path, (line + 1, at - self.starts[line] + 1))

    def _words(self) -> list[tuple[str, int]]:
        """A dotted key: its parts, and where each starts."""
        words: list[tuple[str, int]] = []
        while True:
            found = _KEY.match(self.text, self.at)
            assert found is not None
            word = next(g for g in found.groups() if g is not None)
            if found[1] is not None and "\\" in word:
                word = tomllib.loads(f'k = "{word}"')["k"]
            words.append((word, found.end() - len(found[0].lstrip())))
            self.at = found.end()
            if not self.text.startswith(".", self.at):
                return words
            self.at += 1

    def _under(self, base: TomlPath, words: list[tuple[str, int]]) -> TomlPath:
        """The path of a dotted key below `base`; a list of tables on the way means its newest table."""
        for word, at in words:
            base = (*base, word)
            self._note(base, at)
            if base in self.lists:
                base = (*base, self.lists[base])
        return base

    def _header(self) -> TomlPath:
        start = self.at
        if not self.text.startswith("[[", start):
            self.at += 1
            path = self._under((), self._words())
            self.at += 1
            return path
        self.at += 2
        words = self._words()
        path = (*self._under((), words[:-1]), words[-1][0])
        self._note(path, start)
        self.lists[path] = self.lists.get(path, -1) + 1
        path = (*path, self.lists[path])
        self._note(path, start)
        self.at += 2
        return path

    def _pair(self, table: TomlPath) -> None:
        path = self._under(table, self._words())
        assert self.text.startswith("=", self.at)
        self.at += 1
        self._value(path)

    def _value(self, path: TomlPath) -> None:
        self._blank()
        first = self.text[self.at]
        if first == "[":
            self._items(path)
        elif first == "{":
            self._inline(path)
        elif first in "\"'":
            found = _STRING.match(self.text, self.at)
            assert found is not None
            self.at = found.end()
        else:
            found = _SCALAR.match(self.text, self.at)
            assert found is not None
            self.at = found.end()

    def _items(self, path: TomlPath) -> None:
        self.at += 1
        index = 0
        self._blank()
        while self.text[self.at] != "]":
            self._note((*path, index), self.at)
            self._value((*path, index))
            index += 1
            self._blank()
            if self.text[self.at] == ",":
                self.at += 1
                self._blank()
        self.at += 1

    def _inline(self, path: TomlPath) -> None:
        self.at += 1
        self._blank()
        while self.text[self.at] != "}":
            self._pair(path)
            self._blank()
            if self.text[self.at] == ",":
                self.at += 1
                self._blank()
        self.at += 1
