"""Readings and limits in, a table of verdicts out: one row per position of a characteristic."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import groupby

from restonb.errors import PositionError
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
from restonb.measure.positions import derived, expand, parts_of, repeats_in
from restonb.measure.reading_budget import Measured, measure
from restonb.measure.settle import what_settles
from restonb.measure.verdict_table import Verdict, Verdicts

__all__ = ["check", "rows_of", "verdict_of"]


def check(
    characteristic: Characteristic,
    readings: Sequence[Reading],
    instruments: Mapping[str, Instrument],
    rule: str = "prove",
    *,
    expansion: float | None = None,
    base: Sequence[Characteristic] = (),
) -> Verdicts:
    """One verdict per position, in the order of the pattern; 'not measured' where no reading is.

    `readings` may be in any unit of the characteristic's kind, in the order of entry: of two at one position
    the later counts. Those of other characteristics are left alone. 'repeat n' gives one verdict, of the mean.
    A row that is worked out ('ovality of bore_diameter') takes the readings of the rows that it names; `base` are
    those rows, so that the places nobody measured are known, and their instrument. `expansion` is the part's, in
    1/K, for readings that state a temperature.
    Raises PositionError for a reading at a position that the pattern does not have, QuantityError for a unit of
    another kind, MeasureError for limits that contradict each other or an unknown rule.
    """
    guard_band(0.0, rule)
    limits = limits_of(characteristic)
    if derived(characteristic.positions) is not None:
        from restonb.measure.derivations import derive

        results = derive(characteristic, readings, instruments, base=base, expansion=expansion)
        return Verdicts(tuple(verdict_of(characteristic, p, m, limits, rule) for p, m in results))
    rows = []
    for position, wanted, found in rows_of(characteristic, readings):
        measured = measure(characteristic, found, instruments, expansion) if found else None
        if measured and 0 < len(found) < wanted:
            remark = f"{len(found)} of {wanted} readings taken"
            measured = Measured(measured.value, measured.budget, measured.readings, (*measured.notes, remark))
        rows.append(verdict_of(characteristic, position, measured, limits, rule))
    return Verdicts(tuple(rows))


def rows_of(
    characteristic: Characteristic, readings: Sequence[Reading]
) -> list[tuple[str, int, tuple[Reading, ...]]]:
    """Position, how many readings it asks for, and those there are; repeats stand in one row, 'mean of n'."""
    newest: dict[str, Reading] = {}
    names = expand(characteristic.positions)
    for reading in readings:
        if (reading.sheet, reading.characteristic) != (characteristic.sheet, characteristic.key):
            continue
        if reading.position not in names:
            raise PositionError(
                f"{characteristic.key} has no position '{reading.position}' (entry {reading.seq});"
                f" strike it, or add the position to '{characteristic.positions}'"
            )
        newest[reading.position] = reading
    at = repeats_in(characteristic.positions)
    if at is None:
        return [(name, 1, (newest[name],) if name in newest else ()) for name in names]

    def place(parts: _Parts) -> _Parts:
        return parts[:at] + parts[at + 1 :]

    rows = []
    for rest, group in groupby(sorted(parts_of(characteristic.positions), key=_by_first(place)), key=place):
        repeats = [" / ".join(parts) for parts in group]
        found = tuple(newest[name] for name in repeats if name in newest)
        rows.append((" / ".join((*rest, f"mean of {len(repeats)}")), len(repeats), found))
    return rows


_Parts = tuple[str, ...]


def _by_first(place: Callable[[_Parts], _Parts]) -> Callable[[_Parts], int]:
    """Sorting key that keeps places in the order in which they first come."""
    order: dict[_Parts, int] = {}
    return lambda parts: order.setdefault(place(parts), len(order))


def verdict_of(
    characteristic: Characteristic, position: str, measured: Measured | None, limits: Limits, rule: str
) -> Verdict:
    """The verdict on one value, with what would settle it if it is too close to call."""
    c = characteristic
    if measured is None:
        return Verdict(c, position, WORDS[NOT_MEASURED])
    value, budget = measured.value, measured.budget
    w = guard_band(budget.U, rule)
    code = judge_one(value, w, limits.lower, limits.upper)
    notes = list(measured.notes)
    notes += _about_limits(c, value, limits, code)
    if acceptance_zone(limits.lower, limits.upper, w).empty and code != OUTSIDE:
        notes.append("no value could be inside with this gauge: its uncertainty fills the tolerance")
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
        p_conform=None if code == NO_LIMIT else probability_inside(
            value, budget.u, limits.lower, limits.upper, budget.dof
        ),
        settle=what_settles(value, budget, limits, c.unit, len(measured.readings)) if code == TOO_CLOSE else "",
        note="; ".join(notes),
        readings=measured.readings,
        budget=budget,
    )


def _worn(value: float, limits: Limits) -> float | None:
    wear = {"up": limits.upper, "down": limits.lower, "": None}[limits.wears]
    if wear is None or limits.new is None or wear == limits.new:
        return None
    return worn_in(value, limits.new, wear)


def _about_limits(c: Characteristic, value: float, limits: Limits, code: int) -> list[str]:
    if code == NO_LIMIT:
        return ["no limit stated"]
    if not limits.wears:
        return []
    beyond_new = (c.upper is not None and value > c.upper) if limits.wears == "up" else (
        c.lower is not None and value < c.lower
    )
    if beyond_new and code != OUTSIDE:
        return ["beyond the new limits; judged against the wear limit"]
    return []

