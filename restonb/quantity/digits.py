"""The digits that a number deserves which was worked out: those of its uncertainty, else no more than a workshop can use."""

from __future__ import annotations

import math
from typing import Any

from restonb.quantity._write import write

__all__ = ["result_number", "result_text", "uncertainty_of"]

FINEST = {
    "mm": 3,
    "in": 4,
    "thou": 1,
    "um": 1,
    "m": 2,
    "deg": 2,
    "degC": 0,
    "degF": 0,
    "%": 1,
    "rpm": 0,
    "mile": 0,
    "km": 0,
}
"""Decimals beyond which nothing in a workshop can be told apart, where no uncertainty says it."""


def result_text(value: float, unit: str, u: float | None = None, least_U: float | None = None) -> str:
    """A number with its unit. `u` is its own standard uncertainty; `least_U` the smallest expanded uncertainty of a reading of
    its kind on the sheet, in its unit: what is worked out from readings is not known better than by about that.
    """
    if isinstance(value, int) or unit == "count":
        return write(round(value), unit)
    if u:
        return write(value, unit, 2 * u)
    if least_U:
        decimals = min(-math.floor(math.log10(least_U)), FINEST.get(unit, 9))
        return write(round(value, decimals), unit, None, 10.0**-decimals)
    return write(float(result_number(value, unit, 3)), unit)


def result_number(value: float, unit: str | None, most: int = 4) -> str:
    """The number alone: `most` significant digits, or to the finest step of its unit where that leaves more."""
    if not math.isfinite(value):
        return str(value)
    if abs(value) < 1e-12:  # what is left of a difference of equal numbers
        return "0"
    decimals = FINEST.get(unit or "")
    digits = most - 1 - math.floor(math.log10(abs(value)))
    if unit in ("mm", "in", "thou", "um") and decimals is not None:
        digits = decimals  # a diameter of 68.141 mm is known to the same step as a gap of 0.141 mm
    elif decimals is not None:
        digits = min(digits, decimals)
    rounded = round(value, digits)
    return f"{rounded:.10g}" if rounded else f"{float(f'{value:.1g}'):.10g}"


def uncertainty_of(value: Any) -> float | None:
    """The standard uncertainty that comes with a value, where one does."""
    found = getattr(value, "std_dev", None) or getattr(value, "u", None)
    return float(found) if isinstance(found, (int, float)) and found else None
