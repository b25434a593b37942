"""Readings and limits in, a table of verdicts out: one row per position of a characteristic."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date

from restonb.errors import MeasureError
from restonb.measure.budget import Budget, Component, component
from restonb.measure.decision import (
    NO_LIMIT,
    NOT_MEASURED,
    OUTSIDE,
    TOO_CLOSE,
    WORDS,
    acceptance_zone,
    guard_band,
    judge_one,
    probability_inside,
)
from restonb.measure.limits import Limits, limits_of, worn_in
from restonb.measure.model import Characteristic, Instrument, Reading
from restonb.measure.positions import WORKED_OUT, derived
from restonb.measure.reading_budget import Expansion, Measured, measure
from restonb.measure.rows import rows_of
from restonb.measure.settle import what_settles
from restonb.measure.verdict_table import Verdict, Verdicts
from restonb.quantity import convert, convert_difference
from restonb.quantity import unit as unit_of

__all__ = ["check", "verdict_of", "verdict_on"]


def check(
    characteristic: Characteristic,
    readings: Sequence[Reading],
    instruments: Mapping[str, Instrument],
    rule: str = "prove",
    *,
    expansion: Expansion = None,
    base: Sequence[Characteristic] = (),
    today: date | None = None,
) -> Verdicts:
    """One verdict per position, in the order of the pattern; 'not measured' where no reading is.

    `readings` may be in any unit of the characteristic's kind, in the order of entry: of two at one position
    the later counts. Those of other characteristics are left alone. 'repeat n' gives one verdict, of the mean.
    A row that is worked out ('ovality of bore_diameter') takes the readings of the rows that it names; `base` are
    those rows, so that the places nobody measured are known, and their instrument. `expansion` is the part's, in
    1/K, for readings that state a temperature. `today` is the day on which an age is taken; without it ages are 'not measured'.
    Raises PositionError for a reading at a position that the pattern does not have, QuantityError for a unit of
    another kind, MeasureError for limits that contradict each other or an unknown rule.
    """
    guard_band(0.0, rule)
    limits_of(characteristic)
    if derived(characteristic.positions) is not None:
        from restonb.measure.derivations import derive

        results = derive(characteristic, readings, instruments, base=base, expansion=expansion, today=today)
        return Verdicts(tuple(verdict_of(characteristic, r.position, r.measured, rule, r.note) for r in results))
    rows = []
    for position, wanted, found in rows_of(characteristic, readings):
        measured = measure(characteristic, found, instruments, expansion) if found else None
        note = f"{len(found)} of {wanted} readings taken" if 0 < len(found) < wanted else ""
        rows.append(verdict_of(characteristic, position, measured, rule, note))
    return Verdicts(tuple(rows))


def verdict_on(
    characteristic: Characteristic,
    position: str,
    value: float,
    unit: str,
    u: float | None = None,
    rule: str = "prove",
    *,
    resolution: float | None = None,
    note: str = "",
) -> Verdict:
    """The verdict on a number that was worked out: `value` in `unit`, with standard uncertainty `u` in `unit`.

    With `u` None, one step of its last digit counts where `resolution` states it, as for a reading without a gauge; else it is
    judged by the value alone, and says so. Raises QuantityError for a unit of another kind, MeasureError for a number that is not
    finite, a negative `u`, an unknown rule, or limits that contradict each other.
    """
    guard_band(0.0, rule)
    if not math.isfinite(value) or (u is not None and not 0 <= u < math.inf):
        raise MeasureError(
            f"{characteristic.key}: {value} with u = {u} cannot be judged; give finite numbers, and u from 0 up"
        )
    own = characteristic.unit
    number = convert(value, unit, own)
    if abs(number) < _DUST:
        number = 0.0
    parts: list[Component] = []
    if u:
        parts.append(component(WORKED_OUT, abs(convert_difference(u, unit, own)), "normal"))
    elif u is None and resolution:
        step = abs(convert_difference(resolution, unit, own))
        parts.append(component("resolution", step, "resolution", cause="resolution"))
    return verdict_of(characteristic, position, Measured(number, Budget(tuple(parts), own), ()), rule, note)


_DUST = 1e-12
"""What is left of a difference of equal numbers is nothing, in any unit of a workshop."""


def verdict_of(
    characteristic: Characteristic, position: str, measured: Measured | None, rule: str = "prove", note: str = ""
) -> Verdict:
    """The verdict on one value, with what would settle it if it is too close to call; `note` is passed on."""
    c = characteristic
    if measured is None:
        return Verdict(c, position, WORDS[NOT_MEASURED], note=note)
    value, budget = measured.value, measured.budget
    limits = limits_of(c, value)
    w = guard_band(budget.U, rule)
    code = judge_one(value, w, limits.lower, limits.upper)
    sure = None if code == NO_LIMIT else probability_inside(value, budget.u, limits.lower, limits.upper, budget.dof)
    return Verdict(
        characteristic=c,
        position=position,
        verdict=WORDS[code],
        value=value,
        u=budget.u,
        U=budget.U,
        k=budget.k,
        dof=budget.dof,
        worn_in=_worn(value, limits),
        p_conform=sure,
        settle=what_settles(value, budget, limits, c.unit, len(measured.readings)) if code == TOO_CLOSE else "",
        note="; ".join(n for n in (note, *measured.notes, *_about_limits(c, value, budget.u, limits, w, code)) if n),
        readings=measured.readings,
        budget=budget,
    )


def _worn(value: float, limits: Limits) -> float | None:
    wear = {"up": limits.upper, "down": limits.lower, "": None}[limits.wears]
    if wear is None or limits.new is None or wear == limits.new:
        return None
    return worn_in(value, limits.new, wear)


def _about_limits(c: Characteristic, value: float, u: float, limits: Limits, w: float, code: int) -> list[str]:
    """What the reader must know of how the value was held against the limits."""
    if code == NO_LIMIT:
        return ["no limit stated"]
    remarks = (
        [] if u or unit_of(c.unit).kind == "count" else ["its uncertainty is not known: judged by the value alone"]
    )
    if code == OUTSIDE:
        return remarks
    if limits.wears and (
        (limits.wears == "up" and c.upper is not None and value > c.upper)
        or (limits.wears == "down" and c.lower is not None and value < c.lower)
    ):
        remarks.append("beyond the new limits; judged against the wear limit")
    if acceptance_zone(limits.lower, limits.upper, w).empty:
        remarks.append("no value could be inside with this gauge: its uncertainty fills the tolerance")
    return remarks
