"""The uncertainty of what was read: instrument, resolution, scatter of repeats, temperature, in one budget."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from restonb.errors import MeasureError
from restonb.measure.budget import Budget, Component, component
from restonb.measure.model import Characteristic, Instrument, Reading
from restonb.measure.temperature import unknown_expansion
from restonb.measure.uncertainty import type_a
from restonb.quantity import convert, convert_difference, unit_of_difference, write
from restonb.quantity import unit as unit_of

__all__ = ["Expansion", "Measured", "error_words", "measure"]

Expansion = float | Mapping[str, float] | None
"""Thermal expansion of the part in 1/K, or that of each part by the key of its characteristic."""


@dataclass(frozen=True)
class Measured:
    """One value in the characteristic's unit, its budget, the readings it comes from, and remarks for the reader."""

    value: float
    budget: Budget
    readings: tuple[Reading, ...]
    notes: tuple[str, ...] = ()


def measure(
    characteristic: Characteristic,
    readings: Sequence[Reading],
    instruments: Mapping[str, Instrument],
    expansion: Expansion = None,
) -> Measured:
    """The value that readings of one place stand for (their mean if there are several), with its uncertainty.

    In the characteristic's unit. `expansion` is the part's, in 1/K, for readings that state a temperature.
    Instrument and resolution are one and the same error in every repeat, so that the mean does not lessen them.
    Raises QuantityError for a reading in a unit of another kind, MeasureError for one that is not a number.
    """
    if not readings:
        raise MeasureError(f"no readings of {characteristic.key}; enter at least one")
    of_part = expansion.get(characteristic.key) if isinstance(expansion, Mapping) else expansion
    unit = unit_of_difference(characteristic.unit)
    notes: dict[str, None] = {}
    values: list[float] = []
    parts: list[Component] = []
    for reading in readings:
        value, of_one = _one(characteristic, reading, instruments, of_part, notes)
        values.append(value)
        parts = _wider(parts, of_one)
    if len(values) == 1:
        return Measured(values[0], Budget(tuple(parts), unit), tuple(readings), tuple(notes))
    scatter = type_a(values)
    repeated = component(f"scatter of {scatter.n} readings", scatter.u, "normal", dof=scatter.dof, cause="scatter")
    return Measured(scatter.mean, Budget((*parts, repeated), unit), tuple(readings), tuple(notes))


def _wider(a: list[Component], b: list[Component]) -> list[Component]:
    """Of two readings' parts, those of the less certain one: repeats are normally taken with one gauge."""
    return max(a, b, key=lambda parts: math.hypot(*(c.contribution for c in parts)) if parts else -1.0)


def _one(
    characteristic: Characteristic,
    reading: Reading,
    instruments: Mapping[str, Instrument],
    expansion: float | None,
    notes: dict[str, None],
) -> tuple[float, list[Component]]:
    unit = characteristic.unit
    if not math.isfinite(reading.value):
        raise MeasureError(f"{characteristic.key}, {reading.position}: {reading.value} is not a reading; strike it")
    value = convert(reading.value, reading.unit, unit)
    if unit_of(unit).kind == "count":
        return value, []  # what is counted is a whole number: its digits leave nothing open
    key = reading.instrument or characteristic.instrument
    gauge = instruments.get(key) if key else None
    if unit_of(unit).kind == "date":
        span = component("what the mark leaves open", reading.resolution or 1.0, "resolution", cause="date")
        return value, [span]
    if key is None:
        notes["no instrument named: only the digits typed count as uncertainty"] = None
    elif gauge is None:
        notes[f"'{key}' is not among the instruments: only the digits typed count as uncertainty"] = None
    error, step = _stated(gauge, reading, unit, notes)
    if step is None and reading.resolution is not None:
        step = convert_difference(reading.resolution, reading.unit, unit)
    parts = []
    if error:
        stated = f" ({error_words(gauge)})" if gauge and gauge.percent else ""
        name = f"error of {key}{stated}"
        parts.append(component(name, error, "rectangular", cause="instrument", shared=key or ""))
    if step:
        parts.append(component("resolution", step, "resolution", cause="resolution"))
    if reading.temperature is not None and unit_of(unit).kind == "length":
        value, warmth = _at_20(value, reading.temperature, gauge, expansion)
        parts += [warmth] if warmth.value else []
    return value, parts


def error_words(gauge: Instrument) -> str:
    """The largest error as it is stated: '0.03 mm', '4 % of the reading', '0.5 % of the reading + 0.02 V'."""
    if gauge.error is None:
        return "not known"
    of_reading = f"{gauge.percent:g} % of the reading" if gauge.percent else ""
    fixed = write(gauge.error, gauge.unit) if gauge.error or not of_reading else ""
    return " + ".join(part for part in (of_reading, fixed) if part)


def _stated(
    gauge: Instrument | None, reading: Reading, unit: str, notes: dict[str, None]
) -> tuple[float | None, float | None]:
    """The gauge's largest error at this reading, and its resolution, in `unit`."""
    if gauge is None:
        return None, None
    if not _fits(gauge.unit, unit):
        notes[f"{gauge.key} is stated in {gauge.unit}, which says nothing of {unit}: its error is not counted"] = None
        return None, None
    if gauge.error is None:
        notes[f"the error of {gauge.key} is not known: only its resolution counts as uncertainty"] = None
    error = gauge.error
    if error is not None and gauge.percent:
        error = abs(error) + gauge.percent / 100 * abs(convert(reading.value, reading.unit, gauge.unit))
    return (
        None if error is None else convert_difference(abs(error), gauge.unit, unit),
        None if gauge.resolution is None else convert_difference(gauge.resolution, gauge.unit, unit),
    )


@lru_cache(maxsize=256)
def _fits(a: str, b: str) -> bool:
    kinds = {unit_of(a).kind, unit_of(b).kind}
    return len(kinds) == 1 or kinds == {"temperature", "temperature difference"}


def _at_20(value: float, celsius: float, gauge: Instrument | None, expansion: float | None) -> tuple[float, Component]:
    """The value at 20 degC (ISO 1), part and gauge having soaked at the same temperature, and what that leaves open."""
    from restonb.measure.temperature import STEEL, length_at_20

    of_gauge = STEEL if gauge is None or gauge.expansion is None else gauge.expansion
    if expansion is None:
        bound = unknown_expansion(value, celsius, of_gauge)
        return value, component("temperature, part's expansion not stated", bound, "rectangular", cause="temperature")
    corrected = length_at_20(value, celsius, expansion, celsius, of_gauge)
    open_ = abs(value * (celsius - 20.0)) * math.hypot(0.05 * expansion, 0.05 * of_gauge)
    return corrected, component("temperature, expansion known to 5 %", open_, "rectangular", cause="temperature")
