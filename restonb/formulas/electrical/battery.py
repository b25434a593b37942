"""Lead-acid batteries: state of charge at rest, load test, drain."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows
from restonb.formulas.checks import between, need, not_negative, positive

CAUTION = "charging gives off explosive gas and the acid burns: no flame, eye protection, good air"
REST = rows("restonb.formulas.electrical", "battery.csv")
LOAD = rows("restonb.formulas.electrical", "load_test.csv")


def _between_rows(table: Sequence[tuple[float, float]], at: float) -> float:
    """Straight line between the two rows of a falling table that `at` lies between."""
    for (x0, y0), (x1, y1) in itertools.pairwise(table):
        if x1 <= at <= x0:
            return y1 + (y0 - y1) * (at - x1) / (x0 - x1)
    return table[0][1] if at > table[0][0] else table[-1][1]


@dataclass(frozen=True, slots=True)
class Charge:
    charge: Annotated[float, Out("%", "state of charge")]
    low: Annotated[float, Out("%", "low end, since tables differ by about 0.1 V")]
    high: Annotated[float, Out("%", "high end")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="table of rest voltage at 26.7 degC, straight lines between",
    source=("battery",),
    valid="flooded lead-acid, 24 h at rest, nominal 6 or 12 V; full at or above the top row, flat at or below the last",
    not_for="gel, fleece and lithium batteries",
)
def rest_voltage(
    voltage: Annotated[float, In("V", "voltage at the terminals after 24 h at rest")],
    nominal: Annotated[float, In("V", "6 or 12")] = 12.0,
) -> Charge:
    """How full a lead-acid battery at rest is."""
    need(nominal in (6.0, 12.0), f"'nominal' is {nominal:g} V; write 6 or 12", field="nominal")
    as_12 = voltage * 12 / nominal
    need(0 <= as_12 < 16, f"{voltage:g} V is not a rest voltage of a {nominal:g} V battery; check both")
    table = [(float(r["voltage_12V"]), float(r["charge_percent"])) for r in REST]
    notes = ["tables in use differ by about 0.1 V: the range shows it"]
    if as_12 > 12.9:
        notes.append("above a rest voltage: it was charged lately; wait, or switch the lamp on for a minute")
    if as_12 < 10.5:
        notes.append("a cell may be dead: measure the specific gravity of each")
    return Charge(
        _between_rows(table, as_12),
        _between_rows(table, as_12 - 0.1),
        _between_rows(table, as_12 + 0.1),
        tuple(notes),
        (CAUTION,),
    )


@formula(
    text="SG at 26.7 degC = SG + 0.004 per 10 degF above 80 degF",
    source=("battery",),
    valid="acid from -20 to 55 degC, gravity from 1.0 to 1.35",
)
def specific_gravity(
    reading: Annotated[float, In("1", "hydrometer reading, such as 1.250")],
    temperature: Annotated[float, In("degC", "temperature of the acid")],
) -> Annotated[float, Out("1", "specific gravity at 26.7 degC", symbol="SG")]:
    """Which specific gravity a hydrometer reading stands for at the reference temperature."""
    between("reading", reading, 1.0, 1.35)
    between("temperature", temperature, -20, 55, "degC")
    fahrenheit = temperature * 9 / 5 + 32
    return reading + 0.004 * (fahrenheit - 80) / 10


@dataclass(frozen=True, slots=True)
class ByGravity:
    voltage: Annotated[float, Out("V", "rest voltage of the battery")]
    cell: Annotated[float, Out("V", "of one cell")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="voltage at rest = cells * (SG + 0.845)",
    source=("practice",),
    valid="flooded lead-acid at 25 to 27 degC, 24 h at rest, gravity 1.19 to 1.30 (from half full up)",
    not_for="less than half full, where the table in general use reads higher; gel, fleece and lithium batteries",
)
def gravity_voltage(
    gravity: Annotated[float, In("1", "specific gravity at 26.7 degC, such as 1.265", symbol="SG")],
    cells: Annotated[int, In("1", "cells: 3 in a 6 V battery, 6 in a 12 V one")] = 6,
) -> ByGravity:
    """Which rest voltage goes with a specific gravity: a check of one measurement by the other."""
    between("gravity", gravity, 1.19, 1.30)
    need(cells in (1, 2, 3, 6, 12), f"'cells' is {cells}; write 3 for a 6 V battery, 6 for a 12 V one", field="cells")
    cell = gravity + 0.845
    notes = (
        "a rule of thumb from memory, no source: within about 0.05 V of the table for a 12 V battery",
        "a cell whose gravity lies more than 0.05 below its neighbours' is suspect (common practice)",
    )
    return ByGravity(cells * cell, cell, notes, (CAUTION,))


@dataclass(frozen=True, slots=True)
class LoadTest:
    load: Annotated[float, Out("A", "current to draw for 15 s")]
    least: Annotated[float, Out("V", "least voltage at the end")]
    passes: Annotated[bool, Out(None, "the battery passes")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="half the cold cranking current for 15 s; least voltage from the table by temperature",
    source=("battery",),
    valid="charged battery, -18 to 21 degC and above; 6 V: half the voltage",
    not_for="batteries without a cold cranking figure: draw three times the ampere hours (common practice)",
)
def load_test(
    voltage: Annotated[float, In("V", "voltage at the end of the load")],
    cold_cranking: Annotated[float, In("A", "cold cranking current on the label")],
    temperature: Annotated[float, In("degC", "temperature of the battery")] = 21.0,
    nominal: Annotated[float, In("V", "6 or 12")] = 12.0,
) -> LoadTest:
    """Whether a battery holds up under load."""
    need(nominal in (6.0, 12.0), f"'nominal' is {nominal:g} V; write 6 or 12", field="nominal")
    not_negative(voltage=voltage)
    positive(cold_cranking=cold_cranking)
    table = [(float(r["temperature_degC"]), float(r["voltage_12V"])) for r in LOAD]
    between("temperature", temperature, table[-1][0], 50, "degC")
    least = _between_rows(table, temperature) * nominal / 12
    return LoadTest(cold_cranking / 2, least, voltage >= least, (), (CAUTION,))


@formula(
    text="days = Ah * share / I / 24",
    source=("physics",),
    valid="steady drain",
    not_for="self-discharge, which comes on top: a few per cent a month",
)
def drain(
    capacity: Annotated[float, In("Ah", "capacity of the battery", symbol="Ah")],
    current: Annotated[float, In("A", "drain with everything switched off", symbol="I")],
    share: Annotated[float, In("%", "share of the capacity that may go")] = 50.0,
) -> Annotated[float, Out("day", "days until that share is gone")]:
    """How long a battery lasts against a drain."""
    positive(capacity=capacity, current=current)
    between("share", share, 1, 100, "%")
    return capacity * share / 100 / current / 24
