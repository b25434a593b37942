"""Bars in rows: a name, a bar from zero, a number, a remark. For shares, drops and contributions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from restonb.charts._bars import spread
from restonb.charts._look import INK, MUTED, SKY, SMALL, TRACK, Mark
from restonb.charts._page import EDGE, WIDTH, Page
from restonb.charts._text import cut, width

ROW = 0.31
NAMES = 2.1


@dataclass(frozen=True, slots=True)
class Bar:
    """One row. `value` None draws no bar; `strong` is for totals and for the one that counts most."""

    name: str
    value: float | None
    text: str
    remark: str = ""
    mark: Mark | str = ""
    colour: str = SKY
    hatch: str = ""
    strong: bool = False
    reach: float = 0.0
    """Half-width of the uncertainty bar at its end."""


@dataclass(frozen=True, slots=True)
class Rows:
    """Where rows of bars stand, in inches."""

    bars: tuple[Bar, ...]
    unit: str
    ends: tuple[float, float]
    left: float
    wide: float
    texts: float
    remarks: float
    names: tuple[tuple[float, float, float, int, str], ...]

    @property
    def over(self) -> float:
        levels = max((name[3] for name in self.names), default=-1) + 1
        return 0.1 + 0.17 * levels if levels else 0.05

    @property
    def body(self) -> float:
        return self.over + ROW * max(len(self.bars), 1) + 0.47


def lay_out(bars: Sequence[Bar], unit: str, limits: Sequence[tuple[float, str]] = ()) -> Rows:
    """Places for rows of bars, with lines at the limits."""
    values = [b.value + s * b.reach for b in bars if b.value is not None for s in (-1, 1)]
    values += [v for v, _ in limits]
    low, high = min([0.0, *values]), max([0.0, *values])
    span = (high - low) or 1.0
    ends = (low - (0.06 * span if low < 0 else 0.0), high + 0.06 * span)
    marked = any(b.mark for b in bars)
    remarks = WIDTH - EDGE - max((width(b.remark) for b in bars), default=0.0)
    texts = remarks - (0.3 if marked else 0.16)
    left = EDGE + min(max((width(b.name, bold=b.strong) for b in bars), default=0.0), NAMES) + 0.14
    wide = texts - max((width(b.text, bold=True) for b in bars), default=0.0) - 0.14 - left
    names = spread(sorted(limits), ends, left, wide)
    return Rows(tuple(bars), unit, ends, left, wide, texts, remarks, names)


def draw(page: Page, rows: Rows, top: float) -> Axes:
    """Draw the rows from `top` inches down."""
    start = top + rows.over
    count = max(len(rows.bars), 1)
    ax = page.axes(rows.left, start, rows.wide, ROW * count)
    ax.set_ylim(count - 0.5, -0.5)
    ax.set_xlim(*rows.ends)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.xaxis.set_major_locator(MaxNLocator(min(5, max(2, int(rows.wide / 0.7))), min_n_ticks=2))
    ax.grid(axis="x")
    ax.set_xlabel(rows.unit or "no unit")
    ax.axvline(0.0, color=INK, lw=1.0, zorder=3)
    for at, bar in enumerate(rows.bars):
        y = start + ROW * (at + 0.5)
        ax.axhspan(at - 0.4, at + 0.4, color=TRACK, lw=0, zorder=0)
        if bar.value is not None:
            look: dict[str, Any] = {"fc": bar.colour, "ec": INK, "lw": 0.9, "hatch": bar.hatch, "zorder": 2}
            ax.add_patch(Rectangle((0.0, at - 0.26), bar.value, 0.52, **look))
            if bar.reach:
                at_ends = [bar.value - bar.reach, bar.value + bar.reach]
                ax.plot(at_ends, [at, at], color=INK, lw=1.4, marker="|", ms=6, mew=1.2, zorder=4)
        page.stack(EDGE, y, bar.name, rows.left - EDGE - 0.12, bold=bar.strong)
        page.write(rows.texts, y, bar.text, bold=True, ha="right")
        if bar.mark:
            page.mark(rows.remarks - 0.14, y, bar.mark, 7.5)
        page.write(rows.remarks, y, bar.remark, color=INK if bar.mark or bar.strong else MUTED)
    for value, x, middle, level, text in rows.names:
        ax.axvline(value, color=INK, lw=1.5, zorder=3.5)
        foot = start - 0.06 - 0.17 * level
        page.canvas.plot([x, x], [foot + 0.02, start], color=INK, lw=0.8)
        page.write(middle, foot - 0.06, cut(text, WIDTH - 2 * EDGE, SMALL), size=SMALL, ha="center")
    return ax
