"""Checks that formulas share: each refuses by name and says what to give instead."""

from __future__ import annotations

import math
from collections.abc import Sequence

from restonb.errors import FormulaError

__all__ = ["at_least", "between", "exceeds", "need", "not_negative", "positive", "same_length"]


def need(holds: bool, message: str, field: str = "", write: str = "", given: object = None) -> None:
    """Refuse with `message` unless it holds; the error carries which argument it is about and what is wanted."""
    if not holds:
        raise FormulaError(message, field=field, write=write, given=given)


def positive(**values: float) -> None:
    """Each must be above zero."""
    for name, value in values.items():
        wanted = "a number above 0"
        need(math.isfinite(value) and value > 0, f"'{name}' is {value:g}; give {wanted}", name, wanted, value)


def not_negative(**values: float) -> None:
    """Each must be zero or more."""
    for name, value in values.items():
        wanted = "0 or more"
        need(math.isfinite(value) and value >= 0, f"'{name}' is {value:g}; give {wanted}", name, wanted, value)


def between(name: str, value: float, low: float, high: float, unit: str = "") -> None:
    """Must lie from `low` to `high`, both included; a table or formula is never extrapolated."""
    tail = f" {unit}" if unit else ""
    need(
        math.isfinite(value) and low <= value <= high,
        f"'{name}' is {value:g}{tail}; it holds from {low:g} to {high:g}{tail} and is not extrapolated",
        name,
        f"from {low:g} to {high:g}{tail}",
        value,
    )


def exceeds(value: float, limit: float) -> bool:
    """Whether it is above the limit by more than adding decimal numbers leaves over: 0.55 + 0.30 - 0.70 does not exceed 0.15."""
    return value > limit + 1e-9 * max(1.0, abs(limit))


def at_least(name: str, values: Sequence[object], count: int) -> None:
    """A list must have at least `count` items."""
    wanted = f"at least {count}"
    need(len(values) >= count, f"'{name}' has {len(values)} values; give {wanted}", name, wanted, values)


def same_length(**lists: Sequence[object]) -> None:
    """Lists that belong together must be equally long."""
    lengths = {name: len(items) for name, items in lists.items()}
    need(
        len(set(lengths.values())) <= 1,
        "give as many of each: " + ", ".join(f"'{n}' has {k}" for n, k in lengths.items()),
    )
