"""Which limits a reading is held against: the new limits, or the wear limit where there is one."""

from __future__ import annotations

import math
from dataclasses import dataclass

from restonb.errors import MeasureError
from restonb.measure.model import Characteristic
from restonb.measure.positions import WORKED_OUT, derived

__all__ = ["Limits", "limits_of", "worn_in"]


NEVER_NEGATIVE = frozenset(
    {
        "area",
        "charge",
        "count",
        "density",
        "energy",
        "force",
        "frequency",
        "length",
        "linear density",
        "mass",
        "ratio",
        "resistance",
        "resistance per length",
        "rotational speed",
        "speed",
        "time",
        "torque",
        "volume",
    }
)
"""Kinds of quantity of which a workshop mostly measures the amount: a gap, a run-out, a torque."""


@dataclass(frozen=True, slots=True)
class Limits:
    """`lower` and `upper` decide; `wears` is 'up', 'down' or '' (no wear limit); `new` is where wear starts."""

    lower: float | None
    upper: float | None
    wears: str = ""
    new: float | None = None


def limits_of(characteristic: Characteristic, value: float | None = None) -> Limits:
    """The limits that decide: on the side to which the part wears, the wear limit takes the new limit's place.

    Which side that is follows from where the wear limit lies beside the new limits, or beside the nominal size.
    A lower limit of exactly 0 on a gap or a run-out is not a limit that must be proved, since there is nothing below it:
    it falls away, unless `value` is negative or the row is a difference, a sum or what a formula gives, such as what is left to a
    limit: these may be.
    Raises MeasureError for limits that contradict each other.
    """
    c = characteristic
    if c.lower is not None and c.upper is not None and c.lower > c.upper:
        raise MeasureError(f"{c.key}: lower {c.lower:g} is above upper {c.upper:g}; swap them in the spec book")
    lower = None if _natural_zero(c, value) else c.lower
    if c.wear_limit is None:
        return Limits(lower, c.upper)
    beside_upper = _first(c.upper, c.nominal, c.lower)
    beside_lower = _first(c.lower, c.nominal, c.upper)
    if beside_upper is None or beside_lower is None:
        raise MeasureError(
            f"{c.key}: a wear limit alone does not say which way the part wears; write lower, upper or nominal, too"
        )
    if c.wear_limit >= beside_upper:
        return Limits(lower, c.wear_limit, "up", beside_upper)
    if c.wear_limit <= beside_lower:
        return Limits(c.wear_limit, c.upper, "down", beside_lower)
    raise MeasureError(
        f"{c.key}: wear limit {c.wear_limit:g} lies between lower {beside_lower:g} and upper {beside_upper:g};"
        " write one beyond them"
    )


def _natural_zero(c: Characteristic, value: float | None) -> bool:
    if c.lower != 0 or (value is not None and value < 0):
        return False
    worked_out = derived(c.positions)
    if worked_out is not None and worked_out.what in ("difference", "sum", WORKED_OUT):
        return False
    from restonb.quantity import unit

    return unit(c.unit).kind in NEVER_NEGATIVE


def worn_in(value: float, new: float, wear_limit: float) -> float:
    """How much of the way from the new limit to the wear limit is used up, %; 0 where wear has not begun.

    Raises MeasureError where the two limits are the same.
    """
    if not math.isfinite(value) or new == wear_limit:
        raise MeasureError("new limit and wear limit are the same; there is no way between them")
    return max(0.0, 100.0 * (value - new) / (wear_limit - new)) + 0.0


def _first(*values: float | None) -> float | None:
    return next((v for v in values if v is not None), None)
