"""Does it sit on all its feet, and if not, what goes under which?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from restonb.charts._look import INK, MUTED, ORANGE, PAPER, RULE, SMALL, TRACK, VERMILLION, Mark, style
from restonb.charts._page import EDGE, WIDTH, Key, Page, mark, verdict_key
from restonb.charts._plan import apart, fitted, hull, sides
from restonb.charts._rows import Row, counts, number, rows, worst
from restonb.charts._say import capital, limits_of, notes
from restonb.charts._text import cut, days, num, step_of, stepped, wrap
from restonb.words import listed

CARRIES = Mark("s", INK, scale=0.95)
CLEAR = Mark("o", PAPER, scale=1.1)
SHIM = Mark("D", ORANGE, scale=0.95)
TALL = 2.9
ASIDE = 1.78
"""From the middle of the page to the words at a foot, in inches."""
LEAF = 0.055

Feet = Mapping[str, Sequence[float]] | Sequence[Sequence[float]]


def seating_map(
    feet: Feet,
    gaps: Mapping[str, float | None] | Sequence[float | None],
    shims: Mapping[str, Sequence[float] | float] | Sequence[Sequence[float] | float] = (),
    carrying: Sequence[str | int] = (),
    axis: Sequence[str | int] | None = None,
    *,
    verdicts: Any = None,
    limit: float | None = None,
    mass: Sequence[float] | None = None,
    unit: str = "mm",
    what: str = "gearbox",
    date: str = "",
    source: str = "",
) -> Figure:
    """The feet in plan: which carry, about which line it rocks, the gap and the stack of shims at each.

    `feet`: name -> (x, y), y towards the front, or a sequence of (x, y) for foot 1, foot 2 ...; `gaps` and
    `shims` by name or in the same order, in `unit`; a shim stack is its leaves, or the total. `carrying` and
    `axis` (two feet) hold names, or numbers counted from 0 in the order of `feet`. `verdicts` of the gaps add
    word and limits; `limit` is the largest gap allowed where there are none. `mass`: (x, y) of the centre of
    mass.
    """
    with style():
        xy = _plan(feet)
        names = list(xy)
        open_by = {n: number(v) for n, v in _by_name(gaps, names).items()}
        stacks = {n: _leaves(v) for n, v in _by_name(shims, names).items()}
        stacks = {n: leaves for n, leaves in stacks.items() if leaves}
        loaded, rocks = _called(carrying, names), _called(axis or (), names)
        judged = {row.position: row for row in rows(verdicts)} if verdicts is not None else {}
        judged = {n: row for n, row in judged.items() if n in xy}
        missing = [n for n in names if open_by.get(n) is None]
        title = _title(what, names, missing, stacks, rocks, loaded, unit)
        told = [
            limits_of(list(judged.values())) if judged else _limit_said(limit, unit),
            f"n = {len(names) - len(missing)} of {len(names)} gaps measured",
            *(f"{count} {word}" for word, count in counts(r.word for r in judged.values())),
            date or days(r.at for r in judged.values()) or "no date given",
        ]
        page = Page(
            title,
            told,
            max(TALL, 0.78 * max(map(len, sides(xy))) + 0.3),
            word=worst(judged.values()) if judged else _word(missing, stacks, rocks),
            key=_key(judged, stacks, rocks, mass, len(loaded) < len(names), bool(loaded)),
            notes=notes(list(judged.values()))
            if judged
            else [f"Limit: {source or 'no source given'}."]
            if limit is not None
            else [],
            alt=_alt(title, told, names, open_by, stacks, unit),
        )
        spots = _draw(page, xy, rocks, loaded, mass)
        step = step_of([*open_by.values(), *(leaf for leaves in stacks.values() for leaf in leaves)])
        for side, ha in zip(sides(xy), ("right", "left"), strict=True):
            heights = apart([spots[n][1] for n in side], 0.78, page.top + 0.5, page.bottom - 0.34)
            for name, y in zip(side, heights, strict=True):
                lines = _lines(name, loaded, open_by.get(name), stacks.get(name, ()), judged.get(name), unit, step)
                _tell(page, spots[name], y, ha, lines, judged.get(name))
                _stack(page, *spots[name], stacks.get(name, ()))
        return page.figure


def _plan(feet: Feet) -> dict[str, tuple[float, float]]:
    pairs = feet.items() if isinstance(feet, Mapping) else ((f"foot {n}", p) for n, p in enumerate(feet, 1))
    return {name: (float(p[0]), float(p[1])) for name, p in pairs}


def _by_name(given: Any, names: Sequence[str]) -> dict[str, Any]:
    return dict(given) if isinstance(given, Mapping) else dict(zip(names, given, strict=False))


def _leaves(stack: Any) -> tuple[float, ...]:
    if stack is None or isinstance(stack, str):
        return ()
    found = [stack] if isinstance(stack, int | float) else list(stack)
    return tuple(float(leaf) for leaf in found if float(leaf) > 0)


def _called(given: Sequence[str | int], names: Sequence[str]) -> list[str]:
    return [names[g] if isinstance(g, int) else str(g) for g in given]


def _limit_said(limit: float | None, unit: str) -> str:
    return "no limit given" if limit is None else f"limit at most {num(limit)} {unit}"


def _word(missing: Sequence[str], stacks: Mapping[str, Any], rocks: Sequence[str]) -> Mark | str:
    if missing:
        return "not measured"
    return SHIM if stacks else CLEAR if rocks else CARRIES


def _title(
    what: str, names: Sequence[str], missing: Sequence[str], stacks: Mapping[str, Sequence[float]],
    rocks: Sequence[str], loaded: Sequence[str], unit: str,
) -> str:  # fmt: skip
    who = capital(what)
    if len(missing) == len(names):
        return f"{who}: no gap measured yet"
    if rocks:
        state = f"{who} rocks about {listed(rocks, 4)}"
    elif len(loaded) == len(names):
        state = f"{who} sits on all {len(names)} feet"
    elif loaded:
        state = f"{who} rests on {listed(loaded, 5)}"
    else:
        state = f"{who}: gaps as measured"
    if stacks:
        step = step_of(leaf for leaves in stacks.values() for leaf in leaves)
        put = [f"{stepped(sum(leaves), step)} {unit} under {name}" for name, leaves in stacks.items()]
        return f"{state}: shim {listed(put, 4)}"
    return state if rocks or missing else f"{state}: no shims"


def _alt(
    title: str, told: Sequence[str], names: Sequence[str], gaps: Mapping[str, float | None],
    stacks: Mapping[str, Sequence[float]], unit: str,
) -> str:  # fmt: skip
    at = []
    for name in names:
        gap = gaps.get(name)
        said = f"{name} gap {num(gap)} {unit}" if gap is not None else f"{name} not measured"
        if name in stacks:
            said += f", shims {' + '.join(num(s) for s in stacks[name])} {unit}"
        at.append(said)
    return f"{title}. {', '.join(t for t in told if t)}. {'; '.join(at)}."


def _key(
    judged: Mapping[str, Row], stacks: Mapping[str, Any], rocks: Sequence[str], mass: Any, clear: bool, known: bool
) -> list[Key]:
    said = [Key("foot that carries", CARRIES)] if known else []
    if clear:
        said.append(Key("foot that is clear" if known else "foot", CLEAR))
    if rocks:
        said.append(Key("rocks about this line", line={"color": VERMILLION, "lw": 2.2, "ls": (0, (4, 1.6))}))
    if stacks:
        said.append(Key("shim leaf", patch={"facecolor": ORANGE, "edgecolor": INK, "lw": 0.8}))
    if mass is not None:
        said.append(Key("centre of mass", Mark("P", PAPER)))
    return said + verdict_key(word for word, _ in counts(r.word for r in judged.values()))


def _draw(
    page: Page, xy: dict[str, tuple[float, float]], rocks: Sequence[str], loaded: Sequence[str], mass: Any
) -> dict[str, tuple[float, float]]:
    """The feet on the page, and what carries."""
    every = {**xy, **({"": (float(mass[0]), float(mass[1]))} if mass is not None else {})}
    spots = fitted(every, (WIDTH / 2 - 1.2, page.top + 0.5, WIDTH / 2 + 1.2, page.bottom - 0.42))
    centre = spots.pop("", None)
    if len(spots) > 2:
        outline = Polygon(hull(list(spots.values())), closed=True, fc=TRACK, ec=RULE, lw=1.2, zorder=1)
        page.canvas.add_patch(outline)
    page.write(WIDTH / 2, page.top + 0.1, "↑ front, seen from above", size=SMALL, color=MUTED, ha="center")
    if len(rocks) == 2 and all(n in spots for n in rocks):
        (x0, y0), (x1, y1) = spots[rocks[0]], spots[rocks[1]]
        page.canvas.plot([x0, x1], [y0, y1], color=VERMILLION, lw=2.2, ls=(0, (4, 1.6)), zorder=2)
        page.halo(x0 + 0.3 * (x1 - x0), y0 + 0.3 * (y1 - y0), "rocks", ha="center", size=SMALL, bold=True)
    if centre is not None:
        mark(page.canvas, *centre, Mark("P", PAPER), 10)
    for name, (x, y) in spots.items():
        page.mark(x, y, CARRIES if name in loaded else CLEAR, 13)
    return spots


def _lines(
    name: str, loaded: Sequence[str], gap: float | None, stack: Sequence[float], row: Row | None,
    unit: str, step: float,
) -> list[str]:  # fmt: skip
    """What is said at one foot: name, gap, shims, verdict."""
    state = f"{name}, {'carries' if name in loaded else 'clear'}" if loaded else name
    written = num(gap, row.U) if row is not None and row.U else stepped(gap, step)
    lines = [state, f"gap {written} {unit}" if gap is not None else "gap not measured"]
    if len(stack) > 1:
        sums = " + ".join(stepped(leaf, step) for leaf in stack)
        lines += wrap(f"shims {sums} = {stepped(sum(stack), step)} {unit}", WIDTH / 2 - ASIDE - EDGE, bold=True)
    elif stack:
        lines.append(f"shim {stepped(stack[0], step)} {unit}")
    return [*lines, row.word] if row is not None else lines


def _tell(page: Page, spot: tuple[float, float], y: float, ha: str, lines: Sequence[str], row: Row | None) -> None:
    left = ha == "right"
    edge = WIDTH / 2 + (-ASIDE if left else ASIDE)
    page.canvas.plot([spot[0], edge + (0.06 if left else -0.06)], [spot[1], y], color=RULE, lw=0.9, zorder=1.5)
    room = edge - EDGE if left else WIDTH - EDGE - edge
    top = y - 0.085 * (len(lines) - 1)
    for n, text in enumerate(lines):
        bold = 0 < n < len(lines) - (row is not None)
        color = MUTED if n == 0 else INK
        page.write(edge, top + 0.17 * n, cut(text, room, bold=bold), ha=ha, bold=bold, color=color)
    if row is not None:
        page.mark(edge + (0.17 if left else -0.17), top + 0.17 * (len(lines) - 1), row.word, 7.5)


def _stack(page: Page, x: float, y: float, stack: Sequence[float]) -> None:
    """The leaves as they lie under the foot; thicker leaves are drawn thicker, none too thin to see."""
    most = max(stack, default=1.0)
    foot = y + 0.17
    for leaf in sorted(stack, reverse=True):
        thick = LEAF * (0.7 + 0.9 * leaf / most)
        page.canvas.add_patch(Rectangle((x - 0.2, foot), 0.4, thick, fc=ORANGE, ec=INK, lw=0.8, zorder=4))
        foot += thick
