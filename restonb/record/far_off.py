"""Is a value so far from all that the spec book says that it is more likely a slip, such as inches typed as millimetres?"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from restonb.measure import Characteristic

__all__ = ["far_off_remark"]

TIMES = 8.0
"""A part or a voltage that is wrong by more than this is seldom met; a slipped decimal point or unit often is."""


def far_off_remark(row: Characteristic, value: float, unit: str, day: str = "", span: float | None = None) -> str:
    """'7.01 mm is far from the nominal 177.8 mm; was 7.01 in meant?', '' where nothing is strange.

    Only a remark: what is measured is what counts. Counts and temperatures on a scale are left alone, and so is what is
    above a lower limit alone, or below an upper one: these say nothing of how far it may be. Of a date of making, whether it lies
    ahead of `day`, the day of the entry; `span` is what its mark leaves open, in days.
    """
    from restonb.quantity import convert
    from restonb.quantity import unit as unit_of

    if unit_of(unit).kind == "date":
        return _ahead(value, day, span)
    stated = {"nominal": row.nominal, "lower limit": row.lower, "upper limit": row.upper, "wear limit": row.wear_limit}
    known = {name: abs(limit) for name, limit in stated.items() if limit}
    at = unit_of(row.unit)
    if not known or not value or at.kind == "count" or at.offset or unit_of(unit).offset:
        return ""
    size = abs(float(convert(value, unit, row.unit)))
    most, least = max(known, key=lambda name: known[name]), min(known, key=lambda name: known[name])
    both = "nominal" in known or {"lower limit", "upper limit"} <= set(known)
    if size > TIMES * known[most] and (both or "upper limit" in known):
        against = most
    elif size < known[least] / TIMES and both:
        against = least
    else:
        return ""
    meant = _unit_that_fits(value, row.unit, known[least] / 1.5, known[most] * 1.5)
    return (
        f"{_number_text(value)} {unit} is far from the {against} {_number_text(stated[against] or 0.0)} {row.unit}"
        + (f"; was {_number_text(value)} {meant} meant?" if meant and meant != unit else ".")
    )  # fmt: skip


def _ahead(value: float, day: str, span: float | None) -> str:
    """Whether nothing of the span that a date of making stands for is past on that day."""
    from datetime import date

    from restonb.quantity import days_of, span_of, write

    if not day or span_of(value, span)[0] < days_of(date.fromisoformat(day[:10])) + 1:
        return ""
    return f"{write(value, 'date', resolution=span)} is ahead of {day[:10]}; is the year right?"


def _unit_that_fits(value: float, unit: str, least: float, most: float) -> str:
    """The usual unit of that kind in which the same number would be about right; '' where there is none."""
    from restonb.quantity import convert, names_of
    from restonb.quantity import unit as unit_of

    for name in names_of(unit_of(unit).kind):
        if least <= abs(float(convert(value, name, unit))) <= most:
            return name
    return ""


def _number_text(value: float) -> str:
    return f"{value:.6g}"
