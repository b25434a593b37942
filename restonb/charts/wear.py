"""When does it meet its wear limit?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from restonb.charts._look import BLUE, INK, MUTED, ORANGE, PAPER, SMALL, VERMILLION, Mark, style
from restonb.charts._page import EDGE, WIDTH, Key, Page, mark, verdict_key
from restonb.charts._rows import number, rows
from restonb.charts._say import capital
from restonb.charts._scale import WEAR_LINE
from restonb.charts._text import cut, days, num, sign

TALL = 3.0
READING = Mark("o", BLUE)
MET = Mark("D", ORANGE)


def wear_trend(
    points: Sequence[Sequence[float | None]],
    fit: Any = None,
    limit: float | None = None,
    *,
    unit: str = "mm",
    usage_unit: str = "mile",
    what: str = "wear",
    verdict: Any = None,
    date: str = "",
    source: str = "",
) -> Figure:
    """Readings against usage, the line through them, and the usage at which it meets the limit, with its interval.

    `points`: (usage, value) or (usage, value, U) in `usage_unit` and `unit`. `fit`: a Wear of `restonb.measure`, or
    None where there are too few points for a line; `limit` defaults to that of the fit. Nothing is projected where
    the fit says why not. `verdict` of the newest reading (Verdict, or its data) adds its word.
    """
    with style():
        unit = sign(unit)
        found = sorted((float(p[0] or 0.0), number(p[1]), number(p[2]) if len(p) > 2 else None) for p in points)
        known = [(x, v, u) for x, v, u in found if v is not None]
        limit = number(getattr(fit, "limit", None)) if limit is None else limit
        judged = rows(verdict)[:1] if verdict is not None else ()
        title = _title(what, fit, known, usage_unit)
        told = [
            f"wear limit {num(limit)} {unit}" if limit is not None else "no limit given",
            _rate(fit, unit, usage_unit),
            f"n = {len(known)} of {len(found)} measured",
            *(f"now {r.word}" + (f", worn in {r.worn_in:.0f} %" if r.worn_in is not None else "") for r in judged),
            date or days(r.at for r in judged) or "no date given",
        ]
        at = "; ".join(f"{num(v)} {unit} at {num(x)} {usage_unit}" for x, v, _ in known)
        reach = _interval(fit, usage_unit)
        page = Page(
            title,
            told,
            TALL + 0.5,
            word=judged[0].word if judged else _word(fit, known),
            alt=f"{title}. {', '.join(t for t in told if t)}. {reach} {at}.",
            key=[*_key(fit, limit), *verdict_key(r.word for r in judged)],
            notes=[reach, "A straight line is an assumption: running-in and a failing part wear faster.",
                   f"Limit: {source or 'no source given'}." if limit is not None else ""],
        )  # fmt: skip
        _draw(page, known, fit, limit, unit, usage_unit)
        return page.figure


def _round(value: float) -> str:
    """A usage as a person says it: three figures, with the thousands apart."""
    return f"{float(f'{value:.3g}'):,.0f}".replace(",", " ")


def _title(what: str, fit: Any, known: Sequence[Any], usage_unit: str) -> str:
    head = f"{capital(what)}: "
    if fit is None:
        return f"{head}{'not measured yet' if not known else 'too few readings to tell how fast it wears'}"
    if fit.at is None:
        return f"{head}{str(fit.why_not).split(';')[0].split(',')[0]}"
    if fit.left == 0:
        return f"{head}the wear limit is reached"
    return f"{head}limit met at about {_round(fit.at)} {usage_unit}, at least {_round(fit.left_at_least)} {usage_unit} left"


def _word(fit: Any, known: Sequence[tuple[float, float, float | None]]) -> str | Mark:
    if not known:
        return "not measured"
    return MET if fit is not None and fit.at is not None and fit.left == 0 else READING


def _rate(fit: Any, unit: str, usage_unit: str) -> str:
    if fit is None:
        return ""
    rate, reach = 1000 * fit.rate, 1000 * fit.U_rate
    return f"{num(rate, reach)} ± {num(reach, reach)} {unit} in 1000 {usage_unit}" if reach else ""


def _interval(fit: Any, usage_unit: str) -> str:
    if fit is None or fit.at is None:
        return f"{capital(str(fit.why_not))}." if fit is not None and fit.why_not else ""
    low, high = _round(fit.earliest), _round(fit.latest)
    return f"Limit met between {low} and {high} {usage_unit}, with {100 * fit.p:.0f} % probability."


def _key(fit: Any, limit: float | None) -> list[Key]:
    said = [Key("reading with its uncertainty U", READING)]
    if fit is not None:
        said.append(Key("straight line through them", line={"color": BLUE, "lw": 1.6}))
    if fit is not None and fit.at is not None:
        said.append(Key("line meets limit", MET))
        said.append(Key("interval", line={"color": VERMILLION, "lw": 5, "alpha": 0.6}))
    if limit is not None:
        said.append(Key("wear limit", line=WEAR_LINE))
    return said


def _draw(
    page: Page, known: Sequence[tuple[float, float, float | None]], fit: Any, limit: float | None,
    unit: str, usage_unit: str,
) -> None:  # fmt: skip
    left = EDGE + 0.68
    ax = page.axes(left, page.top + 0.08, WIDTH - left - EDGE - 0.1, TALL - 0.08)
    xs = [x for x, *_ in known] or [0.0, 1.0]
    span = (max(xs) - min(xs)) or abs(xs[0]) or 1.0
    end, beyond = max(xs) + 0.12 * span, False
    if fit is not None and fit.at is not None:
        last = min(max(fit.latest, max(xs)), max(xs) + 3.0 * span)
        beyond = fit.latest > last
        end = max(end, last + 0.06 * span)
    start = min(xs) - 0.06 * span
    ax.set_xlim(start, end)
    ys = [v + s * (u or 0.0) for _, v, u in known for s in (-1, 1)] + ([limit] if limit is not None else [])
    low, high = (min(ys), max(ys)) if ys else (0.0, 1.0)
    pad = 0.12 * (high - low) or 0.1 * abs(high) or 1.0
    ax.set_ylim(low - pad, high + pad)
    ax.grid(axis="both")
    for x, v, u in known:
        if u:
            ax.plot([x, x], [v - u, v + u], color=INK, lw=1.4, marker="_", ms=7, mew=1.2, zorder=4)
        mark(ax, x, v, READING, 8)
        ax.annotate(num(v, u), (x, v), xytext=(8, -9), textcoords="offset points", size=SMALL, zorder=3.5,
                    bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6, "alpha": 0.85})  # fmt: skip
    if limit is not None:
        ax.axhline(limit, zorder=2, **WEAR_LINE)
        up = fit is None or fit.rate >= 0
        said = f"wear limit {num(limit)} {unit}"
        ax.annotate(said, (start, limit), xytext=(4, 4 if up else -4), textcoords="offset points", size=SMALL,
                    va="bottom" if up else "top")  # fmt: skip
    if fit is not None:
        line = [start, end]
        ax.plot(line, [fit.value_at(x) for x in line], color=BLUE, lw=1.6, zorder=3, clip_on=True)
    if fit is not None and fit.at is not None:
        reach = [max(fit.earliest, start), min(fit.latest, end)]
        ax.plot(reach, [fit.limit] * 2, color=VERMILLION, lw=5, alpha=0.6, zorder=2.5, solid_capstyle="butt")
        if fit.at <= end:
            mark(ax, fit.at, fit.limit, MET, 9)
        if beyond:
            ax.annotate("goes on →", (end, fit.limit), xytext=(-4, -12), textcoords="offset points", ha="right",
                        size=SMALL, color=MUTED)  # fmt: skip
    ax.xaxis.set_major_locator(MaxNLocator(6))
    ax.xaxis.set_major_formatter(lambda value, _: f"{value:,.0f}".replace(",", " "))
    ax.set_xlabel(cut(f"usage ({usage_unit})", 4))
    ax.set_ylabel(unit)
