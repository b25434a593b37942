"""specs/*.csv: the spec book, one row per characteristic, each limit with its source."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence

from restonb.errors import BuildError
from restonb.measure import Characteristic
from restonb.stated._text import quoted
from restonb.words import listed, nearest

__all__ = ["SPEC_COLUMNS", "SPEC_OPTIONAL", "SpecBook"]

SPEC_COLUMNS = (
    "sheet",
    "characteristic",
    "what",
    "positions",
    "nominal",
    "lower",
    "upper",
    "wear_limit",
    "unit",
    "instrument",
    "safety",
    "source",
)
SPEC_OPTIONAL = ("remedy",)
"""Columns that a spec file may have."""


class SpecBook:
    """Every characteristic of a build, in the order of the files and their rows."""

    def __init__(self, rows: Sequence[Characteristic], lines: Mapping[tuple[str, str], int]) -> None:
        self._rows = {(row.sheet, row.key): row for row in rows}
        self._lines = dict(lines)

    def __iter__(self) -> Iterator[Characteristic]:
        return iter(self._rows.values())

    def __len__(self) -> int:
        return len(self._rows)

    @property
    def sheets(self) -> tuple[str, ...]:
        """The names of all sheets, in the order of the files."""
        return tuple(dict.fromkeys(sheet for sheet, _ in self._rows))

    @property
    def subsystems(self) -> tuple[str, ...]:
        """The names of the spec files that have rows."""
        return tuple(dict.fromkeys(row.subsystem for row in self))

    def sheet(self, name: str) -> tuple[Characteristic, ...]:
        """The characteristics of one sheet. Raises BuildError for a sheet that no spec file has."""
        rows = tuple(row for row in self if row.sheet == name)
        if not rows:
            meant = nearest(name, self.sheets)
            raise BuildError(
                f"no sheet {quoted(name)} in the spec book; "
                + (
                    f"write {quoted(meant)}"
                    if meant
                    else f"the sheets are: {listed(self.sheets, 12, ',')}"
                    if self.sheets
                    else "write its characteristics into a file in specs/"
                )
            )
        return rows

    def get(self, sheet: str, key: str) -> Characteristic:
        """One characteristic. Raises BuildError naming the near one."""
        try:
            return self._rows[sheet, key]
        except KeyError:
            known = [row.key for row in self.sheet(sheet)]
            meant = nearest(key, known)
            raise BuildError(
                f"no characteristic {quoted(key)} in sheet {quoted(sheet)}; "
                + (f"write {quoted(meant)}" if meant else f"it has: {listed(known, 12, ',')}")
            ) from None

    def subsystem(self, sheet: str) -> str:
        """The spec file that a sheet stands in, without '.csv'."""
        return self.sheet(sheet)[0].subsystem

    def line_of(self, row: Characteristic) -> int:
        """The line of its file that a characteristic stands in; 0 where it was not read from a file."""
        return self._lines.get((row.sheet, row.key), 0)

    def place_of(self, row: Characteristic) -> str:
        """File and line, as in 'specs/drivetrain.csv:12'."""
        return f"specs/{row.subsystem}.csv:{self.line_of(row)}"

    @staticmethod
    def digest(row: Characteristic) -> str:
        """SHA-256 of everything that a row states, so that a later edit shows."""
        stated = row._asdict()
        if not row.remedy:  # as it was before a row could state one: what was filed then is not out of date
            del stated["remedy"]
        return hashlib.sha256(_TEXT.encode(stated).encode()).hexdigest()


_TEXT = json.JSONEncoder(sort_keys=True, ensure_ascii=False, separators=(",", ":"))
