"""How far is it out of true, which way, and how much of that is the centre and how much the shape?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from matplotlib.figure import Figure
from matplotlib.patches import Circle

from restonb.charts._look import BLUE, INK, MUTED, ORANGE, RULE, SMALL, TRACK, VERMILLION, Mark, style
from restonb.charts._page import EDGE, WIDTH, Key, Page, mark
from restonb.charts._rows import number, rows
from restonb.charts._say import capital, limits_of, notes
from restonb.charts._text import cut, num, sign, step_of, stepped, wrap
from restonb.words import clock_time

TALL = 3.9
READING = Mark("o", BLUE, scale=0.9)
HIGH = Mark("^", ORANGE)
LOW = Mark("v", ORANGE)


class Words(NamedTuple):
    """What a run-out says of the part: what comes once per turn, what stays without it, and how that is done."""

    once: str
    shape: str
    first: str
    cured: str


KINDS = {
    "radial": Words("off centre", "out of round", "Eccentricity", "centred"),
    "axial": Words("tilted", "not flat", "Tilt", "set square"),
}
"""A rim or a bore runs off its centre; a face wobbles because it stands askew."""


def runout_polar(
    angles: Sequence[float],
    values: Sequence[float | None],
    eccentricity: float | None = None,
    phase: float | None = None,
    form: float | None = None,
    *,
    verdict: Any = None,
    unit: str = "mm",
    what: str = "run-out",
    date: str = "",
    occasion: str = "",
    kind: str = "radial",
) -> Figure:
    """Dial readings round a circle, much enlarged, with the circle that a pure eccentricity would give.

    `kind` is 'radial' for a rim, a shaft or a bore, 'axial' for a face: the same first harmonic is a tilt there, and what
    stays is not flat instead of out of round.

    `angles` in degrees clockwise from 12:00 and `values` in `unit`; None is not measured. `eccentricity`, `phase`
    (degrees clockwise from 12:00, towards the high side) and `form` are those of the first harmonic; what is
    missing is not drawn. `verdict` of the run-out (Verdict, or its data) adds limits and word.
    """
    with style():
        unit, say = sign(unit), KINDS[kind]
        pairs = [(float(a) % 360, number(v)) for a, v in zip(angles, values, strict=True)]
        known = [(a, v) for a, v in pairs if v is not None]
        judged = rows(verdict)[:1] if verdict is not None else ()
        total = max(v for _, v in known) - min(v for _, v in known) if known else None
        step = step_of(v for _, v in known)
        title = _title(what, total, step, unit, judged[0].word if judged else "", eccentricity, form, say)
        told = [
            limits_of(judged) if judged else "no limit given",
            f"n = {len(known)} of {len(pairs)} measured",
            occasion or (judged[0].occasion if judged else ""),
            date or (judged[0].at[:10] if judged else "") or "no date given",
        ]
        at = "; ".join(f"{clock_time(a)} {stepped(v, step)}" for a, v in pairs)
        split = _split(eccentricity, phase, form, unit, say)
        page = Page(
            title,
            told,
            TALL,
            word=judged[0].word if judged else "",
            alt=f"{title}. {', '.join(t for t in told if t)}. {' '.join(split)} {at} {unit}.",
            key=_key(eccentricity, phase, known, say),
            notes=[
                *(notes(judged) if judged else []),
                "Readings enlarged; only differences count, not the circle's size.",
            ],
        )
        _draw(page, pairs, eccentricity, phase, step)
        _beside(page, total, split, judged[0].word if judged else "", step, unit, known)
        return page.figure


def _title(
    what: str, total: float | None, step: float, unit: str, word: str, ecc: float | None, form: float | None, say: Words
) -> str:
    if total is None:
        return f"{capital(what)}: not measured yet"
    said = f"{capital(what)}: {stepped(total, step)} {unit}"
    if word:
        said += f", {word}"
    if ecc is None or form is None:
        return said
    if ecc == form == 0:
        return f"{said}; it runs true"
    cause = (
        f"mostly {say.once}"
        if 2 * ecc > 1.5 * form
        else f"mostly {say.shape}"
        if form > 3 * ecc
        else f"both {say.once} and {say.shape}"
    )
    return f"{said}; {cause}"


def _split(ecc: float | None, phase: float | None, form: float | None, unit: str, say: Words) -> list[str]:
    said = []
    if ecc is not None:
        way = f" towards {clock_time(phase)}" if phase is not None else ""
        said.append(
            f"{say.first} {num(ecc, ecc)} {unit}{way}: makes {num(2 * ecc, 2 * ecc)} {unit} of run-out by itself."
        )
    if form is not None:
        said.append(f"Form {num(form, form)} {unit}: what stays when it is {say.cured}.")
    return said


def _key(ecc: float | None, phase: float | None, known: Sequence[Any], say: Words) -> list[Key]:
    said = [Key("reading", READING)]
    if len(known) > 1:
        said += [Key("highest", HIGH), Key("lowest", LOW)]
    said.append(Key("mean", line={"color": MUTED, "lw": 1.0, "ls": ":"}))
    if ecc is not None and phase is not None:
        said.append(Key(f"{say.once} only", line={"color": VERMILLION, "lw": 1.8, "ls": (0, (5, 2))}))
        if ecc:
            arrow = {"color": INK, "lw": 1.6, "marker": ">", "ms": 4, "markevery": [1]}
            said.append(Key("towards the high side", line=arrow))
    return said


def _draw(
    page: Page, pairs: Sequence[tuple[float, float | None]], ecc: float | None, phase: float | None, step: float
) -> None:
    size = TALL - 0.1
    ax = page.axes(EDGE, page.top + 0.05, size, size)
    ax.set_axis_off()
    ax.set_aspect("equal")
    ax.set_xlim(-1.5, 1.5)
    ax.set_ylim(-1.5, 1.5)
    known = [(a, v) for a, v in pairs if v is not None]
    mean = math.fsum(v for _, v in known) / len(known) if known else 0.0
    most = max([abs(v - mean) for _, v in known] + [abs(ecc or 0.0)], default=0.0) or 1.0
    enlarge = 0.28 / most
    ax.add_patch(Circle((0, 0), 1.1, fc=TRACK, ec="none", zorder=0))
    ax.add_patch(Circle((0, 0), 0.78, fc="none", ec=MUTED, lw=1.0, ls=":", zorder=2))
    for hour in range(12):
        x, y = _at(hour * 30, 1.1)
        ax.plot([0.97 * x, x], [0.97 * y, y], color=RULE, lw=0.8, zorder=1)
    ax.plot([0], [0], marker="+", ms=10, color=MUTED, mew=1.2)
    if ecc is not None and phase is not None and known:
        turn = [math.radians(d) for d in range(0, 361, 3)]
        radii = [0.78 + enlarge * ecc * math.cos(t - math.radians(phase)) for t in turn]
        xs, ys = (
            [r * math.sin(t) for r, t in zip(radii, turn, strict=True)],
            [r * math.cos(t) for r, t in zip(radii, turn, strict=True)],
        )
        ax.plot(xs, ys, color=VERMILLION, lw=1.8, ls=(0, (5, 2)), zorder=2.5)
        if ecc:
            tip = _at(phase, 0.5)
            ax.annotate("", xy=tip, xytext=(0, 0), arrowprops={"arrowstyle": "-|>", "color": INK, "lw": 1.6})
    ordered = sorted(known)
    points = [_at(a, 0.78 + enlarge * (v - mean)) for a, v in ordered]
    if len(points) > 2 and len(known) == len(pairs):
        points.append(points[0])
    ax.plot([p[0] for p in points], [p[1] for p in points], color=BLUE, lw=1.2, zorder=3)
    top, low = (max(known, key=lambda p: p[1]), min(known, key=lambda p: p[1])) if known else ((0, 0), (0, 0))
    sparse = max(1, math.ceil(len(pairs) / 16))
    for n, (angle, value) in enumerate(pairs):
        if value is None:
            mark(ax, *_at(angle, 0.78), "not measured", 7)
        else:
            extreme = len(known) > 1 and top[1] > low[1]
            shape = HIGH if extreme and (angle, value) == top else LOW if extreme and (angle, value) == low else READING
            mark(ax, *_at(angle, 0.78 + enlarge * (value - mean)), shape, 8)
        if n % sparse == 0 or (angle, value) in (top, low):
            x, y = _at(angle, 1.34)
            said = f"{clock_time(angle)}\n{stepped(value, step)}"
            ax.text(x, y, said, size=SMALL, ha="center", va="center", linespacing=1.15, zorder=6)


def _at(degrees: float, radius: float) -> tuple[float, float]:
    return radius * math.sin(math.radians(degrees)), radius * math.cos(math.radians(degrees))


def _beside(
    page: Page, total: float | None, split: Sequence[str], word: str, step: float, unit: str,
    known: Sequence[tuple[float, float]],
) -> None:  # fmt: skip
    x = EDGE + TALL + 0.3
    room = WIDTH - EDGE - x
    y = page.top + 0.9
    page.write(x, y, "run-out (largest less smallest)", size=SMALL, color=MUTED)
    page.write(
        x, y + 0.24, f"{stepped(total, step)} {unit}" if total is not None else "not measured", size=13, bold=True
    )
    y += 0.5
    if word:
        page.mark(x + 0.08, y, word, 8)
        page.write(x + 0.24, y, word)
        y += 0.3
    for said in split:
        for line in wrap(said, room):
            page.write(x, y, line)
            y += 0.18
        y += 0.12
    if known:
        top, low = max(known, key=lambda p: p[1]), min(known, key=lambda p: p[1])
        page.write(x, y, cut(f"highest at {clock_time(top[0])}, lowest at {clock_time(low[0])}", room), color=MUTED)
