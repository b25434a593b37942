"""Where every key and list item of a TOML text stands, which the standard library's reader does not tell.

What `tomllib` has accepted is scanned once more, only for that. It is loaded when a mistake is told.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from contextlib import suppress

__all__ = ["places_in"]

_Path = tuple[str | int, ...]


def places_in(text: str) -> dict[_Path, tuple[int, int]]:
    """Line and column, from 1, of each key and list item by its path."""
    return _Scan(text).places


_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_KEY = re.compile(r"""[ \t]*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))[ \t]*""")
_STRING = re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}|' r"'''.*?'{3,5}|" r'"(?:[^"\\]|\\.)*"|' r"'[^']*'", re.DOTALL)
_SCALAR = re.compile(r"[^,\]}#\n\r]+")


class _Scan:
    """Walks through valid TOML and notes where keys and list items start."""

    def __init__(self, text: str) -> None:
        self.text = text.replace("\r\n", "\n")
        self.starts = [0, *(m.end() for m in re.finditer("\n", self.text))]
        self.places: dict[_Path, tuple[int, int]] = {}
        self.at = 0
        self.lists: dict[_Path, int] = {}
        # A place is a help, not a need: what was found so far is kept, the rest points further out.
        with suppress(AssertionError, IndexError, RecursionError):
            self._document()

    def _document(self) -> None:
        table: _Path = ()
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

    def _note(self, path: _Path, at: int) -> None:
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

    def _under(self, base: _Path, words: list[tuple[str, int]]) -> _Path:
        """The path of a dotted key below `base`; a list of tables on the way means its newest table."""
        for word, at in words:
            base = (*base, word)
            self._note(base, at)
            if base in self.lists:
                base = (*base, self.lists[base])
        return base

    def _header(self) -> _Path:
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

    def _pair(self, table: _Path) -> None:
        path = self._under(table, self._words())
        assert self.text.startswith("=", self.at)
        self.at += 1
        self._value(path)

    def _value(self, path: _Path) -> None:
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

    def _items(self, path: _Path) -> None:
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

    def _inline(self, path: _Path) -> None:
        self.at += 1
        self._blank()
        while self.text[self.at] != "}":
            self._pair(path)
            self._blank()
            if self.text[self.at] == ",":
                self.at += 1
                self._blank()
        self.at += 1
