"""What the odometer and the hour meter add up to. They never go back, unless another one was fitted."""

from __future__ import annotations

from collections.abc import Iterable

from restonb.errors import RecordError
from restonb.record._journal import Entry, Record
from restonb.record.views import unstruck

__all__ = ["check_forward", "usage_totals"]


def usage_totals(entries: Iterable[Entry], unit: str) -> list[tuple[int, float]]:
    """Entry and total of the 'usage' entries of the kind of that unit, oldest first, in that unit.

    The total is what the meter shows until another meter is fitted (`replaced` says so); that one counts on from there.
    """
    from restonb.quantity import convert, same_kind

    found: list[tuple[int, float]] = []
    ahead = 0.0
    for entry in entries:
        body = entry.body
        if not same_kind(body["unit"], unit):
            continue
        shown = float(convert(float(body["value"]), body["unit"], unit))
        if body.get("replaced") and found:
            ahead = found[-1][1] - shown
        found.append((entry.seq, shown + ahead))
    return found


def check_forward(record: Record, value: str, unit: str) -> None:
    """Raises RecordError where the meter would show less than before, with what to write instead."""
    from restonb.quantity import convert, same_kind

    before = [entry for entry in unstruck(record, "usage") if same_kind(entry.body["unit"], unit)]
    if not before:
        return
    last = before[-1]
    shown = float(convert(float(last.body["value"]), last.body["unit"], unit))
    if float(value) < shown * (1 - 1e-9):
        was = f"{last.body['value']} {last.body['unit']} of entry {last.seq} ({last.at[:10]})"
        raise RecordError(
            f"{value} {unit} is less than the {was}: write what the meter shows; strike entry {last.seq} where that "
            'was wrong; or add replaced="why" where another meter was fitted'
        )
