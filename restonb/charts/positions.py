"""Where is it inside, and where not? Verdicts at the places where they were measured."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyBboxPatch, Polygon

from restonb.charts._look import INK, MUTED, PAPER, RULE, SMALL, TEXT, TINTS, TRACK, style
from restonb.charts._page import EDGE, WIDTH, Page, verdict_key
from restonb.charts._places import JOIN, Places, places
from restonb.charts._plan import apart, fitted, hull, sides
from restonb.charts._rows import Row, counts, grouped, rows, worst
from restonb.charts._say import capital, facts, headline, limits_of, notes, spoken
from restonb.charts._text import cut, num, width, with_u

BLOCK = 0.56
"""Height in inches of the name, value and word at one place."""
CARDS = 30
"""Above this many cards, the uncertainty is told once, in the notes."""


def position_map(verdicts: Any, points: Any = None, *, date: str = "") -> Figure:
    """Value, word and shape of each verdict, drawn where it was measured.

    `verdicts`: as for `tolerance_bars`. `points`: position -> (x, y) in plan, y upwards, any unit, or a
    Layout of `restonb.measure`; without it feet, clock faces, grids ('a / b') and lists show by the names.
    """
    with style():
        found = rows(verdicts)
        title = headline(found)
        panels = [_Panel(g, places(g, points), len(grouped(found)) > 1) for g in grouped(found)]
        page = Page(
            title,
            facts(found, date),
            sum(p.high for p in panels) or 0.3,
            alt=spoken(found, title, date),
            word=worst(found),
            key=verdict_key(word for word, _ in counts(r.word for r in found)),
            notes=[*_numbering(panels), *notes(found)],
        )
        y = page.top
        for panel in panels:
            _draw(page, panel, y)
            y += panel.high
        return page.figure


@dataclass(frozen=True, slots=True)
class _Panel:
    group: tuple[Row, ...]
    where: Places
    headed: bool

    @property
    def high(self) -> float:
        head = 0.32 if self.headed else 0.0
        if self.where.kind == "grid":
            return head + 0.3 + BLOCK * len(self.where.down) + 0.1
        if self.where.kind == "list":
            return head + _card(self.group)[2] * math.ceil(len(self.group) / _card(self.group)[0]) + 0.1
        left, right = sides(self.where.xy)
        return head + max(2.7 if self.where.kind == "clock" else 2.4, (BLOCK + 0.1) * max(len(left), len(right)) + 0.2)


def _numbering(panels: Sequence[_Panel]) -> list[str]:
    said = []
    if any(p.where.kind == "plan" and not p.where.scale for p in panels):
        said.append("A sketch, not to scale: feet numbered clockwise from the front left, seen from above.")
    if any(p.where.kind == "clock" for p in panels):
        said.append("Clock face as seen by whoever measured; 12:00 is on top.")
    for panel in panels:
        if panel.where.kind == "list" and len(panel.group) > CARDS:
            largest = max((r.U or 0.0 for r in panel.group), default=0.0)
            if largest:
                said.append(f"Values in {panel.group[0].unit}, uncertainty U up to {num(largest, largest)}.")
    return said


def _draw(page: Page, panel: _Panel, top: float) -> None:
    bottom = top + panel.high
    if panel.headed:
        said = limits_of(panel.group)
        room = WIDTH - 3 * EDGE - width(said, SMALL)
        page.write(EDGE, top + 0.12, cut(capital(panel.group[0].what), room, bold=True), bold=True)
        page.write(WIDTH - EDGE, top + 0.12, said, size=SMALL, color=MUTED, ha="right")
        top += 0.32
    if panel.where.kind == "grid":
        _grid(page, panel, top)
    elif panel.where.kind == "list":
        _cards(page, panel.group, top)
    else:
        _face(page, panel, top, bottom)


def value_label(row: Row) -> str:
    """The value with its uncertainty and unit."""
    return "no value" if row.value is None else f"{with_u(row.value, row.U)} {row.unit}".rstrip()


def _block(page: Page, row: Row, x: float, y: float, ha: str, room: float) -> None:
    """Name, value and word of one place, centred on y."""
    page.write(x, y - 0.17, cut(row.position, room), ha=ha, color=MUTED)
    page.write(x, y, value_label(row), ha=ha, bold=True)
    page.write(x, y + 0.17, row.word, ha=ha)


def _face(page: Page, panel: _Panel, top: float, bottom: float) -> None:
    group, where = panel.group, panel.where
    spots = _spots(where, top + 0.28, bottom - 0.28)
    middle = (WIDTH / 2, (top + bottom) / 2)
    if where.kind == "clock":
        page.canvas.add_patch(Circle(middle, _radius(top, bottom), fc=TRACK, ec=RULE, lw=1.2, zorder=1))
        page.canvas.plot(*middle, marker="+", ms=9, color=RULE, mew=1.2)
        page.canvas.plot([middle[0]] * 2, [middle[1], middle[1] - 0.35], color=RULE, lw=1.0)
        page.write(middle[0], middle[1] - 0.46, "12:00", size=SMALL, color=MUTED, ha="center")
    elif len(spots) > 2:
        outline = Polygon(hull(list(spots.values())), closed=True, fc=TRACK, ec=RULE, lw=1.2, zorder=1)
        page.canvas.add_patch(outline)
    by_name = {row.position: row for row in group}
    for side, ha in zip(sides(where.xy), ("right", "left"), strict=True):
        edge = WIDTH / 2 + (-1.75 if ha == "right" else 1.75)
        room = edge - EDGE if ha == "right" else WIDTH - EDGE - edge
        heights = apart([spots[n][1] for n in side], BLOCK + 0.06, top + 0.26, bottom - 0.26)
        for name, y in zip(side, heights, strict=True):
            row = by_name[name]
            x0, y0 = spots[name]
            near = edge + (0.06 if ha == "right" else -0.06)
            page.canvas.plot([x0, near], [y0, y], color=RULE, lw=0.9, zorder=2)
            page.mark(x0, y0, row.word, 14)
            _block(page, row, edge, y, ha, room)


def _radius(top: float, bottom: float) -> float:
    return min(1.25, (bottom - top) / 2 - 0.28)


def _spots(where: Places, top: float, bottom: float) -> dict[str, tuple[float, float]]:
    """The places in inches on the page, in true proportion, in the middle of the page."""
    centre = (WIDTH / 2, (top + bottom) / 2)
    if where.kind == "clock":
        size = _radius(top - 0.28, bottom + 0.28)
        return {n: (centre[0] + size * x, centre[1] - size * y) for n, (x, y) in where.xy.items()}
    return fitted(where.xy, (WIDTH / 2 - 1.25, top, WIDTH / 2 + 1.25, bottom))


def _grid(page: Page, panel: _Panel, top: float) -> None:
    where = panel.where
    by_name = {tuple(r.position.split(JOIN, 1)): r for r in panel.group}
    turned = bool(by_name) and next(iter(by_name))[0] not in where.down
    names = min(max(width(n) for n in where.down), 1.6)
    left = EDGE + names + 0.14
    wide = min((WIDTH - EDGE - left) / len(where.across), 2.1)
    for column, name in enumerate(where.across):
        page.write(left + wide * (column + 0.5), top + 0.14, cut(name, wide - 0.1), ha="center", color=MUTED)
    for line, name in enumerate(where.down):
        y = top + 0.3 + BLOCK * line
        page.stack(EDGE, y + BLOCK / 2, name, names + 0.01, color=MUTED)
        for column, other in enumerate(where.across):
            row = by_name.get((other, name) if turned else (name, other))
            if row is not None:
                _cell(page, row, left + wide * column, y, wide, BLOCK)


def _cell(page: Page, row: Row, x: float, y: float, wide: float, high: float) -> None:
    _ground(page, row, x, y, wide, high)
    page.mark(x + 0.2, y + high / 2, row.word, 9)
    text = value_label(row)
    size = SMALL if width(text, bold=True) > wide - 0.42 else TEXT
    page.write(x + 0.37, y + high / 2 - 0.1, text, bold=True, size=size)
    page.write(x + 0.37, y + high / 2 + 0.11, row.word, size=SMALL)


def _ground(page: Page, row: Row, x: float, y: float, wide: float, high: float) -> None:
    dashed = row.value is None
    page.canvas.add_patch(
        FancyBboxPatch(
            (x + 0.05, y + 0.04), wide - 0.1, high - 0.08, boxstyle="round,pad=0,rounding_size=0.05",
            fc=TINTS.get(row.word, PAPER), ec=RULE if dashed else INK, lw=0.8, zorder=1,
            ls="--" if dashed else "-",
        )
    )  # fmt: skip


def _card(group: Sequence[Row]) -> tuple[int, float, float]:
    """How many cards stand in a line, and how wide and high one is in inches."""
    if len(group) > CARDS:
        texts = [width(f"{r.position}  ", SMALL) + width(num(r.value, r.U), bold=True) for r in group]
    else:
        texts = [max(width(value_label(r), bold=True), width(r.position, SMALL)) for r in group]
    need = max(max(min(text, 2.6), width(r.word, SMALL)) for r, text in zip(group, texts, strict=True))
    room = WIDTH - 2 * EDGE + 0.1
    count = max(1, min(int(room / (need + 0.5)), len(group), 6))
    return count, min(room / count, 3.4), 0.74 if len(group) <= CARDS else 0.48


def _cards(page: Page, group: Sequence[Row], top: float) -> None:
    count, wide, high = _card(group)
    for number, row in enumerate(group):
        x, y = EDGE - 0.05 + wide * (number % count), top + high * (number // count)
        _ground(page, row, x, y, wide, high)
        page.mark(x + 0.2, y + high / 2, row.word, 8.5)
        room, middle = wide - 0.48, y + high / 2
        if len(group) > CARDS:  # name and value in one line
            text = num(row.value, row.U)
            left = room - width(text, bold=True) - 0.08
            page.write(x + 0.36, middle - 0.09, cut(row.position, left, SMALL), size=SMALL, color=MUTED)
            page.write(x + 0.36 + room, middle - 0.09, text, bold=True, ha="right")
            page.write(x + 0.36, middle + 0.09, row.word, size=SMALL)
            continue
        page.write(x + 0.36, middle - 0.18, cut(row.position, room, SMALL), size=SMALL, color=MUTED)
        page.write(x + 0.36, middle, cut(value_label(row), room, bold=True), bold=True)
        page.write(x + 0.36, middle + 0.18, row.word, size=SMALL)
