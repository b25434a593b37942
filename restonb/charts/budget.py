"""What is the uncertainty made of, and what the spread of a stack of parts?"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from matplotlib.figure import Figure

from restonb.charts import _bars, _rowbars
from restonb.charts._look import BLUE, GREEN, ORANGE, PURPLE, SKY, style
from restonb.charts._page import EDGE, Key, Page
from restonb.charts._rowbars import Bar
from restonb.charts._rows import Row, number, rows
from restonb.charts._say import capital, facts
from restonb.charts._text import num, sign, span

_CAUSES = {
    "instrument": (SKY, ""),
    "resolution": (ORANGE, "///"),
    "scatter": (GREEN, "..."),
    "temperature": (PURPLE, "xx"),
}
"""Colour and hatch of each cause; others take the plain bar."""


def budget_bars(budget: Any, *, unit: str = "", what: str = "", date: str = "") -> Figure:
    """Which part dominates the uncertainty: each contribution u_i, then u and U.

    `budget`: a Budget of `restonb.measure`, a Verdicts table (its least certain row), or the dicts of
    `Budget.as_data`. Numbers in the unit of the result; shares are of the sum of squares (JCGM 100, 5.1.2).
    """
    with style():
        told: list[str] = []
        if not what and hasattr(budget, "rows"):
            shown = rows(budget)
            what, told = (shown[0].what if shown else ""), facts(shown, date)
        if callable(getattr(budget, "budget", None)):
            budget = budget.budget()
        parts = _parts(budget)
        unit = sign(unit or str(getattr(budget, "unit", "")))
        total = number(getattr(budget, "u", None))
        if total is None:
            total = math.sqrt(math.fsum(c * c for _, c, _ in parts))
        shares = _shares(parts)
        bars = [
            Bar(name, c, num(c, c), f"{share:.0f} %", "", *_CAUSES.get(cause, (SKY, "")))
            for (name, c, cause), share in sorted(zip(parts, shares, strict=True), key=lambda p: -p[0][1])
        ]
        bars.append(Bar("combined u", total, num(total, total), "all", colour=BLUE, strong=True))
        expanded, k = number(getattr(budget, "U", None)), number(getattr(budget, "k", None))
        if expanded is not None:
            remark = f"k = {k:.2f}" if k else ""
            bars.append(Bar("expanded U", expanded, num(expanded, expanded), remark, colour=BLUE, strong=True))
        title = _budget_title(what, parts, shares)
        about = [f"U = {num(expanded, expanded)} {unit}" if expanded is not None else "", f"n = {len(parts)} parts"]
        told = [f for f in told if not f.startswith("in ")] or [date or "no date given"]
        return _draw(title, [*about, f"in {unit}" if unit else "", *told], bars, unit, _cause_key(parts))


def _parts(budget: Any) -> list[tuple[str, float, str]]:
    """Name, contribution and cause of each part."""
    if isinstance(budget, Sequence):
        return [(str(p["part"]), float(p["contribution"]), str(p.get("cause", ""))) for p in budget]
    return [
        (str(getattr(c, "title", "") or c.name), float(c.contribution), str(getattr(c, "cause", "")))
        for c in budget.components
    ]


def _shares(parts: Sequence[tuple[str, float, str]]) -> list[float]:
    squares = math.fsum(c * c for _, c, _ in parts)
    return [100 * c * c / squares if squares else 0.0 for _, c, _ in parts]


def _budget_title(what: str, parts: Sequence[tuple[str, float, str]], shares: Sequence[float]) -> str:
    head = f"{capital(what)}: " if what else ""
    if not parts or not any(shares):
        return f"{head}the uncertainty is not known" if head else "The uncertainty is not known"
    share, (name, _, _) = max(zip(shares, parts, strict=True), key=lambda p: p[0])
    said = f"most of the uncertainty comes from {name} ({share:.0f} %)"
    return f"{head}{said}" if head else capital(said)


def _cause_key(parts: Sequence[tuple[str, float, str]]) -> list[Key]:
    causes = dict.fromkeys(cause for _, _, cause in parts if cause in _CAUSES)
    looks = {c: {"facecolor": _CAUSES[c][0], "hatch": _CAUSES[c][1], "edgecolor": "#1A1A1A", "lw": 0.8} for c in causes}
    return [Key(cause, patch=look) for cause, look in looks.items()]


def stack_contributions(
    parts: Mapping[str, Sequence[float]] | Sequence[Any],
    *,
    lower: float | None = None,
    upper: float | None = None,
    worst: float | None = None,
    rss: float | None = None,
    unit: str = "mm",
    what: str = "stack",
    date: str = "",
    source: str = "",
) -> Figure:
    """Which part of a stack decides its spread, and whether worst case and root-sum-square stay within limits.

    `parts`: name -> (nominal, tolerance +/-), or a sequence of (name, nominal, tolerance); a nominal counts with
    its sign. `worst` and `rss` are the half-widths of the total, worked out as sum and root of the sum of squares
    (equal multiples of sigma) where they are not given. All in `unit`.
    """
    with style():
        unit = sign(unit)
        items: list[Any] = (
            [(n, *v) for n, v in parts.items()] if isinstance(parts, Mapping) else [tuple(p) for p in parts]
        )
        found = [(str(n), float(nominal), abs(float(tol))) for n, nominal, tol in items]
        middle = math.fsum(nominal for _, nominal, _ in found)
        far = math.fsum(t for *_, t in found) if worst is None else worst
        likely = math.sqrt(math.fsum(t * t for *_, t in found)) if rss is None else rss
        squares = math.fsum(t * t for *_, t in found)
        bars = [
            Bar(f"{n} {num(nominal)}", t, f"± {num(t)}", f"{100 * t * t / squares if squares else 0:.0f} %")
            for n, nominal, t in sorted(found, key=lambda p: -p[2])
        ]
        bars.append(Bar("root sum square", likely, f"± {num(likely, likely)}", "likely", colour=BLUE, strong=True))
        bars.append(Bar("worst case", far, f"± {num(far)}", "sum", colour=ORANGE, hatch="///", strong=True))
        said = _stack_said(middle, likely, far, lower, upper)
        top = max(found, key=lambda p: p[2], default=None)
        share = 100 * top[2] ** 2 / squares if top and squares else 0
        title = f"{capital(what)}: {said}" + (
            f"; most of the spread comes from {top[0]} ({share:.0f} %)" if top else ""
        )
        told = [
            f"total {num(middle)} {unit}",
            f"root sum square {num(middle - likely, likely)} to {num(middle + likely, likely)} {unit}",
            f"worst case {num(middle - far)} to {num(middle + far)} {unit}",
            span(lower, upper, unit) if lower is None and upper is None else f"limit {span(lower, upper, unit)}",
            f"n = {len(found)} parts",
            date or "no date given",
        ]
        limited = lower is not None or upper is not None
        total = [_total(name, middle, half, lower, upper, unit) for name, half in
                 (("total, root sum square", likely), ("total, worst case", far))]  # fmt: skip
        return _draw(title, told, bars, unit, (), [f"Limit: {source or 'no source given'}."] if limited else [],
                     word=_stack_word(middle, likely, far, lower, upper), total=total if limited else ())  # fmt: skip


def _total(name: str, middle: float, half: float, lower: float | None, upper: float | None, unit: str) -> Row:
    word = "inside" if _reaches(middle, half, lower, upper) else "outside"
    [row] = rows(
        {"position": name, "value": middle, "U": half, "unit": unit, "lower": lower, "upper": upper,
         "verdict": word, "guard": 0.0}
    )  # fmt: skip
    return row


def _reaches(middle: float, half: float, lower: float | None, upper: float | None) -> bool:
    low_ok = lower is None or middle - half >= lower - 1e-9
    return low_ok and (upper is None or middle + half <= upper + 1e-9)


def _stack_word(middle: float, likely: float, far: float, lower: float | None, upper: float | None) -> str:
    if lower is None and upper is None:
        return "no limit"
    if _reaches(middle, far, lower, upper):
        return "inside"
    return "too close to call" if _reaches(middle, likely, lower, upper) else "outside"


def _stack_said(middle: float, likely: float, far: float, lower: float | None, upper: float | None) -> str:
    return {
        "no limit": "no limit given",
        "inside": "inside, even in the worst case",
        "too close to call": "inside as a rule, outside in the worst case",
        "outside": "can come out outside",
    }[_stack_word(middle, likely, far, lower, upper)]


def _draw(
    title: str, told: Sequence[str], bars: Sequence[Bar], unit: str, key: Sequence[Key], notes: Sequence[str] = (),
    word: str = "", total: Sequence[Row] = (),
) -> Figure:  # fmt: skip
    laid = _rowbars.lay_out(bars, unit)
    totals = [_bars.panel([(row,) for row in total])] if total else []
    listed = "; ".join(f"{b.name} {b.text} {unit} {b.remark}".strip() for b in bars)
    alt = f"{title}. {', '.join(t for t in told if t)}. {listed}."
    high = laid.body + sum(p.body + 0.1 for p in totals)
    keys = [*key, *(k for k in _bars.keys(totals) if not k.mark and not k.line)] if totals else key
    page = Page(title, told, high, alt=alt, key=keys, notes=notes, word=word)
    if bars:
        _rowbars.draw(page, laid, page.top)
    else:
        page.write(EDGE, page.top + 0.12, "no parts")
    for panel in totals:
        _bars.draw(page, panel, page.top + laid.body + 0.1)
    return page.figure
