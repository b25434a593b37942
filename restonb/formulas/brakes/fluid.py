"""Fluid grades, and a hold test that allows for the temperature."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows
from restonb.formulas.brakes.hydraulics import CAUTION
from restonb.formulas.checks import need, not_negative, positive

GAUGE = 1.0
"""Rise in % that is put down to reading the gauge: common practice, no source."""

TABLE = rows("restonb.formulas.brakes", "fluid.csv")


@dataclass(frozen=True, slots=True)
class Fluid:
    dry: Annotated[float, Out("degC", "least boiling point when fresh")]
    wet: Annotated[float, Out("degC", "least boiling point with water in it")]
    viscosity: Annotated[float, Out("mm2/s", "largest viscosity at -40 degC")]
    base: Annotated[str, Out(None, "what it is made of")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="table by grade",
    source=("cfr-571-116: S5.1.1 to S5.1.3",),
    valid="fluids marked with their grade",
    not_for="mineral oils and unknown old fluids: flush and find out what the seals are made of",
)
def fluid_grade(grade: Annotated[str, In(None, "grade on the can", tuple(r["grade"] for r in TABLE))]) -> Fluid:
    """What a brake fluid grade must bear, and what it must not be mixed with."""
    row = next(r for r in TABLE if r["grade"] == grade)
    silicone = row["base"] == "silicone"
    notes = (
        "silicone: never mix it with the glycol grades, nor fill it into a system that held them without new seals"
        if silicone
        else "glycol: takes up water, strips paint; DOT 5 is silicone and never mixed with it",
        "common practice, no source: change it every two years",
    )
    return Fluid(
        float(row["dry_boiling_min_degC"]),
        float(row["wet_boiling_min_degC"]),
        float(row["viscosity_max_at_minus40_mm2_s"]),
        row["base"],
        notes,
        (CAUTION,),
    )


@dataclass(frozen=True, slots=True)
class Hold:
    loss: Annotated[float, Out("%", "pressure lost")]
    by_temperature: Annotated[
        float, Out("%", "loss that cooling of the trapped fluid explains; below 0 a rise by warming")
    ]
    unexplained: Annotated[float, Out("%", "loss that the temperature does not explain; below 0 it rose")]
    holds: Annotated[bool, Out(None, "the loss is small enough, and the pressure did not rise by itself")]
    rose: Annotated[bool, Out(None, "the pressure rose by more than the temperature explains: nothing is proved")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="loss = 100 (p0 - p1)/p0; by temperature = 100 k (T0 - T1)/p0; unexplained = loss - by temperature",
    source=("practice",),
    valid="pressure held by a blocked lever and read on a gauge once it has settled",
    not_for="passing a brake that feels soft: find out why first",
)
def hold_test(
    start: Annotated[float, In("MPa", "pressure at the start", symbol="p0")],
    end: Annotated[float, In("MPa", "pressure at the end", symbol="p1")],
    minutes: Annotated[float, In("min", "time held")] = 5.0,
    cooled_by: Annotated[
        float, In("K", "how much the fluid cooled meanwhile; below 0 if it warmed", symbol="T0 - T1")
    ] = 0.0,
    stiffness: Annotated[
        float, In("MPa/K", "pressure change per kelvin of this system; measure it, 0 if unknown", symbol="k")
    ] = 0.0,
    limit: Annotated[float, In("%", "loss allowed in the time")] = 5.0,
) -> Hold:
    """Whether a hydraulic brake holds its pressure, allowing for temperature."""
    positive(start=start, minutes=minutes, limit=limit)
    not_negative(end=end, stiffness=stiffness)
    need(end <= 1.5 * start, f"'end' is {end:g} MPa, far above the start; check both", field="end")
    loss = 100 * (start - end) / start
    heat = 100 * stiffness * cooled_by / start
    left = loss - heat
    rose = left < -GAUGE
    notes = [f"limit {limit:g} % in {minutes:g} min: common practice, no source"]
    if rose:
        notes.append("the pressure rose: the fluid warmed, or the lever moved; repeat at rest")
    return Hold(loss, heat, left, left <= limit and not rose, rose, tuple(notes), (CAUTION,))
