"""How deep is this hole drilled and tapped, and which metal is left?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from restonb.charts._look import BLUE, INK, MUTED, ORANGE, PAPER, RULE, SKY, SMALL, VERMILLION, style
from restonb.charts._page import EDGE, WIDTH, Key, Page
from restonb.charts._plan import apart
from restonb.charts._text import wrap
from restonb.quantity import write

METAL: dict[str, Any] = {"facecolor": "#E9E9E9", "edgecolor": "#9A9A9A", "hatch": "///", "lw": 0.0}
INSERT: dict[str, Any] = {"facecolor": SKY, "edgecolor": INK, "lw": 0.8}
TAPPED: dict[str, Any] = {"facecolor": "#FBEBCB", "edgecolor": ORANGE, "lw": 0.8}
BORE: dict[str, Any] = {"facecolor": PAPER, "edgecolor": INK, "lw": 1.2}

POINT = 118.0
"""Angle of the drill's point, in degrees, as in the plan."""
MOST = 3.9
"""Height of the drawing in inches."""
LABELS = 2.75
"""Room for the words on the right."""


@dataclass(frozen=True, slots=True)
class _Scale:
    """Millimetres of the part to inches of the page."""

    x: float
    y: float
    per_mm: float

    def at(self, x: float, depth: float) -> tuple[float, float]:
        return self.x + x * self.per_mm, self.y + depth * self.per_mm


def thread_section(
    plan: Any,
    depth: float | None = None,
    edge: float | None = None,
    *,
    thread: str = "",
    date: str = "",
    source: str = "",
) -> Figure:
    """The hole of a thread repair in section, to scale: insert, thread, bore, drill point, floor and wall.

    `plan`: the answer of threads.repair_plan. `depth` is the thickness of the part at the hole, `edge` from the
    middle of the hole to the nearest edge, both in mm; None where it is not known. A hole without a full depth in
    the plan goes right through.
    """
    with style():
        through = plan.full_depth is None
        bottom = depth if depth is not None else (plan.length * 1.5 if through else plan.drill_mark * 1.15)
        left = min(edge, 2.5 * plan.hole_major) if edge is not None else 1.6 * plan.hole_major
        right = 1.6 * plan.hole_major
        per_mm = min(MOST / max(bottom, plan.drill_mark or 0), (WIDTH - 2 * EDGE - LABELS - 0.3) / (left + right))
        marks = sorted(_marks(plan, depth, through), key=lambda mark: mark[0])
        title = _title(plan, thread)
        facts = [f"drill {plan.drill}", f"{plan.tap}", f"{plan.method} {_mm(plan.length)} long", "n = 1 hole",
                 date or "no date given"]  # fmt: skip
        key = [Key("insert or bush", patch=INSERT), Key("tapped", patch=TAPPED),
               Key("drilled", patch=BORE), Key("metal", patch=METAL)]  # fmt: skip
        page = Page(
            title, facts, max(bottom, plan.drill_mark or 0) * per_mm + 0.55, key=key,
            alt=f"{title}. " + "; ".join(f"{text}" for _, text, _ in marks) + f"; {_wall(plan, edge)}.",
            notes=[f"To scale, depths in mm from the face. {_wall(plan, edge)}.", f"Plan: {source}." if source else ""],
        )  # fmt: skip
        scale = _Scale(EDGE + 0.15 + left * per_mm, page.top + 0.3, per_mm)
        _part(page, scale, left, right, bottom, depth is not None)
        _hole(page, scale, plan, bottom, through)
        _edge(page, scale, plan, edge, left)
        _labels(page, scale, marks, right)
        return page.figure


def _mm(value: float) -> str:
    return write(round(value, 1), "mm")


def _title(plan: Any, thread: str) -> str:
    head = f"{thread}: " if thread else ""
    if not plan.possible:
        return f"{head}this hole does not fit into the part"
    if plan.edge_enough is False:
        return f"{head}the plan, with the edge nearer than two bolt diameters"
    if plan.full_depth is None:
        return f"{head}drill and tap right through"
    return f"{head}drill to {_mm(plan.drill_mark)}, tap to {_mm(plan.tap_mark)} by the stop tape"


def _wall(plan: Any, edge: float | None) -> str:
    if plan.wall is None or edge is None:
        return "Distance to the nearest edge not known"
    left = f"{_mm(plan.wall)} of metal is left" if plan.wall > 0 else f"the hole breaks out by {_mm(-plan.wall)}"
    return f"Nearest edge {_mm(edge)} from the middle: {left}"


def _marks(plan: Any, depth: float | None, through: bool) -> list[tuple[float, str, str]]:
    """Depth, words, colour; from the face down."""
    marks = [(0.0, "face of the part", INK), (plan.length, f"{_mm(plan.length)}  end of the {plan.method}", BLUE)]
    if not through:
        marks += [
            (plan.tap_mark, f"{_mm(plan.tap_mark)}  tip of the tap: stop tape on the tap", INK),
            (plan.full_depth, f"{_mm(plan.full_depth)}  full bore of the drill", INK),
            (plan.drill_mark, f"{_mm(plan.drill_mark)}  tip of the drill: stop tape on the drill", INK),
        ]
    if depth is None:
        return [*marks, ((plan.drill_mark or plan.length * 1.5) * 1.1, "what lies below is not known", VERMILLION)]
    if through:
        return [*marks, (depth, f"{_mm(depth)}  far side of the part", INK)]
    floor = f"{_mm(plan.floor)} left below the drill" if plan.floor > 0 else f"breaks through by {_mm(-plan.floor)}"
    return [*marks, (depth, f"{_mm(depth)}  far side: {floor}", INK if plan.floor > 0 else VERMILLION)]


def _part(page: Page, scale: _Scale, left: float, right: float, bottom: float, known: bool) -> None:
    x, y = scale.at(-left, 0)
    page.canvas.add_patch(Rectangle((x, y), (left + right) * scale.per_mm, bottom * scale.per_mm, zorder=1, **METAL))
    for depth in (0, bottom) if known else (0,):
        page.canvas.plot([x, scale.at(right, 0)[0]], [scale.at(0, depth)[1]] * 2, color=INK, lw=1.4, zorder=2)


def _hole(page: Page, scale: _Scale, plan: Any, bottom: float, through: bool) -> None:
    bore, thread = plan.drill_diameter / 2, plan.hole_major / 2
    full = bottom if through else plan.full_depth
    tip = 0.0 if through else bore / math.tan(math.radians(POINT / 2))
    outline = [(-bore, 0), (-bore, full), (0, full + tip), (bore, full), (bore, 0)]
    page.canvas.add_patch(Polygon([scale.at(*p) for p in outline], closed=True, zorder=3, **BORE))
    tapped = bottom if through else plan.tap_mark
    inner = 2 * bore - thread  # the bolt's side of the insert, drawn as far inside the bore as the thread is outside
    for side in (-1, 1):
        for deep, out, look in ((tapped, bore, TAPPED), (plan.length, inner, INSERT)):
            a, b = sorted((side * thread, side * out))
            x, y = scale.at(a, 0)
            size = ((b - a) * scale.per_mm, deep * scale.per_mm)
            page.canvas.add_patch(Rectangle((x, y), *size, zorder=4, **look))
    top, low = scale.at(0, -1.2), scale.at(0, full + tip + 1.2)
    page.canvas.plot([top[0], low[0]], [top[1], low[1]], color=RULE, lw=0.8, ls="-.", zorder=5)


def _edge(page: Page, scale: _Scale, plan: Any, edge: float | None, left: float) -> None:
    """The nearest edge, and the wall between it and the thread; a broken line where it lies farther out."""
    x, y = scale.at(-left, 0)
    if edge is None:
        return
    whole = edge <= left + 1e-9
    low = page.bottom - 0.25
    page.canvas.plot([x, x], [y, low], color=INK, lw=1.6 if whole else 0.8, ls="-" if whole else ":", zorder=5)
    height = y - 0.12
    page.canvas.annotate("", xy=(x, height), xytext=(scale.at(0, 0)[0], height),
                         arrowprops={"arrowstyle": "<|-|>", "color": MUTED, "lw": 1.0, "shrinkA": 0, "shrinkB": 0})  # fmt: skip
    page.halo((x + scale.at(0, 0)[0]) / 2, height - 0.02, _mm(edge), ha="center", size=SMALL, zorder=9)


def _labels(page: Page, scale: _Scale, marks: list[tuple[float, str, str]], right: float) -> None:
    edge = WIDTH - EDGE - LABELS
    heights = apart([scale.at(0, d)[1] for d, _, _ in marks], 0.3, page.top + 0.12, page.bottom - 0.1)
    for (depth, text, color), y in zip(marks, heights, strict=True):
        x0, y0 = scale.at(0, depth)
        start = scale.at(right, 0)[0]
        page.canvas.plot([x0, start + 0.05, edge - 0.06], [y0, y0, y], color=RULE, lw=0.8, ls=":", zorder=6)
        lines = wrap(text, LABELS, SMALL, lines=2)
        for n, line in enumerate(lines):
            page.write(edge, y + 0.14 * (n - (len(lines) - 1) / 2), line, size=SMALL, color=color)
