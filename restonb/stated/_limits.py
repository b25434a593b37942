"""Limits of one row of the spec book that cannot be meant."""

from __future__ import annotations

from restonb.stated._csv import Row
from restonb.stated._text import Report, quoted

__all__ = ["check_limits"]


def check_limits(
    row: Row,
    nominal: float | None,
    lower: float | None,
    upper: float | None,
    wear: float | None,
    report: Report,
) -> None:
    """Reports limits that cross, deviations in the place of limits, and a wear limit where nothing wears to.

    The values are those of the row, in its unit. A nominal size may well lie outside its limits (52 N7).
    """

    def wrong(column: str, found: str, write: str) -> None:
        cell = row[column]
        report.add(cell.line, cell.column, f"{found} {quoted(cell.text)}".strip(), write)

    limits = [limit for limit in (lower, upper) if limit is not None]
    if len(limits) == 2 and limits[0] > limits[1]:
        wrong("lower", f"upper {quoted(row['upper'].text)} below lower", "swap them, or correct one")
    elif nominal and limits and min(abs(limit - nominal) for limit in limits) > 0.5 * abs(nominal):
        column = "lower" if lower is not None else "upper"
        wrong(
            column,
            f"beside nominal {quoted(row['nominal'].text)} the limit",
            "write the limit itself, not its difference from the nominal",
        )
    elif wear is not None and (write := _wear_mistake(wear, lower, upper, nominal)):
        wrong("wear_limit", "wear limit", write)


def _wear_mistake(wear: float, lower: float | None, upper: float | None, nominal: float | None) -> str:
    """What to write instead of a wear limit that is not beyond what a new part may be; '' when it is."""
    new = [limit for limit in (lower, upper) if limit is not None]
    if len(new) < 2 and nominal is not None:
        new.append(nominal)
    if not new:
        return "write lower, upper or nominal too: alone it does not say which way the part wears"
    if wear in (lower, upper):
        limit = "upper" if wear == upper else "lower"
        return f"leave it empty, since it only repeats {limit}; or write into {limit} how far a new part may go"
    if min(new) <= wear <= max(new):
        return "write how far it may wear past the limits of a new part, or leave it empty"
    if new == [upper] and wear < new[0]:
        return "write it above upper; for a part that wears smaller give lower or nominal too"
    if new == [lower] and wear > new[0]:
        return "write it below lower; for a part that wears bigger give upper or nominal too"
    return ""
