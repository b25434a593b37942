"""Radial internal clearance of a deep groove ball bearing: as made, and what a tight fit leaves of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows
from restonb.formulas.checks import not_negative, positive

TABLE = rows("restonb.formulas.fits", "clearance.csv")


@dataclass(frozen=True, slots=True)
class Clearance:
    least: Annotated[float, Out("um", "least clearance as made")]
    most: Annotated[float, Out("um", "most clearance as made")]
    least_fitted: Annotated[float, Out("um", "least that is left when fitted; below 0 the bearing binds")]
    most_fitted: Annotated[float, Out("um", "most that is left when fitted")]
    notes: tuple[str, ...] = ()


@formula(
    text="left = made - share * interference, share from 0.7 to 0.9",
    source=("iso-5753", "bearing-catalogue"),
    valid="deep groove ball bearings with bores from 10 to 120 mm, at one temperature",
    not_for="running: the inner ring grows warmer than the outer, which takes more clearance",
)
def bearing_clearance(
    bore: Annotated[float, In("mm", "bore of the bearing")],
    group: Annotated[
        str, In(None, "clearance group marked on the bearing; CN where none is", ("C2", "CN", "C3", "C4"))
    ] = "CN",
    interference: Annotated[float, In("um", "effective interference of both rings together; 0 for loose fits")] = 0.0,
) -> Clearance:
    """How much clearance a ball bearing has, and what a tight fit leaves of it."""
    positive(bore=bore)
    not_negative(interference=interference)
    row = next((r for r in TABLE if float(r["over_mm"]) < bore <= float(r["to_mm"])), None)
    if row is None:
        raise FormulaError(
            f"'bore' is {bore:g} mm; ISO 5753-1 is tabled here from 10 to 120 mm and is not extrapolated", field="bore"
        )
    low, high = float(row[f"{group}_low"]), float(row[f"{group}_high"])
    left = low - 0.9 * interference
    notes = ("it binds: take the next larger clearance group, or a looser fit",) if left < 0 else ()
    return Clearance(low, high, left, high - 0.7 * interference, notes)
