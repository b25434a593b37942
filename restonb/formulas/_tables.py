"""Tables that live as CSV beside their family: read once, as rows of text. A table is never extrapolated."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

__all__ = ["rows"]


@cache
def rows(package: str, name: str) -> tuple[dict[str, str], ...]:
    """All rows of `name` in `package`, such as rows('restonb.formulas.fasteners', 'classes.csv')."""
    text = files(package).joinpath(name).read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return tuple(csv.DictReader(lines))
