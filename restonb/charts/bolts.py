"""In which order and stages are these tightened, and how far has it come?"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from matplotlib.figure import Figure

from restonb.charts._look import BLUE, INK, MUTED, ORANGE, PAPER, RULE, SKY, SMALL, Mark, style
from restonb.charts._page import EDGE, WIDTH, Key, Page
from restonb.charts._plan import apart, fitted, sides
from restonb.charts._rows import counts
from restonb.charts._say import capital
from restonb.charts._text import cut, wrap
from restonb.words import counted, listed

DONE = Mark("h", BLUE, scale=1.1)
PART = Mark("h", SKY, scale=1.1)
NOT_YET = Mark("h", PAPER, scale=1.1)
ODD = Mark("D", ORANGE)
TALL = 2.9
BLOCK = 0.5


def bolt_pattern(
    positions: Any,
    order: Sequence[str | int] = (),
    stages: Sequence[Any] = (),
    states: Mapping[str, Any] | Sequence[Mapping[str, Any]] | None = None,
    *,
    what: str = "",
    treatment: str = "",
    date: str = "",
    source: str = "",
) -> Figure:
    """Fasteners in plan with the number of their turn, the stages, and what each was taken to.

    `positions`: name -> (x, y), a sequence of (x, y) for '1', '2' ..., a number of bolts on a circle, or a Fastener
    of `restonb.stated` (then order, stages, treatment and source are its own). `stages`: torques as text or Quantity,
    the last is the final one. `states`: name -> stage reached, counted from 1 (0: not yet), or the `fasteners` of a
    `joint` entry ({"position", "torque", "unit", "stage", "new", "treatment"}).
    """
    with style():
        if hasattr(positions, "count") and hasattr(positions, "thread"):
            plan = positions
            order, stages = order or plan.order, stages or plan.stages or ([plan.torque] if plan.torque else [])
            what, treatment, source = what or plan.what, treatment or plan.treatment, source or plan.source
            positions = plan.layout or plan.count
        xy, to_scale = _plan(positions)
        names = list(xy)
        turn = {str(name): n for n, name in enumerate(order, 1)}
        steps = [_torque(s) for s in stages]
        told = {n: _reached(v, len(steps)) for n, v in _by_name(states, names).items()}
        words = {n: told.get(n, (0, "" if states is None else "not yet"))[1] for n in names}
        reached = {n: told[n][0] if n in told else 0 for n in names}
        final = max(len(steps), 1)
        title = _title(what, names, order, steps, states is not None, reached, final)
        facts = [
            f"stages {', '.join(steps)}" if steps else "no torque given",
            f"n = {counted(len(names), 'fastener')}",
            *(f"{count} {word}" for word, count in counts(w.split(",")[0] for w in words.values()) if word),
            treatment,
            date or "no date given",
        ]
        per_side = max((len(s) for s in sides(xy)), default=1) if xy else 1
        flat = len({y for _, y in xy.values()}) < 2
        page = Page(
            title,
            facts,
            max(1.2 if flat else TALL, BLOCK * per_side + 0.5),
            word=_sign(min(reached.values(), default=0), final) if states is not None else "",
            alt=f"{title}. {', '.join(f for f in facts if f)}. "
            + "; ".join(f"{n}: turn {turn.get(n, 'any')}, {words[n] or 'no state entered'}" for n in names) + ".",
            key=_key(reached, final, bool(turn)),
            notes=[f"Torque: {source or 'no source given'}." if steps else "",
                   "" if to_scale else "A sketch, not to scale."],
        )  # fmt: skip
        _draw(page, xy, turn, reached, words, final)
        return page.figure


def _plan(positions: Any) -> tuple[dict[str, tuple[float, float]], bool]:
    if isinstance(positions, int):
        turn = [2 * math.pi * n / max(positions, 1) for n in range(positions)]
        return {str(n + 1): (math.sin(t), math.cos(t)) for n, t in enumerate(turn)}, False
    pairs = positions.items() if isinstance(positions, Mapping) else ((str(n), p) for n, p in enumerate(positions, 1))
    return {str(name): (float(p[0]), float(p[1])) for name, p in pairs}, True


def _torque(stage: Any) -> str:
    if isinstance(stage, str):
        return stage
    if hasattr(stage, "write"):
        return str(getattr(stage, "typed", "") or stage.write())
    return str(stage)


def _by_name(states: Any, names: Sequence[str]) -> dict[str, Any]:
    if states is None:
        return {}
    if isinstance(states, Mapping):
        return {str(k): v for k, v in states.items() if str(k) in names}
    return {str(s["position"]): s for s in states if str(s["position"]) in names}


def _reached(state: Any, stages: int) -> tuple[int, str]:
    """The stage, and the words for it."""
    final = max(stages, 1)
    if isinstance(state, Mapping):
        said = re.search(r"\d+", str(state.get("stage") or ""))
        number = int(said[0]) if said else final  # no stage said: taken to its torque
        torque = f"{state.get('torque', '')} {state.get('unit', '')}".strip()
        extra = [torque, "new" if state.get("new") else "", str(state.get("treatment") or "")]
        return number, ", ".join([_stage_word(number, final), *(e for e in extra if e)])
    if isinstance(state, str) and not state.isdigit():
        return (final if state in ("final", "tightened") else 0), state
    return int(state), _stage_word(int(state), final)


def _stage_word(number: int, final: int) -> str:
    if number <= 0:
        return "not yet"
    return "final torque" if number >= final else f"stage {number} of {final}"


def _sign(number: int, final: int) -> Mark:
    return NOT_YET if number <= 0 else DONE if number >= final else PART


def _title(
    what: str, names: Sequence[str], order: Sequence[Any], steps: Sequence[str], known: bool,
    reached: Mapping[str, int], final: int,
) -> str:  # fmt: skip
    head = f"{capital(what)}: " if what else ""
    if known:
        done = sum(n >= final for n in reached.values())
        open_ones = [n for n in names if reached[n] < final]
        said = f"{done} of {len(names)} at final torque"
        if open_ones and len(open_ones) < len(names):
            said += f"; still to do: {listed(open_ones, 5)}"
        return head + said
    turn = (
        f"in the order {', '.join(str(o) for o in order)}"
        if order and len(order) <= 12
        else "in the order shown"
        if order
        else "in any order"
    )
    if not names:
        return f"{head}no positions"
    return f"{head}tighten {turn}" + (f", in {len(steps)} stages" if len(steps) > 1 else "")


def _key(reached: Mapping[str, int], final: int, ordered: bool) -> list[Key]:
    words = [("final torque", DONE, any(n >= final for n in reached.values())),
             ("part of the way", PART, any(0 < n < final for n in reached.values())),
             ("not yet", NOT_YET, any(n <= 0 for n in reached.values()))]  # fmt: skip
    said = [Key(word, mark) for word, mark, there in words if there]
    if ordered:
        said.append(Key("from turn to turn (number in the bolt)", line={"color": RULE, "lw": 1.2}))
    return said


def _draw(
    page: Page, xy: dict[str, tuple[float, float]], turn: Mapping[str, int], reached: Mapping[str, int],
    words: Mapping[str, str], final: int,
) -> None:  # fmt: skip
    if not xy:
        page.write(EDGE, page.top + 0.12, "no positions")
        return
    spots = fitted(xy, (WIDTH / 2 - 1.15, page.top + 0.35, WIDTH / 2 + 1.15, page.bottom - 0.35))
    path = [spots[n] for n in sorted((n for n in spots if n in turn), key=lambda n: turn[n])]
    for a, b in pairwise(path):
        arrow = {"arrowstyle": "-|>", "color": RULE, "lw": 1.2, "shrinkA": 11, "shrinkB": 11}
        page.canvas.annotate("", xy=b, xytext=a, arrowprops=arrow, zorder=1)
    for side, ha in zip(sides(xy), ("right", "left"), strict=True):
        edge = WIDTH / 2 + (-1.62 if ha == "right" else 1.62)
        room = edge - EDGE if ha == "right" else WIDTH - EDGE - edge
        heights = apart([spots[n][1] for n in side], BLOCK, page.top + 0.2, page.bottom - 0.2)
        for name, y in zip(side, heights, strict=True):
            x0, y0 = spots[name]
            page.canvas.plot(
                [x0, edge + (0.06 if ha == "right" else -0.06)], [y0, y], color=RULE, lw=0.8, ls=":", zorder=1
            )
            page.mark(x0, y0, _sign(reached[name], final), 17)
            if name in turn:
                dark = reached[name] >= final
                page.write(x0, y0, str(turn[name]), ha="center", bold=True, color=PAPER if dark else INK, zorder=8)
            lines = wrap(words[name], room, SMALL, lines=2) if words[name] else []
            page.write(edge, y - 0.08 * len(lines), cut(name, room, bold=True), ha=ha, bold=True)
            for n, line in enumerate(lines, 1):
                page.write(edge, y - 0.08 * len(lines) + 0.155 * n, line, ha=ha, size=SMALL, color=MUTED)
