"""Any sheet of the spec book: what its verdicts say to do next. It knows the limits, and nothing else of the job."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any

from restonb.decisions.steps import Amount, Step, not_known, settled, stop, to_do
from restonb.measure import Characteristic, Verdict, Verdicts, derived, limits_of, limits_text, without_raw
from restonb.words import fold

__all__ = ["CLOSING", "about", "cautions", "next_steps", "settling"]

CLOSING = "Everything on this sheet is inside its limits. The maker's manual says whether that is enough for the job."


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
        "Support the machine so that it cannot roll or tip. Keep your hands off anything that turns, is hot, or is under spring load.",
    ]
    if safety:
        said.append(
            f"Marked safety, because somebody can be hurt when it is outside: {'; '.join(safety)}. Keep it off the road until each is "
            "inside; the maker's manual, local codes and licensed practice decide."
        )
    return said


def next_steps(verdicts: Verdicts) -> list[Step]:
    """The decision: what is outside first, row by row; then what is in doubt, then what is to measure, then what is good."""
    if not len(verdicts):
        says = "The spec book has no row for this sheet: write what is measured, with the limits of your manual."
        return [to_do("sheet.no_row", says)]
    counted = without_raw(tuple(verdicts))
    by_row = [(row, list(found)) for row, found in groupby(counted, key=lambda v: v.characteristic)]
    steps = [step for row, found in by_row for step in _outside(row, found)]
    steps += [_close(row, these) for row, found in by_row if (these := _with(found, "too close to call"))]
    steps += [_doubt(row, these) for row, found in by_row if (these := _with(found, "in doubt"))]
    steps += _to_measure(verdicts)
    steps += [_no_limit(row, these) for row, found in by_row if (these := _with(found, "no limit"))]
    good = [(row, these) for row, found in by_row if (these := _with(found, "inside"))]
    if good:
        names = "; ".join(_named(row, found, [v for v in counted if v.characteristic == row]) for row, found in good)
        rows = [verdict for _, found in good for verdict in found]
        steps.append(settled("sheet.inside", "Inside its limits: {names}.", rows, names=names))
    return steps


def settling(verdicts: Verdicts) -> list[tuple[str, str, str]]:
    """What, where, and what would settle it, for everything that is too close to call."""
    return [
        (_what(row.characteristic), "" if row.position == "once" else row.position, row.settle)
        for row in verdicts
        if row.verdict == "too close to call"
    ]


def _outside(row: Characteristic, found: Sequence[Verdict]) -> list[Step]:
    """The remedy in the words of the spec book; where it has none, that is to be decided, and nothing is made up."""
    steps = []
    for side, word in (("above", "most"), ("below", "least")):
        if these := [v for v in found if v.word == "outside" and v.side == side]:
            at = fold(v.position for v in these)
            limits = limits_of(row, these[0].value)
            limit = limits.upper if side == "above" else limits.lower
            says = f"{{Row}}{_at(these)} is {side} its limit: {{reads}}; {{limit}} is the {word}. {_allowed(row)}"
            values: dict[str, Any] = {
                "row": _what(row),
                "places": at,
                "reads": _reads(these),
                "remedy": row.remedy.rstrip("."),
            }
            values["limit"] = Amount(limit, row.unit) if limit is not None else "no limit"
            steps.append((stop if row.safety else to_do)(f"{row.key}.{side}", says, these, safety=row.safety, **values))
    return steps


def _allowed(row: Characteristic) -> str:
    said = (
        "The spec book allows: {remedy}. Then measure it again."
        if row.remedy
        else "The spec book states no remedy, so you decide; the maker's manual comes first."
    )
    return said + (" It is marked safety: keep it off the road like this." if row.safety else "")


def _close(row: Characteristic, found: Sequence[Verdict]) -> Step:
    safety = " It is marked safety, and counts as not proved until then." if row.safety else ""
    says = f"{{Row}}{_at(found)} is too close to call with this instrument; the remark in the table says what would settle it.{safety}"
    return not_known(f"{row.key}.close", says, found, row=_what(row), places=fold(v.position for v in found))


def _doubt(row: Characteristic, found: Sequence[Verdict]) -> Step:
    says = f"{{Row}}{_at(found)} was measured with a gauge that failed its check: measure again with a good one."
    return not_known(f"{row.key}.doubt", says, found, row=_what(row), places=fold(v.position for v in found))


def _no_limit(row: Characteristic, found: Sequence[Verdict]) -> Step:
    says = "The spec book gives no limit for {row}, so it cannot be judged: write that of your manual."
    return not_known(f"{row.key}.limit", says, found, row=_what(row))


def _to_measure(verdicts: Verdicts) -> list[Step]:
    """What is not measured in one step; what is worked out from it is asked for by that."""
    gone = _with(verdicts, "not measured")
    if not gone:
        return []
    asked = [(row, list(found)) for row, found in groupby(gone, key=lambda v: v.characteristic)]
    names = [
        _named(row, found, [v for v in verdicts if v.characteristic == row])
        for row, found in asked
        if derived(row.positions) is None
    ]
    says = "Measure: {names}." if names else "Work out what is still missing: {at}."
    return [to_do("sheet.measure", says, gone, names="; ".join(names))]


def _named(row: Characteristic, found: Sequence[Verdict], every: Sequence[Verdict]) -> str:
    """What is measured, with its places where these are not all that there are."""
    return f"{_what(row)} ({fold(v.position for v in found)})" if len(found) < len(every) else _what(row)


def _at(found: Sequence[Verdict]) -> str:
    return " ({places})" if fold(v.position for v in found) else ""


def _reads(found: Sequence[Verdict]) -> list[Amount]:
    return [Amount(v.value, v.unit) for v in found if v.value is not None]


def _with(found: Iterable[Verdict], word: str) -> list[Verdict]:
    return [v for v in found if v.word == word]


def _what(row: Characteristic) -> str:
    return row.what or row.key


def _limits(row: Characteristic) -> str:
    text = limits_text(Verdict(row, "", "not measured"))
    return "no limit given" if text == "none" else f"limit {text}"
