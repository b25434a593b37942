"""What the parameters of a template may be: checked at its top, so that nothing is worked out on one that makes no sense.

Each function answers with what is wrong with a value, as words that follow its name; '' where nothing is. A value that is
left empty (None, '' or an empty list) is never wrong: what needs it says that it is missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from restonb.errors import FormulaError, QuantityError, RunError
from restonb.words import listed

__all__ = [
    "amount",
    "amounts",
    "choice",
    "day",
    "either",
    "number",
    "numbers",
    "points",
    "rows",
    "same_length",
    "takes",
    "thread",
    "tolerance_class",
    "whole",
]


def takes(**faults: str) -> None:
    """What is wrong with each parameter. Raises RunError with all that is, and what to write instead."""
    wrong = [f"parameter {name}: {fault}" for name, fault in faults.items() if fault]
    if wrong:
        raise RunError("; ".join(wrong))


def amount(
    value: str | None, unit: str, above: str | None = None, least: str | None = None, most: str | None = None
) -> str:
    """A quantity of the kind of `unit`, as text with its unit, within the limits."""
    if not value:
        return ""
    from restonb.quantity import read

    try:
        typed = read(value, unit)
        given = typed.to(unit).value
    except QuantityError as error:
        return str(error)
    return _within(
        repr(value),
        given,
        *(None if limit is None else (read(limit, unit).to(unit).value, limit) for limit in (above, least, most)),
    )


def amounts(values: Sequence[str], unit: str, above: str | None = None, most: str | None = None) -> str:
    """Quantities of the kind of `unit`, each as text with its unit, within the limits."""
    return _first(
        amount(value, unit, above, most=most) if value else "an empty text; write an amount with its unit"
        for value in values
    )


def number(
    value: float | None, above: float | None = None, least: float | None = None, most: float | None = None
) -> str:
    """A number within the limits."""
    if value is None:
        return ""
    return _within(
        f"{value:g}", value, *(None if limit is None else (limit, f"{limit:g}") for limit in (above, least, most))
    )


def numbers(
    values: Sequence[float], above: float | None = None, least: float | None = None, most: float | None = None
) -> str:
    """Numbers within the limits."""
    return _first(number(value, above, least, most) for value in values)


def whole(value: int | None, least: int, most: int) -> str:
    """A whole number within the limits, both included."""
    if value is None or least <= value <= most:
        return ""
    return f"write a whole number from {least} to {most}, not {value}"


def choice(value: str | None, *words: str) -> str:
    """One of these words."""
    return "" if not value or value in words else f"{value!r} is not known; write {listed(words, last='or')}"


def either(value: float | None, *numbers: float) -> str:
    """One of these numbers."""
    return (
        ""
        if value is None or value in numbers
        else f"write {listed((f'{n:g}' for n in numbers), last='or')}, not {value:g}"
    )


def day(value: str | None) -> str:
    """A day of the calendar."""
    try:
        if value:
            date.fromisoformat(value)
    except ValueError:
        return f"{value!r} is not a date; write year-month-day, as in 2026-03-14"
    return ""


def thread(value: str | None) -> str:
    """A thread by its designation."""
    if not value:
        return ""
    from restonb.quantity import read_thread

    try:
        read_thread(value)
    except QuantityError as error:
        return str(error)
    return ""


def tolerance_class(value: str | None) -> str:
    """A class of ISO 286, such as k5 or N7."""
    if not value:
        return ""
    from restonb.formulas import fits

    try:
        fits.limits(value, 25.0)
    except FormulaError as error:
        return str(error).removeprefix("fits.limits: ")
    return ""


def points(values: Sequence[Sequence[float]], least: int = 3, most: int = 8) -> str:
    """Plan positions: two numbers each."""
    if values and not least <= len(values) <= most:
        return f"{len(values)} positions; write {least} to {most}, each as [x, y]"
    return "" if all(len(point) == 2 for point in values) else "a position is not two numbers; write each as [x, y]"


def rows(values: Sequence[Sequence[str]], *columns: str) -> str:
    """Rows of so many texts each."""
    short = next((row for row in values if len(row) != len(columns)), None)
    return "" if short is None else f"a row of {len(short)}; write {len(columns)} texts: {', '.join(columns)}"


def same_length(values: Sequence[Any], others: Sequence[Any], of: str) -> str:
    """As many as of something else, where there are any."""
    if not values or len(values) == len(others):
        return ""
    return f"{len(values)} values; write one for each of the {len(others)} {of}"


def _within(
    said: str,
    value: float,
    above: tuple[float, str] | None,
    least: tuple[float, str] | None,
    most: tuple[float, str] | None,
) -> str:
    good = (
        (above is None or value > above[0])
        and (least is None or value >= least[0])
        and (most is None or value <= most[0])
    )
    if good:
        return ""
    low = f"above {above[1]}" if above else f"{least[1]} or more" if least else ""
    high = f"at most {most[1]}" if most else ""
    return f"write {' and '.join(t for t in (low, high) if t)}, not {said}"


def _first(faults: Iterable[str]) -> str:
    return next((fault for fault in faults if fault), "")
