"""What was read here over time, and where does it stand now?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from matplotlib.figure import Figure

from restonb.charts._look import INK, MUTED, PAPER, RULE, SMALL, Mark, style
from restonb.charts._page import EDGE, WIDTH, Key, Page, mark, verdict_key
from restonb.charts._plan import apart
from restonb.charts._rows import Row, counts, number, rows, worst
from restonb.charts._say import capital, limits_of, notes, short, tally
from restonb.charts._scale import LIMIT_LINE, WEAR_LINE, ZONE_KEY, anchors, limit_names, view, zones
from restonb.charts._text import cut, days, num, sign, span, step_of, stepped, width
from restonb.words import counted, listed

TALL = 3.1
MOST = 9
"""Positions that are named at the right; of more, the ones that are not inside and the extremes are."""
DOT = Mark("o", "#FFFFFF", scale=0.7)
STRUCK = Mark("x", INK, INK, scale=0.8)


def reading_history(
    readings: Sequence[Any],
    *,
    verdicts: Any = None,
    struck: Sequence[Any] = (),
    lower: float | None = None,
    upper: float | None = None,
    wear_limit: float | None = None,
    unit: str = "",
    what: str = "",
    date: str = "",
    source: str = "",
) -> Figure:
    """The readings of one characteristic, occasion by occasion, one line per position; struck ones crossed out.

    `readings` and `struck`: Reading of `restonb.measure`, or dicts with its names, all in one unit. `verdicts` of
    the readings in force give limits, words and the name; without them the limits are taken from the keywords.
    """
    with style():
        told = rows(verdicts) if verdicts is not None else ()
        taken = [_point_of(r) for r in readings]
        crossed = [_point_of(r) for r in struck]
        stops = _stops([*taken, *crossed])
        unit = told[0].unit if told else sign(unit or next((r["unit"] for r in taken), ""))
        about = _about(told, lower, upper, wear_limit, unit, what, source, taken)
        lines = _by_position(taken, stops)
        words = {r.position: r.word for r in told}
        title = _title(about, told, lines, stops)
        facts = [
            limits_of([about]),
            f"n = {counted(len(taken), 'reading')} at {counted(len(lines), 'position')}",
            f"{len(crossed)} struck" if crossed else "",
            date or days(r["at"] for r in taken) or "no date given",
        ]
        at = "; ".join(f"{name}: {', '.join(num(v) for _, v in line)}" for name, line in list(lines.items())[:8])
        page = Page(
            title,
            facts,
            TALL + 0.62,
            word=worst(told) if told else "",
            alt=f"{title}. {', '.join(f for f in facts if f)}. {at}.",
            key=_key(told, about, crossed),
            notes=notes(told) if told else [f"Limit: {source or 'no source given'}."] if anchors([about]) else [],
        )
        _draw(
            page,
            lines,
            [(stops.index(_stop(r)), r["value"]) for r in crossed if r["value"] is not None],
            stops,
            about,
            words,
        )
        return page.figure


def _point_of(reading: Any) -> dict[str, Any]:
    def get(name: str) -> Any:
        return reading.get(name, "") if isinstance(reading, dict) else getattr(reading, name, "")

    text = {name: str(get(name) or "") for name in ("position", "unit", "occasion", "at")}
    return {**text, "value": number(get("value") or 0.0 if get("value") in (0, 0.0) else get("value") or None)}


def _stop(reading: dict[str, Any]) -> tuple[str, str]:
    return (reading["at"][:10], reading["occasion"])


def _stops(taken: Sequence[dict[str, Any]]) -> list[tuple[str, str]]:
    """The occasions in order of time; those without a time in the order given."""
    found = list(dict.fromkeys(_stop(r) for r in taken))
    return sorted(found, key=lambda s: s[0]) if all(s[0] for s in found) else found


def _by_position(
    taken: Sequence[dict[str, Any]], stops: Sequence[tuple[str, str]]
) -> dict[str, list[tuple[int, float]]]:
    lines: dict[str, dict[int, float]] = {}
    for r in taken:
        if r["value"] is not None:
            lines.setdefault(r["position"], {})[stops.index(_stop(r))] = r["value"]
    return {name: sorted(line.items()) for name, line in lines.items()}


def _about(
    told: Sequence[Row], lower: float | None, upper: float | None, wear_limit: float | None, unit: str, what: str,
    source: str, taken: Sequence[dict[str, Any]],
) -> Row:  # fmt: skip
    if told:
        return replace(told[0], what=what or told[0].what, guard=0.0)
    name = what or "readings"
    [row] = rows({"what": name, "unit": unit, "lower": lower, "upper": upper, "wear_limit": wear_limit,
                  "source": source, "guard": 0.0})  # fmt: skip
    return row


def _title(about: Row, told: Sequence[Row], lines: dict[str, Any], stops: Sequence[Any]) -> str:
    head = short(capital(about.what))
    if not lines:
        return f"{head}: nothing measured yet"
    if told:
        return f"{head}: now {tally(told)}"
    return f"{head}: {counted(len(stops), 'occasion')}, {span(about.lower, about.upper, about.unit)}"


def _key(told: Sequence[Row], about: Row, crossed: Sequence[Any]) -> list[Key]:
    said = verdict_key(word for word, _ in counts(r.word for r in told))
    said.append(Key("earlier reading" if told else "reading", DOT))
    if crossed:
        said.append(Key("struck out", STRUCK))
    if about.lower is not None or about.upper is not None:
        said += [ZONE_KEY, Key("limit", line=LIMIT_LINE)]
    if about.wear_limit is not None:
        said.append(Key("wear limit", line=WEAR_LINE))
    return said


def _draw(
    page: Page, lines: dict[str, list[tuple[int, float]]], crossed: Sequence[tuple[int, float]],
    stops: Sequence[tuple[str, str]], about: Row, words: dict[str, str],
) -> None:  # fmt: skip
    left, right = EDGE + 0.66, 1.95
    wide, high = WIDTH - left - EDGE - right, TALL - 0.1
    ax = page.axes(left, page.top + 0.1, wide, high)
    count = max(len(stops), 1)
    ax.set_xlim(-0.5, count - 0.5)
    ends = view((v for line in lines.values() for _, v in line), anchors([about]))
    ax.set_ylim(*ends)
    ax.grid(axis="y")
    zones(ax, about, (count - 1) / 2, float(count), ends, upright=True)
    low, high_end = ends
    off: dict[tuple[int, float], list[float]] = {}
    for name, line in lines.items():
        inside = [(x, v) for x, v in line if low <= v <= high_end]
        ax.plot(
            [x for x, _ in inside],
            [v for _, v in inside],
            color=RULE if len(lines) > MOST else MUTED,
            lw=0.6 if len(lines) > MOST else 1.1,
            zorder=3,
        )
        for x, v in line:
            newest = (x, v) == line[-1]
            clipped = min(max(v, low + 0.03 * (high_end - low)), high_end - 0.03 * (high_end - low))
            mark(ax, x, clipped, words.get(name, DOT) if newest else DOT, 8 if newest else 6)
            if not low <= v <= high_end:
                off.setdefault((x, clipped), []).append(v)
    for (x, y), values in off.items():
        said = f"off scale: {listed(map(num, values), 3)}"
        box = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6, "alpha": 0.85}
        ax.annotate(
            said, (x, y), xytext=(7, 0), textcoords="offset points", va="center", size=SMALL, zorder=6, bbox=box
        )
    for x, v in crossed:
        if low <= v <= high_end:
            mark(ax, x, v, STRUCK, 8)
    _ticks(ax, stops, wide)
    ax.set_ylabel(about.unit or "no unit")
    for value, text in limit_names([about]):
        ax.annotate(text, (-0.5, value), xytext=(3, 3), textcoords="offset points", size=SMALL, zorder=6)
    _names(page, lines, words, ends, page.top + 0.1, high, WIDTH - EDGE - right + 0.1)


def _ticks(ax: Any, stops: Sequence[tuple[str, str]], wide: float) -> None:
    each = wide / max(len(stops), 1)
    step = max(1, -(-len(stops) * 62 // int(100 * wide)))
    places = range(0, len(stops), step)
    dense = any(width(o, SMALL) > each * step for _, o in stops)
    said = ["\n".join(t for t in (stops[n][0], cut(stops[n][1], each * step - 0.05, SMALL)) if t) for n in places]
    ax.set_xticks(list(places), said)
    if dense and each * step < 0.5:
        ax.set_xticks(list(places), [str(n + 1) for n in places])


def _names(
    page: Page, lines: dict[str, list[tuple[int, float]]], words: dict[str, str], ends: tuple[float, float],
    top: float, high: float, x: float,
) -> None:  # fmt: skip
    """Position, newest value and word at the right, in the order of the values."""
    newest = sorted(((line[-1][1], name) for name, line in lines.items()), reverse=True)
    if len(newest) > MOST:
        bad = [p for p in newest if words.get(p[1], "inside") != "inside"][: MOST - 2]
        newest = sorted({*bad, newest[0], newest[-1]}, reverse=True)
    step = step_of(v for line in lines.values() for _, v in line)
    place = [top + high * (ends[1] - min(max(v, ends[0]), ends[1])) / (ends[1] - ends[0]) for v, _ in newest]
    for y, (value, name) in zip(apart(place, 0.335, top + 0.1, top + high - 0.1), newest, strict=True):
        page.write(x, y - 0.075, cut(f"{name}  {stepped(value, step)}", WIDTH - EDGE - x, bold=True), bold=True)
        page.write(x, y + 0.085, words.get(name, "no verdict given"), size=SMALL, color=MUTED)
