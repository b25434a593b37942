"""What did the rework change, and which verdicts flipped?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from matplotlib.figure import Figure

from restonb.charts import _bars
from restonb.charts._look import WORST_FIRST, style
from restonb.charts._page import EDGE, Page
from restonb.charts._rows import Row, grouped, rows, worst
from restonb.charts._say import capital, facts, notes, short, spoken, tally
from restonb.charts._text import days
from restonb.words import counted, listed


def before_after(old: Any, new: Any, *more: Any, names: Sequence[str] = (), date: str = "") -> Figure:
    """Two or more rounds of the same measurements against the same limits, the newest last.

    Each round is given as for `tolerance_bars`. `names` are the names of the rounds; without them the
    occasions of the readings, or their dates, are used. A position that a round lacks shows as not measured.
    """
    with style():
        rounds = [rows(v) for v in (old, new, *more)]
        called = _names(rounds, names)
        lined = _lines(rounds)
        groups = [[line for line in lined if _key(line[-1]) == key] for key in dict.fromkeys(map(_key, (
            line[-1] for line in lined)))]  # fmt: skip
        panels = [_bars.panel(group, called, headed=len(groups) > 1) for group in groups]
        newest = [line[-1] for line in lined]
        flips = [_flip(line) for line in lined]
        title = _title(lined, newest)
        told = [f for f in facts(newest, date) if f not in {r.occasion for r in newest}]
        page = Page(
            title,
            [*told[:-1], " → ".join(called), _dates(rounds, date)],
            sum(p.body for p in panels) or 0.3,
            alt=spoken(newest, title, date),
            word=worst(newest),
            key=_bars.keys(panels),
            notes=[_flips_said([f for f in flips if f]), *notes(newest)],
        )
        y = page.top
        for panel in panels:
            _bars.draw(page, panel, y)
            y += panel.body
        if not panels:
            page.write(EDGE, y + 0.12, "no positions")
        return page.figure


NO_VERDICT = frozenset({"not measured", "measure again", "in doubt", "out of date"})
"""Words that are not verdicts on the part: neither better nor worse than one."""


def _key(row: Row) -> tuple[str, str, str]:
    return (row.sheet, row.key, row.unit)


def _lines(rounds: Sequence[Sequence[Row]]) -> list[tuple[Row, ...]]:
    """Per characteristic and position one row per round, in the order of the newest round that has it."""
    at = [{(*_key(row), row.position): row for row in found} for found in rounds]
    order = dict.fromkeys(key for found in reversed(at) for key in found)
    lines = []
    for key in order:
        latest = next(found[key] for found in reversed(at) if key in found)
        missing = replace(
            latest,
            value=None,
            U=None,
            guard=None,
            word="not measured",
            worn_in=None,
            settle="",
            at="",
            occasion="",
        )
        lines.append(tuple(found.get(key, missing) for found in at))
    return [line for group in grouped([li[-1] for li in lines]) for line in lines if line[-1] in group]


def _names(rounds: Sequence[Sequence[Row]], names: Sequence[str]) -> list[str]:
    if names:
        return [*names, *(f"round {n + 1}" for n in range(len(names), len(rounds)))][: len(rounds)]
    occasions = [listed(dict.fromkeys(r.occasion for r in found if r.occasion), 4) for found in rounds]
    if all(occasions) and len(set(occasions)) == len(rounds):
        return occasions
    dates = [days(r.at for r in found) for found in rounds]
    if all(dates) and len(set(dates)) == len(rounds):
        return dates
    return ["before", "after"] if len(rounds) == 2 else [f"round {n + 1}" for n in range(len(rounds))]


def _dates(rounds: Sequence[Sequence[Row]], date: str) -> str:
    return date or days(r.at for found in rounds for r in found) or "no date given"


def _title(lines: Sequence[tuple[Row, ...]], newest: Sequence[Row]) -> str:
    if not lines:
        return "Nothing measured yet"
    what = short(capital(newest[0].what)) if len(grouped(newest)) == 1 else "After rework"
    balance = _balance(lines)
    return f"{what}: {tally(newest)}" + (f"; {balance}" if balance else "")


def _balance(lines: Sequence[tuple[Row, ...]]) -> str:
    """'3 better, none worse than before', counted by verdict."""
    judged = [(line[0].word, line[-1].word) for line in lines]
    judged = [pair for pair in judged if NO_VERDICT.isdisjoint(pair)]
    rank = {word: n for n, word in enumerate(WORST_FIRST)}
    better = sum(rank.get(b, 0) > rank.get(a, 0) for a, b in judged)
    worse = sum(rank.get(b, 0) < rank.get(a, 0) for a, b in judged)
    if not judged:
        return (
            "" if any(line[-1].word not in ("not measured", line[0].word) for line in lines) else "nothing to compare"
        )
    if not better and not worse:
        return "no verdict flipped"
    return f"{better or 'none'} better, {worse or 'none'} worse than before"


def _flip(line: Sequence[Row]) -> str:
    first, last = line[0], line[-1]
    if first.word == last.word or not NO_VERDICT.isdisjoint((first.word, last.word)):
        return ""
    return f"{last.position} from {first.word} to {last.word}"


def _flips_said(flips: Sequence[str]) -> str:
    if not flips:
        return "No verdict flipped."
    return f"{counted(len(flips), 'verdict')} flipped: {listed(flips, 4)}."
