"""Tables that live as CSV beside their family: read once, as rows of text. A table is never extrapolated."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

__all__ = ["recalled", "rows"]


@cache
def rows(package: str, name: str) -> tuple[dict[str, str], ...]:
    """All rows of `name` in `package`, such as rows('restonb.formulas.fasteners', 'classes.csv')."""
    text = files(package).joinpath(name).read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return tuple(csv.DictReader(lines))


def recalled(row: Mapping[str, str], what: str, source: str = "") -> tuple[str, ...]:
    """The note that goes with a row whose standing is 'recalled'; none with another row.

    `what` names the row as the person knows it ('j7 at 100 mm'); `source` where the row has no column of that name.
    """
    if row["standing"] != "recalled":
        return ()
    return (
        f"{what} is recalled from {row.get('source') or source}, the print was not at hand: check it against the print before "
        "you rely on it",
    )
