"""One panel of values against their limits: one line per position and round of measuring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from restonb.charts._look import INK, MUTED, PAPER, RULE, SMALL, TRACK, Mark
from restonb.charts._page import EDGE, WIDTH, Key, Page, mark, verdict_key
from restonb.charts._rows import Row, counts
from restonb.charts._say import capital, limits_of
from restonb.charts._scale import (
    BAR_KEY,
    GUARD_KEY,
    WEAR_KEY,
    ZONE_KEY,
    anchors,
    guard_of,
    limit_names,
    value_mark,
    view,
    zones,
)
from restonb.charts._text import cut, num, span, width, with_u

MANY = 24
"""Above this many positions, they stand side by side instead of one under the other."""
STRIP = 2.5
SIDE = 1.3
NAMES = 1.75
"""Room in inches for the names of the positions, and for those of the limits beside a strip."""
MOST_NAMED = 4
"""With more different limits than this, each position states its own."""
EARLIER = Mark("o", PAPER, RULE, scale=0.8)


@dataclass(frozen=True, slots=True)
class Panel:
    """One characteristic: its positions and what each round of measuring gave there. Places are in inches."""

    lines: tuple[tuple[Row, ...], ...]
    """Per position one row per round, the newest last."""
    rounds: tuple[str, ...]
    headed: bool
    ends: tuple[float, float]
    left: float
    wide: float
    high: float
    names: tuple[tuple[float, float, float, int, str], ...] = ()
    """Limit, its place, the place of its words, their level, the words."""
    words: float = 0.0
    values: float = 0.0
    labels: float = 0.0

    @property
    def rows(self) -> tuple[Row, ...]:
        return tuple(row for line in self.lines for row in line)

    @property
    def over(self) -> float:
        levels = max((name[3] for name in self.names), default=-1) + 1
        return (0.3 if self.headed else 0.0) + (0.1 + 0.17 * levels if levels else 0.05)

    @property
    def body(self) -> float:
        return self.over + self.high + 0.47


def panel(lines: Sequence[Sequence[Row]], rounds: Sequence[str] = (), headed: bool = False) -> Panel:
    """Lay out one characteristic. `rounds` names the rounds of measuring where there is more than one."""
    held = tuple(tuple(line) for line in lines)
    all_rows = [row for line in held for row in line]
    ends = view((r.value for r in all_rows), anchors(all_rows))
    if len(held) > MANY:
        left = EDGE + 0.62
        return Panel(held, tuple(rounds), headed, ends, left, WIDTH - left - SIDE, STRIP)
    worn = [f"worn in {r.worn_in:.0f} %" for r in all_rows if r.worn_in is not None and not rounds]
    words = WIDTH - EDGE - max([width(r.word) for r in all_rows] + [width(w, SMALL) for w in worn])
    values = words - 0.3
    before_values = values - max(width(with_u(r.value, r.U), bold=True) for r in all_rows) - 0.14
    labels = before_values - max((min(width(r, SMALL), 1.2) for r in rounds), default=0.0)
    room = 1.15 if rounds else NAMES
    own = len(limit_names(all_rows)) > MOST_NAMED
    said = [r.position for r in all_rows] + ([span(r.lower, r.upper, r.unit) for r in all_rows] if own else [])
    left = EDGE + min(max(map(width, said)), room) + 0.14
    wide = labels - left - (0.14 if rounds else 0.0)
    tall = 0.2 * len(rounds) + 0.16 if rounds else 0.42 if any(r.worn_in is not None for r in all_rows) else 0.31
    names = spread(limit_names(all_rows), ends, left, wide)
    high = tall * len(held)
    return Panel(held, tuple(rounds), headed, ends, left, wide, high, names, words, values, labels)


def keys(panels: Sequence[Panel]) -> list[Key]:
    """The key of everything that the panels show."""
    found = [row for p in panels for row in p.rows]
    said = verdict_key(word for word, _ in counts(r.word for r in found))
    if any(r.lower is not None or r.upper is not None for r in found):
        said.append(ZONE_KEY)
    if any(r.wear_limit is not None for r in found):
        said.append(WEAR_KEY)
    if any(guard_of(r) and anchors([r]) for r in found):
        said.append(GUARD_KEY)
    if any(r.U for r in found):
        said.append(BAR_KEY)
    if any(len(p.lines) > MANY and p.rounds for p in panels):
        said.append(Key("earlier", EARLIER))
    return said


def draw(page: Page, p: Panel, top: float) -> None:
    """Draw a panel from `top` inches down."""
    if p.headed:
        said = limits_of(p.rows)
        room = WIDTH - 3 * EDGE - width(said, SMALL)
        page.write(EDGE, top + 0.12, cut(capital(p.rows[0].what), room, bold=True), bold=True)
        page.write(WIDTH - EDGE, top + 0.12, said, size=SMALL, color=MUTED, ha="right")
    if len(p.lines) > MANY:
        _side_by_side(page, p, top + p.over)
    else:
        _one_under_the_other(page, p, top + p.over)


def spread(
    names: Sequence[tuple[float, str]], ends: tuple[float, float], left: float, wide: float
) -> tuple[tuple[float, float, float, int, str], ...]:
    """Places for the words of the limits: to the side or a line higher where they would touch."""
    if not 0 < len(names) <= MOST_NAMED:
        return ()
    at = [left + wide * (value - ends[0]) / (ends[1] - ends[0]) for value, _ in names]
    half = [width(text, SMALL) / 2 for _, text in names]

    def clear(tried: Sequence[tuple[int, int]]) -> bool:
        spots = [(x + side * (h - 0.04), h, level) for x, h, (level, side) in zip(at, half, tried, strict=True)]
        for n, (middle, h, level) in enumerate(spots):
            if not EDGE <= middle - h <= middle + h <= WIDTH - EDGE:
                return False
            for m, (other, k, higher) in enumerate(spots):
                if m != n and level == higher and abs(middle - other) < h + k + 0.08:
                    return False
                if m != n and higher > level and abs(at[m] - middle) < h + 0.03:
                    return False
        return True

    options = sorted(product(range(len(names)), (0, 1, -1)), key=lambda o: (o[0], abs(o[1])))
    tries = sorted(product(options, repeat=len(names)), key=lambda t: sum(10 * lv + abs(sd) for lv, sd in t))
    best = next((t for t in tries if clear(t)), tuple((n, 0) for n in range(len(names))))
    return tuple(
        (value, x, x + side * (h - 0.04), level, text)
        for (value, text), x, h, (level, side) in zip(names, at, half, best, strict=True)
    )


def _one_under_the_other(page: Page, p: Panel, top: float) -> None:
    tall = p.high / len(p.lines)
    ax = page.axes(p.left, top, p.wide, p.high)
    ax.set_ylim(len(p.lines) - 0.5, -0.5)
    ax.set_xlim(*p.ends)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.xaxis.set_major_locator(MaxNLocator(min(5, max(2, int(p.wide / 0.7))), min_n_ticks=2))
    ax.grid(axis="x")
    ax.set_xlabel(p.rows[0].unit or "no unit")
    for at, line in enumerate(p.lines):
        ax.axhspan(at - 0.4, at + 0.4, color=TRACK, lw=0, zorder=0)
        widest = max(line, key=guard_of)
        zones(ax, widest, at, 0.8, p.ends)
        _place(page, p, line[-1], top + tall * (at + 0.5))
        step = 0.2 / tall
        heights = [at + step * (n - (len(line) - 1) / 2) for n in range(len(line))]
        _link(ax, p, line, heights)
        for number, (row, height) in enumerate(zip(line, heights, strict=True)):
            value_mark(ax, row, height, p.ends, p.wide, 8.5 if number == len(line) - 1 else 7.0)
            _tell(page, p, row, number, top + tall * (height + 0.5))
    for _, x, middle, level, text in p.names:
        foot = top - 0.06 - 0.17 * level
        page.canvas.plot([x, x], [foot + 0.02, top], color=INK, lw=0.8)
        page.write(middle, foot - 0.06, text, size=SMALL, ha="center")


def _place(page: Page, p: Panel, row: Row, y: float) -> None:
    """The name of the position; with its limits where these differ too much to stand above."""
    room = p.left - EDGE - 0.13
    if p.names or not anchors(p.rows):
        page.stack(EDGE, y, row.position, room)
        return
    page.write(EDGE, y - 0.07, cut(row.position, room, SMALL), size=SMALL)
    page.write(EDGE, y + 0.075, cut(span(row.lower, row.upper, row.unit), room, SMALL), size=SMALL, color=MUTED)


def _link(ax: Axes, p: Panel, line: Sequence[Row], heights: Sequence[float]) -> None:
    """A thin line from round to round, so that the eye follows the change."""
    seen = [(row.value, h) for row, h in zip(line, heights, strict=True) if row.value is not None]
    if len(seen) > 1:
        xs = [min(max(value, p.ends[0]), p.ends[1]) for value, _ in seen]
        ax.plot(xs, [h for _, h in seen], color=MUTED, lw=1.0, ls=":", zorder=3.5)


def _tell(page: Page, p: Panel, row: Row, number: int, y: float) -> None:
    """Round, value and word at the right of a line."""
    newest = number == len(p.rounds) - 1 or not p.rounds
    if p.rounds:
        page.write(p.labels, y, cut(p.rounds[number], 1.2, SMALL), size=SMALL, color=MUTED)
    page.write(p.values, y, with_u(row.value, row.U), bold=newest, ha="right")
    page.mark(p.words - 0.14, y, row.word, 7.5 if newest else 6.5)
    worn = row.worn_in is not None and not p.rounds
    page.write(p.words, y - (0.08 if worn else 0.0), row.word)
    if worn:
        page.write(p.words, y + 0.09, f"worn in {row.worn_in:.0f} %", size=SMALL, color=MUTED)


def _side_by_side(page: Page, p: Panel, top: float) -> None:
    ax = page.axes(p.left, top, p.wide, p.high)
    ax.set_xlim(-0.7, len(p.lines) - 0.3)
    ax.set_ylim(*p.ends)
    ax.grid(axis="y")
    newest = [line[-1] for line in p.lines]
    alike = len({r.limits for r in newest}) == 1 and len({guard_of(r) for r in newest if r.value is not None}) < 2
    if alike:
        usual = max(newest, key=guard_of)
        zones(ax, usual, (len(newest) - 1) / 2, len(newest) + 0.4, p.ends, upright=True)
    low, high = p.ends
    for at, line in enumerate(p.lines):
        row = line[-1]
        if not alike:
            zones(ax, row, at, 1.0, p.ends, upright=True)
        for old in line[:-1]:
            if old.value is not None and low <= old.value <= high:
                mark(ax, at, old.value, EARLIER, 5, zorder=3.8)
        if row.value is None:
            mark(ax, at, low + 0.04 * (high - low), row.word, 5)
        elif not value_mark(ax, row, at, p.ends, p.high, 6, upright=True) and row.word != "inside":
            _name(ax, at, row, len(newest))
    step = next(s for s in (5, 10, 20, 50, 100, 10**9) if len(newest) / s <= 10)
    places = [0, *range(step - 1, len(newest), step)]
    names = [newest[m].position for m in places]
    short = max(width(n, SMALL) for n in names) < p.wide / (len(places) + 1)
    ax.set_xticks(places, names if short else [str(m + 1) for m in places])
    ax.set_xlabel(cut(f"position ({newest[0].position} to {newest[-1].position})", p.wide))
    ax.set_ylabel(newest[0].unit)
    last = -1.0
    for value, text in reversed(limit_names(newest)):
        y = max(top + p.high * (high - value) / (high - low), last + 0.15)
        page.write(WIDTH - SIDE + 0.06, y, text, size=SMALL)
        last = y


def _name(ax: Axes, at: int, row: Row, count: int) -> None:
    """The name and number of a position that is not plainly inside."""
    late = at > 0.75 * count
    ax.annotate(
        f"{row.position}: {num(row.value, row.U)}", (at, row.value or 0.0), xytext=(-8 if late else 8, 0),
        textcoords="offset points", ha="right" if late else "left", va="center", size=SMALL, zorder=7,
        bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.8, "alpha": 0.85},
    )  # fmt: skip
