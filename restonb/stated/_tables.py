"""Typed access to one TOML table: what is missing or of the wrong type becomes a mistake in the report."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from restonb import quantity
from restonb.errors import QuantityError
from restonb.quantity import Quantity
from restonb.stated._text import Report, quoted, refused
from restonb.stated._toml import Document, TomlPath

__all__ = ["Table", "wording"]


def wording(value: object) -> str:
    """A TOML value as it would be found in the file, roughly."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return str(value)


def _middle(text: str) -> str:
    """'19 ft-lb' for '18-20 ft-lb', as manuals state torques; '' where it is not a range."""
    ends = re.fullmatch(r"(\d+\.?\d*) *(?:-|–|to) *(\d+\.?\d*) *(\D.*)", text.strip())
    if ends is None:
        return ""
    return f"{(float(ends[1]) + float(ends[2])) / 2:g} {ends[3]}"


def _is_bare(text: str, kinds: tuple[str, ...]) -> bool:
    """Whether all that is missing is the unit."""
    try:
        quantity.read(text, quantity.names_of(kinds[0])[0])
    except QuantityError:
        return False
    return True


class Table:
    """One table of a document, read key by key."""

    def __init__(self, document: Document, path: TomlPath, data: Mapping[str, Any], report: Report) -> None:
        self.document, self.path, self.data, self.report = document, path, data, report

    def wrong(self, key: str, found: str, write: str, *further: str | int) -> None:
        self.report.add(*self.document.place(*self.path, key, *further), found, write)

    def table(self, key: str) -> Table:
        """The table below `key`, empty when it is not given."""
        value = self.data.get(key, {})
        if not isinstance(value, dict):
            self.wrong(key, f"{key} = {wording(value)}", f"write a table: [{'.'.join(map(str, (*self.path, key)))}]")
            value = {}
        return Table(self.document, (*self.path, key), value, self.report)

    def text(self, key: str, needed: str = "") -> str:
        """A text; a key that is `needed` says why when it is missing or empty."""
        value = self.data.get(key, "")
        if not isinstance(value, str):
            self.wrong(key, f"{key} = {wording(value)}", f'write text in double quotes: {key} = "..."')
            return ""
        if needed and not value.strip():
            self.wrong(key, f"no {key}", needed)
        return value.strip()

    def flag(self, key: str) -> bool:
        value = self.data.get(key, False)
        if not isinstance(value, bool):
            self.wrong(key, f"{key} = {wording(value)}", "write true or false, without quotes")
            return False
        return value

    def count(self, key: str) -> int:
        """A whole number of at least 1; 1 when it is not given."""
        value = self.data.get(key, 1)
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 999:
            self.wrong(key, f"{key} = {wording(value)}", "write a whole number from 1 to 999, without quotes")
            return 1
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts, each once."""
        value = self.data.get(key, [])
        if not isinstance(value, list):
            item = value if isinstance(value, str) else "..."
            self.wrong(key, f"{key} = {wording(value)}", f'write a list: {key} = ["{item}"]')
            return ()
        for i, item in enumerate(value):
            if not isinstance(item, str) or not item.strip():
                self.wrong(key, f"{wording(item)} in the list", 'write each item as text: "..."', i)
        return tuple(dict.fromkeys(i.strip() for i in value if isinstance(i, str) and i.strip()))

    def quantity(self, key: str, kinds: tuple[str, ...], example: str) -> Quantity | None:
        """A quantity of one of `kinds`, with its unit written out; None when it is not given."""
        return self.read(key, self.data[key], kinds, example) if key in self.data else None

    def read(self, key: str, value: object, kinds: tuple[str, ...], example: str, *further: int) -> Quantity | None:
        if not isinstance(value, str):
            self.wrong(key, f"{key} = {wording(value)}", f"write it with its unit, in quotes: {example}", *further)
            return None
        try:
            found = quantity.read(value)
        except QuantityError as error:
            if _is_bare(value, kinds):
                self.wrong(key, f"{key} = {quoted(value)} without a unit", f"write it like {example}", *further)
            elif middle := _middle(value):
                self.wrong(
                    key,
                    f"{key} = {quoted(value)}, which is a range",
                    f"write one value, such as its middle {quoted(middle)}; the range itself can go in source",
                    *further,
                )
            else:
                self.wrong(key, *refused(error), *further)
            return None
        if found.kind not in kinds:
            self.wrong(
                key,
                f"{key} = {quoted(value)}, which is {found.kind}",
                f"write {' or '.join(kinds)}: {example}",
                *further,
            )
            return None
        if found.value < 0:
            self.wrong(key, f"{key} = {quoted(value)} below zero", f"write it without a sign: {example}", *further)
            return None
        return found
