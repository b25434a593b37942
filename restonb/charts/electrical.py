"""Where do the volts go, and from which speed does the charging cover the loads?"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from restonb.charts import _rowbars
from restonb.charts._look import INK, ORANGE, PAPER, SKY, SMALL, VERMILLION, style
from restonb.charts._page import EDGE, WIDTH, Key, Page, mark, verdict_key
from restonb.charts._plan import apart
from restonb.charts._rowbars import Bar
from restonb.charts._rows import counts, number, rows, worst
from restonb.charts._say import capital, notes
from restonb.charts._text import cut, days, num, sign, step_of, stepped

HALO = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6, "alpha": 0.9}
WORST = Key("worst joint", patch={"facecolor": VERMILLION, "edgecolor": INK, "lw": 0.8, "hatch": "xx"})
_CYCLE = (SKY, "#F0E442", "#CC79A7", "#009E73", ORANGE, "#FFFFFF")
_HATCHES = ("", "///", "...", "xx", "\\\\\\", "--")


def voltage_drop(
    drops: Mapping[str, float | None] | Any,
    *,
    limit: float | None = None,
    each: float | None = None,
    unit: str = "V",
    what: str = "circuit",
    verdicts: Any = None,
    date: str = "",
    source: str = "",
) -> Figure:
    """The drops along a circuit in order from the battery, their sum, and the worst joint by name.

    `drops`: joint -> volts (None: not measured), or verdicts of the drops. `limit` is the largest drop allowed for
    the whole circuit, `each` for one joint, both in `unit`. `verdicts` of the drops add their words.
    """
    with style():
        if not isinstance(drops, Mapping) or "verdicts" in drops:
            verdicts = drops
            drops = {row.position: row.value for row in rows(drops)}
        unit = sign(unit)
        found = {str(name): number(v) for name, v in drops.items()}
        judged = {r.position: r for r in rows(verdicts)} if verdicts is not None else {}
        known = {n: v for n, v in found.items() if v is not None}
        total = math.fsum(known.values())
        top = max(known, key=lambda n: known[n], default="")
        step = step_of(found.values())
        bars = [_drop(n, v, total, step, n == top, judged) for n, v in found.items()]
        bars.append(
            Bar("whole circuit", total if known else None, stepped(total, step) if known else "–",
                _total_word(total, limit, len(known) == len(found)), strong=True, colour=ORANGE, hatch="///")
        )  # fmt: skip
        title = f"{capital(what)}: "
        if known:
            share = f" ({100 * known[top] / total:.0f} %)" if total > 0 else ""
            title += (
                f"{stepped(total, step)} {unit} lost, most of it at {top}: {stepped(known[top], step)} {unit}{share}"
            )
        else:
            title += "no drop measured yet"
        limits = [
            (v, f"{name} {num(v)}") for v, name in ((each, "limit each"), (limit, "limit in all")) if v is not None
        ]
        said = [
            *(f"{name} {unit}" for _, name in limits),
            "" if limits else "no limit given",
            f"n = {len(known)} of {len(found)} measured",
            *(f"{count} {word}" for word, count in counts(r.word for r in judged.values())),
            date or days(r.at for r in judged.values()) or "no date given",
        ]
        laid = _rowbars.lay_out(bars, unit, limits)
        told = "; ".join(f"{b.name} {b.text} {unit}" for b in bars)
        page = Page(
            title,
            said,
            laid.body,
            alt=f"{title}. {', '.join(s for s in said if s)}. {told}.",
            word=worst(judged.values()) if judged else "",
            key=[WORST, *verdict_key(w for w, _ in counts(r.word for r in judged.values()))],
            notes=notes(list(judged.values()))
            if judged
            else [f"Limit: {source or 'no source given'}."]
            if limits
            else [],
        )
        _rowbars.draw(page, laid, page.top)
        return page.figure


def _drop(name: str, value: float | None, total: float, step: float, top: bool, judged: Mapping[str, Any]) -> Bar:
    row = judged.get(name)
    word = row.word if row else "" if value is not None else "not measured"
    share = f"{100 * value / total:.0f} %" if value is not None and total > 0 else ""
    remark = ", ".join(t for t in (word, share, "worst" if top else "") if t)
    colour, hatch = (VERMILLION, "xx") if top else (SKY, "")
    reach = row.U or 0.0 if row and value is not None else 0.0
    return Bar(name, value, stepped(value, step), remark, word, colour, hatch, top, reach)


def _total_word(total: float, limit: float | None, whole: bool) -> str:
    if limit is None:
        return "sum" if whole else "sum so far"
    over = total - limit
    if over > 0:
        return f"over by {num(round(over, 6))}"
    return f"{num(round(-over, 6))} to spare" if whole else "sum so far"


def balance_bars(
    loads: Mapping[str, float],
    output: Mapping[float, float | None] | Sequence[Sequence[float]],
    *,
    U: float | None = None,
    unit: str = "W",
    date: str = "",
    source: str = "",
    what: str = "charging",
) -> Figure:
    """The loads stacked beside the charging output at each speed, and from which speed it covers them.

    `loads`: name -> load; `output`: speed in rpm -> output (None: not measured), or pairs; both in `unit` (W or A).
    `U` is the expanded uncertainty of the balance: a speed where output and loads differ by less is too close to
    call. Between two speeds a straight line is assumed.
    """
    with style():
        unit = sign(unit)
        pairs = output.items() if isinstance(output, Mapping) else ((p[0], p[1]) for p in output)
        curve = sorted((float(speed), number(value)) for speed, value in pairs)
        need = math.fsum(loads.values())
        words = {speed: _balance_word(value, need, U) for speed, value in curve}
        known = [(s, v) for s, v in curve if v is not None]
        title = _balance_title(what, need, known, unit)
        said = [
            f"loads {num(need)} {unit}",
            f"n = {len(known)} of {len(curve)} speeds measured",
            *(f"{count} {word}" for word, count in counts(words.values())),
            f"U = {num(U, U)} {unit}" if U else "",
            date or "no date given",
        ]
        told = "; ".join(f"{num(s)} rpm {num(v)} {unit} {words[s]}" for s, v in curve)
        word = "" if not words else words[curve[-1][0]]
        high = 3.1
        page = Page(
            title,
            said,
            high + 0.45,
            alt=f"{title}. {', '.join(s for s in said if s)}. {told}.",
            word=word,
            key=[
                *verdict_key(w for w, _ in counts(words.values())),
                Key("output", patch={"facecolor": "#D3E5F1", "edgecolor": INK, "lw": 0.8}),
                Key("sum of the loads", line={"color": INK, "lw": 1.6}),
            ],
            notes=[f"Loads: {source}." if source else "Loads: no source given.",
                   "inside: the output covers the loads at that speed."],
        )  # fmt: skip
        _balance(page, loads, curve, need, words, unit, high)
        return page.figure


def _balance_word(value: float | None, need: float, U: float | None) -> str:
    if value is None:
        return "not measured"
    if U and abs(value - need) < U:
        return "too close to call"
    return "inside" if value >= need else "outside"


def _balance_title(what: str, need: float, known: Sequence[tuple[float, float]], unit: str) -> str:
    head = f"{capital(what)}: "
    if not known:
        return f"{head}no output measured yet"
    if all(v >= need for _, v in known):
        return f"{head}covers the loads of {num(need)} {unit} at every speed measured"
    if known[-1][1] < need:
        return f"{head}falls {num(need - known[-1][1])} {unit} short of the loads at {num(known[-1][0])} rpm"
    for (s0, v0), (s1, v1) in reversed(list(pairwise(known))):
        if v0 < need <= v1:
            speed = s0 + (s1 - s0) * (need - v0) / (v1 - v0)
            return f"{head}covers the loads of {num(need)} {unit} from about {round(speed, -1):.0f} rpm"
    return f"{head}covers the loads of {num(need)} {unit} at some speeds only"


def _balance(
    page: Page, loads: Mapping[str, float], curve: Sequence[tuple[float, float | None]], need: float,
    words: Mapping[float, str], unit: str, high: float,
) -> None:  # fmt: skip
    left, names = EDGE + 0.55, 1.75
    ax = page.axes(left, page.top + 0.1, WIDTH - left - EDGE - names, high - 0.1)
    most = max([need, *(v for _, v in curve if v is not None)], default=1.0) or 1.0
    ax.set_ylim(0, 1.16 * most)
    ax.set_xlim(-0.6, len(curve) + 1.05)
    ax.grid(axis="y")
    base = 0.0
    texts: list[tuple[float, str]] = []
    for n, (name, load) in enumerate(sorted(loads.items(), key=lambda p: -p[1])):
        look: dict[str, Any] = {"color": _CYCLE[n % 6], "hatch": _HATCHES[n % 6], "edgecolor": INK, "linewidth": 0.9}
        ax.bar(len(curve) + 0.5, load, 0.7, bottom=base, zorder=2, **look)
        texts.append((base + load / 2, f"{name} {num(load)}"))
        base += load
    texts.append((base, f"sum of the loads {num(need)} {unit}"))
    for at, (speed, value) in enumerate(curve):
        if value is not None:
            ax.bar(at, value, 0.62, color="#D3E5F1", edgecolor=INK, linewidth=0.9, zorder=2)
        height = value or 0.0
        mark(ax, at, height + 0.035 * most, words[speed], 8)
        ax.text(at, height + 0.085 * most, num(value), ha="center", size=SMALL, weight="bold", zorder=6, bbox=HALO)
    ax.axhline(need, color=INK, lw=1.6, zorder=3)
    ax.set_xticks([*range(len(curve)), len(curve) + 0.5], [*(num(s) for s, _ in curve), "loads"])
    ax.set_xlabel("speed (rpm)")
    ax.set_ylabel(unit)
    ax.yaxis.set_major_locator(MaxNLocator(6))
    bottom = page.top + high
    per = (high - 0.1) / (1.16 * most)
    wanted = [bottom - y * per for y, _ in reversed(texts)]
    for y, (_, text) in zip(apart(wanted, 0.16, page.top + 0.2, bottom), reversed(texts), strict=True):
        page.write(
            WIDTH - EDGE - names + 0.06, y, cut(text, names - 0.06, SMALL), size=SMALL, bold=text == texts[-1][1]
        )
