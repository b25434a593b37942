"""Where the positions of a characteristic are drawn: in plan, on a clock face, in a grid, in a list."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from restonb.charts._rows import Row
from restonb.measure import layout
from restonb.words import clock_degrees

JOIN = " / "


@dataclass(frozen=True, slots=True)
class Places:
    """How a group of positions is drawn: `kind` is plan, clock, grid or list; `xy` with y upwards."""

    kind: str
    xy: dict[str, tuple[float, float]] = field(default_factory=dict)
    across: tuple[str, ...] = ()
    down: tuple[str, ...] = ()
    scale: bool = False
    """Whether `xy` is the real plan, in the proportions of the machine."""


def places(group: Sequence[Row], points: Any = None) -> Places:
    """The places of the positions of one characteristic.

    `points` maps positions to (x, y) in plan, or is a Layout of `restonb.measure`; without it the names
    of the positions tell: feet, times on a clock face, a grid of 'a / b', or a plain list.
    """
    names = [row.position for row in group]
    given = _points_given(points, names)
    if given:
        return Places("plan", given, scale=True)
    if len(names) > 1 and all(JOIN in name for name in names):
        down = tuple(dict.fromkeys(name.split(JOIN, 1)[0] for name in names))
        across = tuple(dict.fromkeys(name.split(JOIN, 1)[1] for name in names))
        if len(across) > 5 >= len(down):
            return Places("grid", across=down, down=across)
        return Places("grid", across=across, down=down) if len(across) <= 5 else Places("list")
    times = [clock_degrees(name) for name in names]
    if len(names) > 2 and all(t is not None for t in times) and len(names) <= 24:
        return Places("clock", {n: _on_circle(t or 0.0) for n, t in zip(names, times, strict=True)})
    if 2 < len(names) <= 12 and all(re.fullmatch(r"foot \d+", name) for name in names):
        return Places("plan", _sketch(names))
    return Places("list")


def _sketch(names: Sequence[str]) -> dict[str, tuple[float, float]]:
    """Feet whose plan nobody gave, as `restonb.measure` lays them out."""
    lie = {p.name: (p.x, p.y) for p in layout(f"feet {max(int(n.split()[1]) for n in names)}").places}
    return {name: lie[name] for name in names}


def _on_circle(degrees: float) -> tuple[float, float]:
    turn = math.radians(degrees)
    return (math.sin(turn), math.cos(turn))


def _points_given(points: Any, names: Sequence[str]) -> dict[str, tuple[float, float]]:
    """The points that were handed over, for the positions at hand; empty unless every position has one."""
    if points is None:
        return {}
    if not isinstance(points, Mapping):
        points = {p.name: (p.x, p.y) for p in points.places} if points.kind == "feet" else {}
    found = {name: points[name] for name in names if name in points}
    if len(found) < len(names):
        return {}
    return {name: (float(x), float(y)) for name, (x, y) in found.items()}
