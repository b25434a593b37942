"""Any sheet of the spec book: what its verdicts say to do next. It knows the limits, and nothing else of the job."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from restonb.decisions._words import listed
from restonb.measure import Characteristic, Verdict, Verdicts, derived
from restonb.measure.verdict_table import limits_text, value_text

__all__ = ["about", "cautions", "next_steps", "settling"]


def about(rows: Iterable[Characteristic]) -> list[tuple[str, str, str, str, str]]:
    """What is measured, its limits, whether it is about safety, what is allowed where it is outside, and the source."""
    return [
        (row.what or row.key, _limits(row), "yes" if row.safety else "", row.remedy, row.source or "no source given")
        for row in rows
    ]


def cautions(rows: Iterable[Characteristic]) -> list[str]:
    """What a sheet that knows nothing of the job can warn of; the rows marked safety by name."""
    safety = [row.what or row.key for row in rows if row.safety and derived(row.positions) is None]
    said = [
        "This sheet knows the limits of the spec book, and nothing of the job: how to do it safely is in the maker's manual.",
        "Support the machine so that it cannot roll or tip. Hands off what turns, is hot, or stands under a spring.",
    ]
    if safety:
        said.append(
            f"Marked safety, somebody can be hurt when it is outside: {'; '.join(safety)}. Not on the road before each is "
            "inside; the maker's manual, local codes and licensed practice decide."
        )
    return said


def next_steps(verdicts: Verdicts) -> list[str]:
    """The decision, characteristic by characteristic: what is outside first, then what is in doubt, then what is to do."""
    if not len(verdicts):
        return ["The spec book has no row for this sheet: write what is measured, with the limits of your manual."]
    by_row = [(row, tuple(found)) for row, found in groupby(verdicts, key=lambda v: v.characteristic)]
    todo = [_name(row, _at(found, "not measured")) for row, found in by_row if _to_measure(row, found)]
    if all(v.value is None for v in verdicts):
        return [f"Measure: {'; '.join(todo)}. Nothing is decided before that."]
    said = [_outside(row, found) for row, found in by_row if _has(found, "outside")]
    said += [_doubtful(row, found) for row, found in by_row if _has(found, "too close to call")]
    if todo and not said and any(v.verdict == "inside" for v in verdicts):
        said.append("What is measured so far is inside its limits.")
    said += [f"Still to measure: {'; '.join(todo)}."] if todo else []
    free = [_what(row) for row, found in by_row if _has(found, "no limit") and row.safety]
    said += (
        [f"Marked safety, but the spec book gives no limit, so that nothing is judged: {'; '.join(free)}."]
        if free
        else []
    )
    judged = [v for v in verdicts if v.verdict in ("inside", "outside", "too close to call")]
    if not said:
        said.append(
            "Everything on this sheet is inside its limits." if judged else "Kept; no limit is given to judge it by."
        )
    return said


def settling(verdicts: Verdicts) -> list[tuple[str, str, str]]:
    """What, where, and what would settle it, for everything that is too close to call."""
    return [
        (_what(row.characteristic), "" if row.position == "once" else row.position, row.settle)
        for row in verdicts
        if row.verdict == "too close to call"
    ]


def _outside(row: Characteristic, found: Sequence[Verdict]) -> str:
    """The remedy in the words of the spec book; where it has none, that is to be decided, and nothing is made up."""
    out = [v for v in found if v.verdict == "outside"]
    reads = listed([value_text(v) if v.position == "once" else f"{value_text(v)} at {v.position}" for v in out])
    head = f"{_capital(_what(row))} is outside: {reads}, {_limits(row)}."
    does = (
        f"The spec book allows: {row.remedy.rstrip('.')}. Then measure it again."
        if row.remedy
        else "Outside: decide. The spec book states no remedy for it; the maker's manual goes first."
    )
    return f"{head} {does}{' It is marked safety: not on the road like this.' if row.safety else ''}"


def _doubtful(row: Characteristic, found: Sequence[Verdict]) -> str:
    head = f"{_capital(_name(row, _at(found, 'too close to call')))}: too close to call with this instrument"
    safety = "; it is marked safety, and counts as not proved until then" if row.safety else ""
    return f"{head}; the remark in the table says what would settle it{safety}."


def _to_measure(row: Characteristic, found: Sequence[Verdict]) -> bool:
    return derived(row.positions) is None and _has(found, "not measured")


def _has(found: Sequence[Verdict], word: str) -> bool:
    return any(v.verdict == word for v in found)


def _at(found: Sequence[Verdict], word: str) -> list[str]:
    """The positions with that verdict, where these are not all that there are."""
    at = [v.position for v in found if v.verdict == word]
    return at if len(at) < len(found) else []


def _name(row: Characteristic, at: Sequence[str]) -> str:
    return f"{_what(row)} ({listed(at)})" if at else _what(row)


def _what(row: Characteristic) -> str:
    return row.what or row.key


def _limits(row: Characteristic) -> str:
    text = limits_text(Verdict(row, "", "not measured"))
    return "no limit given" if text == "none" else f"limit {text}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
