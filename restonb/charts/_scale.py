"""Which stretch of a scale to show, and limits drawn on it: no single value may squash the others."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from statistics import median
from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from restonb.charts._look import INK, PAPER, WEAR, ZONE
from restonb.charts._page import Key
from restonb.charts._rows import Row, judged
from restonb.charts._text import num

LIMIT_LINE: dict[str, Any] = {"color": INK, "lw": 1.5, "ls": "-", "solid_capstyle": "butt"}
WEAR_LINE: dict[str, Any] = {"color": INK, "lw": 1.5, "ls": (0, (5, 1.5, 1, 1.5))}
GUARD: dict[str, Any] = {"facecolor": "none", "edgecolor": "#7A7A7A", "hatch": "////", "lw": 0}
ZONE_KEY = Key("within limits", patch={"facecolor": ZONE, "edgecolor": "none"})
GUARD_KEY = Key("guard zone", patch={**GUARD, "lw": 0.5})
WEAR_KEY = Key("up to the wear limit", patch={"facecolor": WEAR, "edgecolor": "none"})
BAR_KEY = Key("value with its uncertainty U", line={"color": INK, "lw": 1.6})


def view(values: Iterable[float | None], anchors: Iterable[float | None]) -> tuple[float, float]:
    """The stretch to show: all anchors, and every value that is not far out; the rest is off scale."""
    held = sorted({a for a in anchors if a is not None})
    seen = sorted(v for v in values if v is not None)
    if not held and not seen:
        return 0.0, 1.0
    middle = median(seen) if seen else held[0]
    spread = 4.0 * median(abs(v - middle) for v in seen) if seen else 0.0
    if len(held) > 1:
        reach = max(2.0 * (held[-1] - held[0]), 0.0)
        low, high = held[0] - reach, held[-1] + reach
    else:
        near = [middle, *held]
        reach = max(spread, 1.5 * (max(near) - min(near)), 1e-12)
        low, high = min(near) - reach, max(near) + reach
    low, high = _grown(seen, low, high)
    inside = [v for v in seen if low <= v <= high]
    if seen and not inside:  # nothing lies near the limits: show the nearest, so that the distance is seen
        nearest = min(seen, key=lambda v: min(abs(v - a) for a in held) if held else 0.0)
        inside = [nearest]
    ends = [*held, *inside]
    low, high = min(ends), max(ends)
    pad = 0.1 * (high - low) or abs(high) * 0.1 or 1.0
    return low - pad, high + pad


def _grown(seen: Sequence[float], low: float, high: float) -> tuple[float, float]:
    """The stretch grown over values that follow on: only what stands alone, far off, is left out."""
    for v in seen:
        if high < v <= high + 0.3 * (high - low):
            high = v
    for v in reversed(seen):
        if low > v >= low - 0.3 * (high - low):
            low = v
    return low, high


def anchors(found: Iterable[Row]) -> list[float]:
    """All limits of the rows."""
    return sorted({limit for row in found for limit in row.limits if limit is not None})


def guard_of(row: Row) -> float:
    """Width of the guard zone on each side of a limit, in the row's unit."""
    return row.guard if row.guard is not None else row.U or 0.0


def zones(ax: Axes, row: Row, at: float, thick: float, ends: tuple[float, float], upright: bool = False) -> None:
    """The ground of one row: within limits, up to the wear limit, guard zones, and the limits as lines."""

    def block(start: float, end: float, **look: Any) -> None:
        start, end = max(start, ends[0]), min(end, ends[1])
        if end <= start:
            return
        place = (at - thick / 2, start) if upright else (start, at - thick / 2)
        size = (thick, end - start) if upright else (end - start, thick)
        ax.add_patch(Rectangle(place, *size, **look))

    def line(value: float, look: dict[str, Any]) -> None:
        across, along = [at - thick / 2, at + thick / 2], [value, value]
        ax.plot(*((across, along) if upright else (along, across)), zorder=3, **look)

    low = -float("inf") if row.lower is None else row.lower
    high = float("inf") if row.upper is None else row.upper
    if row.lower is not None or row.upper is not None:
        block(low, high, facecolor=ZONE, edgecolor="none", zorder=1)
    if row.wear_limit is not None:
        near = [v for v in (row.lower, row.upper) if v is not None]
        if near and row.wear_limit > max(near):
            block(max(near), row.wear_limit, facecolor=WEAR, edgecolor="none", zorder=1)
        elif near and row.wear_limit < min(near):
            block(row.wear_limit, min(near), facecolor=WEAR, edgecolor="none", zorder=1)
        line(row.wear_limit, WEAR_LINE)
    for limit in (row.lower, row.upper):
        if limit is not None:
            line(limit, LIMIT_LINE)
    width = guard_of(row)
    for limit in judged(row):
        block(limit - width, limit + width, zorder=2, **GUARD)


def limit_names(found: Sequence[Row]) -> list[tuple[float, str]]:
    """Each limit with the words to write at it, in order of size."""
    named: dict[float, list[str]] = {}
    for row in found:
        for value, name in zip(row.limits, ("lower", "upper", "wear limit"), strict=True):
            if value is not None and name not in named.setdefault(value, []):
                named[value].append(name)
    return [(value, f"{' and '.join(names)} {num(value)}") for value, names in sorted(named.items())]


def value_mark(
    ax: Axes, row: Row, at: float, ends: tuple[float, float], length: float, size: float = 8.5,
    upright: bool = False,
) -> bool:  # fmt: skip
    """The value with its uncertainty bar, on a scale of `length` inches.

    Returns whether it is off the scale: then an arrow at the edge and its number say so.
    """
    from restonb.charts._page import mark

    if row.value is None:
        return False
    low, high = ends
    if low <= row.value <= high:
        if row.U:
            reach = (row.value - row.U, row.value + row.U)
            along = [max(reach[0], low), min(reach[1], high)]
            ax.plot(*_turned(along, [at, at], upright), color=INK, lw=1.6, zorder=4, solid_capstyle="butt")
            caps = [v for v in reach if low <= v <= high]  # none where the bar goes on beyond the scale
            cap: dict[str, Any] = {"ls": "none", "marker": "_" if upright else "|", "ms": 7, "mew": 1.3}
            ax.plot(*_turned(caps, [at] * len(caps), upright), color=INK, zorder=4, **cap)
        mark(ax, *((at, row.value) if upright else (row.value, at)), row.word, size)
        return False
    over = row.value > high
    edge = high if over else low
    back = -1 if over else 1
    step = 0.2 * (high - low) / length
    tip, tail = edge, edge + back * step
    start, stop = ((at, tail), (at, tip)) if upright else ((tail, at), (tip, at))
    arrow = {"arrowstyle": "-|>", "color": INK, "lw": 1.3, "shrinkA": 0, "shrinkB": 0}
    ax.annotate("", xy=stop, xytext=start, arrowprops=arrow, zorder=5)
    mark(ax, *start, row.word, size)
    box = {"facecolor": PAPER, "edgecolor": "none", "pad": 1.0, "alpha": 0.92}
    said = f"off scale: {num(row.value)}"
    if upright:
        ax.annotate(said, start, xytext=(7, 0), textcoords="offset points", va="center", size=8.4, bbox=box, zorder=6)
    else:
        ha = "right" if over else "left"
        ax.annotate(
            said, start, xytext=(9 * back, 0), textcoords="offset points", ha=ha, va="center", size=8.4,
            bbox=box, zorder=6,
        )  # fmt: skip
    return True


def _turned(along: Sequence[float], across: Sequence[float], upright: bool) -> tuple[Sequence[float], Sequence[float]]:
    """x and y of points along the scale."""
    return (across, along) if upright else (along, across)
