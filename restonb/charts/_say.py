"""What a chart of verdicts says in words: its title, its facts and its notes."""

from __future__ import annotations

from collections.abc import Sequence

from restonb.charts._rows import Row, counts, grouped
from restonb.charts._text import days, num, span
from restonb.words import listed

LONG = 56


def headline(found: Sequence[Row]) -> str:
    """The answer: 'Gap under gearbox foot: 1 of 4 outside (foot 3), 3 inside'."""
    groups = grouped(found)
    if not groups:
        return "Nothing measured yet"
    what = short(capital(found[0].what or "values")) if len(groups) == 1 else f"{len(groups)} characteristics"
    return f"{what}: {tally(found)}"


def tally(found: Sequence[Row]) -> str:
    """How many of each verdict, and where, the worst first."""
    if len(found) == 1:
        return found[0].word
    by_word = counts(row.word for row in found)
    if len(by_word) == 1:
        word = by_word[0][0]
        if word == "no limit":
            return f"{len(found)} measured, no limit given"
        return f"both {word}" if len(found) == 2 else f"all {len(found)} {word}"
    parts = []
    for number, (word, count) in enumerate(by_word):
        of = f"{count} of {len(found)}" if number == 0 else str(count)
        where = [r.position for r in found if r.word == word]
        name = f" ({where[0]})" if count == 1 and number == 0 and len(where[0]) < 24 else ""
        parts.append(f"{of} {word}{name}")
    return ", ".join(parts)


def limits_of(found: Sequence[Row]) -> str:
    """The limits of one characteristic in words, with the wear limit."""
    pairs = dict.fromkeys((row.limits, row.unit) for row in found)
    if len(pairs) > 1:
        return "limits differ by position"
    (lower, upper, wear_limit), unit = next(iter(pairs))
    text = span(lower, upper, unit)
    if wear_limit is not None:
        text += f", wear limit {num(wear_limit)} {unit}".rstrip()
    return text if lower is None and upper is None else f"limit {text}"


def facts(found: Sequence[Row], date: str = "") -> list[str]:
    """Limits, how many of how many were measured, occasion and date."""
    groups = grouped(found)
    measured = sum(row.value is not None for row in found)
    occasions = list(dict.fromkeys(row.occasion for row in found if row.occasion))
    units = list(dict.fromkeys(row.unit for row in found if row.unit))
    return [
        *([found[0].what] if len(groups) == 1 and len(found[0].what) > LONG else []),
        limits_of(found) if len(groups) == 1 else "",
        f"in {listed(units, 4)}" if units and len(groups) > 1 else "",
        f"n = {measured} of {len(found)} measured",
        listed(occasions, 4),
        date or days(row.at for row in found) or "no date given",
    ]


def notes(found: Sequence[Row]) -> list[str]:
    """Where the limits come from, and what would settle what is too close to call."""
    groups = grouped(found)
    said = []
    for group in groups:
        source = next((row.source for row in group if row.source), "")
        limited = any(limit is not None for row in group for limit in row.limits)
        if limited and len(groups) == 1:
            said.append(f"Limit: {source or 'no source given'}.")
        elif limited:
            said.append(f"Limit for {group[0].what}: {source or 'no source given'}.")
    open_ones = [row for row in found if row.settle and row.word == "too close to call"]
    said += [
        f"What would settle {row.position}: {row.settle.removeprefix('would settle it: ').rstrip('.')}."
        for row in open_ones[:3]
    ]
    if len(open_ones) > 3:
        said.append(f"{len(open_ones) - 3} more are too close to call.")
    remarks = dict.fromkeys(row.note.rstrip(".") for row in found if row.note)
    said += [f"{capital(remark)}." for remark in list(remarks)[:3]]
    return said


def spoken(found: Sequence[Row], title: str, date: str = "") -> str:
    """The chart as a sentence for a reader who cannot see it."""
    told = [f for f in facts(found, date) if f]
    far = [r for r in found if r.word != "inside" and r.value is not None][:6]
    listed_far = "; ".join(f"{r.position} {num(r.value)} {r.unit} {r.word}" for r in far)
    return f"{title}. {', '.join(told)}." + (f" {listed_far}." if listed_far else "")


def short(what: str) -> str:
    """A name that leaves room for the answer; the facts give it whole."""
    return what if len(what) <= LONG else what[: LONG - 1].rstrip() + "…"


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]
