"""Wire by American gauge and by mm2: diameter, resistance, drop, and which wire a circuit needs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows
from restonb.formulas.checks import between, not_negative, positive

RESISTIVITY = 17.241
"""Annealed copper at 20 degC in ohm mm2/km: IEC 60028."""
TEMPERATURE_COEFFICIENT = 0.00393
"""Of annealed copper at 20 degC, per kelvin: IEC 60028."""
TABLE = rows("restonb.formulas.electrical", "wire.csv")
COLUMNS = {
    "flexible": "class5_plain_ohm_km",
    "flexible, tinned": "class5_tinned_ohm_km",
    "solid or stranded": "class12_plain_ohm_km",
    "solid or stranded, tinned": "class12_tinned_ohm_km",
}


@dataclass(frozen=True, slots=True)
class Awg:
    diameter: Annotated[float, Out("mm", "diameter of the solid wire", symbol="d")]
    area: Annotated[float, Out("mm2", "cross-section", symbol="A")]
    resistance: Annotated[float, Out("ohm/km", "resistance at 20 degC", symbol="R")]
    notes: tuple[str, ...] = ()


@formula(
    text="d = 0.127 mm * 92^((36 - n)/39); R = 17.241/A",
    source=("astm-b258", "iec-60028"),
    valid="0000 (write -3) to 40, solid annealed copper at 20 degC",
    not_for="stranded wire: it runs 2 to 4 % higher; and metric sizes, which no gauge number equals",
)
def awg(gauge: Annotated[int, In("1", "American gauge; 0 is 0, 00 is -1, 0000 is -3", symbol="n")]) -> Awg:
    """How thick a wire of an American gauge is, and its resistance."""
    between("gauge", gauge, -3, 40)
    diameter = 0.127 * 92 ** ((36 - gauge) / 39)
    area = math.pi / 4 * diameter**2
    near = min(TABLE, key=lambda r: abs(math.log(float(r["area_mm2"]) / area)))
    return Awg(diameter, area, RESISTIVITY / area, (f"nearest metric size: {near['area_mm2']} mm2",))


def _row(area: float) -> dict[str, str]:
    for row in TABLE:
        if math.isclose(float(row["area_mm2"]), area, rel_tol=1e-9):
            return row
    sizes = ", ".join(r["area_mm2"] for r in TABLE)
    raise FormulaError(f"{area:g} mm2 is not a size of IEC 60228; take one of {sizes}")


@formula(
    text="table by size and kind",
    source=("iec-60228: Tables 1 to 3",),
    valid="copper at 20 degC, the largest resistance that the standard allows",
)
def metric_wire(
    area: Annotated[float, In("mm2", "nominal cross-section")],
    kind: Annotated[str, In(None, "kind of conductor", tuple(COLUMNS))] = "flexible",
) -> Annotated[float, Out("ohm/km", "resistance at 20 degC")]:
    """Which resistance a metric wire may have at most."""
    found = _row(area)[COLUMNS[kind]]
    if not found:
        raise FormulaError(f"{area:g} mm2 is not tabled as '{kind}' here; nothing is extrapolated")
    return float(found)


@formula(
    text="R_T = R20 (1 + 0.00393 (T - 20))",
    source=("iec-60028",),
    valid="copper from -40 to 200 degC",
)
def hot_resistance(
    resistance: Annotated[float, In("ohm/km", "resistance at 20 degC", symbol="R20")],
    temperature: Annotated[float, In("degC", "temperature of the wire", symbol="T")],
) -> Annotated[float, Out("ohm/km", "resistance at that temperature", symbol="R_T")]:
    """Which resistance a copper wire has when warm."""
    positive(resistance=resistance)
    between("temperature", temperature, -40, 200, "degC")
    return resistance * (1 + TEMPERATURE_COEFFICIENT * (temperature - 20))


@formula(
    text="U = I R L (twice the length where the return is a wire too)",
    source=("physics",),
    valid="steady current",
    not_for="the inrush of lamps (eight to ten times) and starters",
)
def voltage_drop(
    current: Annotated[float, In("A", "current", symbol="I")],
    resistance: Annotated[float, In("ohm/km", "resistance of the wire, warm", symbol="R")],
    length: Annotated[float, In("m", "one-way length", symbol="L")],
    return_wire: Annotated[bool, In(None, "the return is a wire of the same kind; no if through the frame")] = True,
) -> Annotated[float, Out("V", "voltage lost in the wire", symbol="U")]:
    """How much voltage a wire loses."""
    not_negative(current=current, length=length)
    positive(resistance=resistance)
    return current * resistance * length / 1000 * (2 if return_wire else 1)


@dataclass(frozen=True, slots=True)
class WireChoice:
    area: Annotated[float, Out("mm2", "smallest size that serves")]
    drop: Annotated[float, Out("V", "voltage lost in it")]
    load: Annotated[float | None, Out("A", "load usual for it")]
    decided_by: Annotated[str, Out(None, "what decides the size")]
    notes: tuple[str, ...] = ()


@formula(
    text="smallest size whose warm drop and whose usual load both serve",
    source=("iec-60228: Table 3", "iec-60028", "practice"),
    valid="flexible copper to 4 mm2, short single runs",
    not_for="bundles in a hot place: take a size more; battery and starter cables",
)
def wire_for(
    current: Annotated[float, In("A", "steady current")],
    length: Annotated[float, In("m", "one-way length")],
    allowed_drop: Annotated[float, In("V", "voltage that may be lost")] = 0.3,
    return_wire: Annotated[bool, In(None, "the return is a wire of the same kind; no if through the frame")] = True,
    temperature: Annotated[float, In("degC", "temperature of the wire")] = 40.0,
) -> WireChoice:
    """Which wire a circuit needs, by drop and by load."""
    positive(current=current, length=length, allowed_drop=allowed_drop)
    by_drop = by_load = None
    for row in TABLE:
        hot = hot_resistance.plain(float(row["class5_plain_ohm_km"]), temperature)
        drop = voltage_drop.plain(current, hot, length, return_wire)
        by_drop = by_drop or (float(row["area_mm2"]) if drop <= allowed_drop else None)
        by_load = by_load or (float(row["area_mm2"]) if row["load_A"] and float(row["load_A"]) >= current else None)
        if by_drop and by_load:
            words = "both alike" if by_drop == by_load else "load" if by_load > by_drop else "drop"
            return WireChoice(
                float(row["area_mm2"]), drop, float(row["load_A"]) if row["load_A"] else None, words,
                ("loads are common practice, no source: they depend on insulation and bundling",),
            )  # fmt: skip
    raise FormulaError(
        f"no size up to {TABLE[-1]['area_mm2']} mm2 serves {current:g} A; shorten the run or allow more drop"
    )
