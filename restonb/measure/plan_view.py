"""How the positions of a pattern lie, for drawing and for the entry grid."""

from __future__ import annotations

import math
from typing import NamedTuple

from restonb.measure.positions import SEPARATOR, blocks_of, parts_of

__all__ = ["Layout", "Place", "layout"]


class Place(NamedTuple):
    """A position in plan: `x` to the right, `y` up, in units of the drawing; `row` and `column` in an entry grid."""

    name: str
    x: float
    y: float
    row: str
    column: str


class Layout(NamedTuple):
    """How the positions of a pattern lie. `kind` is 'once', 'list', 'feet', 'clock' or 'grid'.

    clock: on the unit circle, 12:00 at the top, clockwise. feet: seen from above, numbered clockwise from the
    front left. list: one below the other. grid: first factor downwards, the others to the right.
    """

    pattern: str
    kind: str
    places: tuple[Place, ...]

    @property
    def rows(self) -> tuple[str, ...]:
        """Row names of an entry grid, in order."""
        return tuple(dict.fromkeys(p.row for p in self.places))

    @property
    def columns(self) -> tuple[str, ...]:
        """Column names of an entry grid, in order; ('',) where there is only one."""
        return tuple(dict.fromkeys(p.column for p in self.places))

    def at(self, row: str, column: str = "") -> Place | None:
        """The place in that cell of the entry grid; None where a ragged grid has none."""
        return next((p for p in self.places if p.row == row and p.column == column), None)


def layout(pattern: str) -> Layout:
    """Where the positions lie, for drawing and for the entry grid. Raises PositionError as `expand` does."""
    parts = parts_of(pattern)
    blocks = blocks_of(pattern)
    single = blocks[0][0] if len(blocks) == 1 and len(blocks[0]) == 1 else None
    if any(len(p) > 1 for p in parts):
        return Layout(pattern, "grid", _grid(parts))
    names = [p[0] for p in parts]
    if single is not None and single.kind in ("clock", "feet"):
        around = _round if single.kind == "clock" else _corners
        spots = dict(zip(single.names, around(len(single.names)), strict=True))
        return Layout(pattern, single.kind, tuple(Place(n, *spots[n], n, "") for n in names))
    kind = "once" if names == ["once"] else "list"
    return Layout(pattern, kind, tuple(Place(n, 0.0, -float(i), n, "") for i, n in enumerate(names)))


def _grid(parts: tuple[tuple[str, ...], ...]) -> tuple[Place, ...]:
    rows = list(dict.fromkeys(p[0] for p in parts))
    columns = list(dict.fromkeys(SEPARATOR.join(p[1:]) for p in parts))
    places = []
    for p in parts:
        column = SEPARATOR.join(p[1:])
        spot = (float(columns.index(column)), -float(rows.index(p[0])))
        places.append(Place(SEPARATOR.join(p), *spot, p[0], column))
    return tuple(places)


def _round(n: int) -> list[tuple[float, float]]:
    angles = [2 * math.pi * i / n for i in range(n)]
    return [(math.sin(a), math.cos(a)) for a in angles]


def _corners(n: int) -> list[tuple[float, float]]:
    """Feet clockwise from the front left: two rows if their number is even, else round a circle."""
    if n % 2 or n == 2:
        return [(-1.0, 0.0), (1.0, 0.0)] if n == 2 else _round(n)
    half = n // 2
    across = [-1.0 + 2.0 * i / (half - 1) for i in range(half)]
    return [(x, 1.0) for x in across] + [(x, -1.0) for x in reversed(across)]
