"""Writing a quantity for a reader: the digits that its uncertainty deserves, and never a '-0.00'."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from restonb.errors import QuantityError
from restonb.quantity import _units

if TYPE_CHECKING:
    from decimal import Decimal

__all__ = ["write", "write_number"]

_DIGITS_WITHOUT_UNCERTAINTY = 6
_COUNTED = ("week", "month", "year")
"""Units that are words, and are read aloud as words: 1 year, 4.5 years."""


def write(value: float, unit: str, u: float | None = None, resolution: float | None = None) -> str:
    """'6.80 mm': the value with its unit's sign.

    With a standard or expanded uncertainty `u` (in `unit`) it is rounded where the second significant digit
    of `u` stands (JCGM 100, 7.2.6); else to the `resolution`; else to six digits. Ties go to the even digit.
    A date is written as the week, month or year that it stands for. Raises QuantityError for an unknown unit or a value that is
    not finite.
    """
    one = _units.unit(unit)
    if one.kind == "date" and math.isfinite(value):
        from restonb.quantity._dates import write_date

        return write_date(value, u, resolution)
    symbol = one.symbol
    number = write_number(value, u, resolution)
    if symbol in ("1", "count"):
        return number
    if symbol in _COUNTED and number != "1":
        symbol += "s"
    return number + symbol if symbol == "°" else f"{number} {symbol}"


def write_number(value: float, u: float | None = None, resolution: float | None = None) -> str:
    """The number of `write`, without the unit: for a table whose heading names it."""
    from decimal import Decimal

    value = float(value)
    if not math.isfinite(value):
        raise QuantityError(f"{value} is not a measured number: leave it out")
    exact = Decimal(repr(value))
    place = _place(u, resolution)
    if place is None:
        text = _round(exact, min(0, exact.adjusted() + 1 - _DIGITS_WITHOUT_UNCERTAINTY) if exact else 0)
        text = text.rstrip("0").rstrip(".") if "." in text else text
    else:
        text = _round(exact, place)
    return text.lstrip("-") if not text.strip("-0.") else text


def _place(u: float | None, resolution: float | None) -> int | None:
    """The power of ten of the last digit to write; None where nothing tells."""
    from decimal import Decimal

    if u is not None and 0 < u < math.inf:
        step = Decimal(repr(float(u)))
        place = step.adjusted() - 1
        # 0.0996 rounds to 0.10: its second digit stands one place further left
        return place + (_rounded_to(step, place).adjusted() - step.adjusted())
    if resolution is not None and 0 < resolution < math.inf:
        step = Decimal(repr(float(resolution))).normalize()
        if len(step.as_tuple().digits) <= 2:
            return min(0, int(step.as_tuple().exponent))
        return min(0, step.adjusted())
    return None


def _rounded_to(value: Decimal, place: int) -> Decimal:
    return value.scaleb(-place).to_integral_value("ROUND_HALF_EVEN").scaleb(place)


def _round(value: Decimal, place: int) -> str:
    return f"{_rounded_to(value, place):.{max(0, -place)}f}"
