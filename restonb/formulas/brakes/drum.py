"""Drums: oversize against the limit, and out of round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import at_least, need, positive


@dataclass(frozen=True, slots=True)
class Oversize:
    largest: Annotated[float, Out("mm", "largest diameter")]
    oversize: Annotated[float, Out("mm", "largest diameter above nominal")]
    left: Annotated[float, Out("mm", "what is left to the limit; below 0 the drum is worn out")]
    notes: tuple[str, ...] = ()


@formula(
    text="oversize = max(D) - nominal; left = limit - oversize",
    source=("practice",),
    valid="diameters measured past the worn track's lip",
    not_for="a drum with its limit cast in: that figure comes first",
)
def drum_oversize(
    diameters: Annotated[Sequence[float], In("mm", "diameter across several axes", symbol="D")],
    nominal: Annotated[float, In("mm", "diameter when new")],
    limit: Annotated[float, In("mm", "oversize allowed")] = 1.0,
) -> Oversize:
    """How far a drum is worn, and what is left."""
    at_least("diameters", diameters, 2)
    positive(nominal=nominal, limit=limit)
    over = max(diameters) - nominal
    need(abs(over) < 0.1 * nominal, f"{max(diameters):g} mm is far from {nominal:g} mm; check the unit")
    return Oversize(max(diameters), over, limit - over, ("1.0 mm on the diameter is common practice, no source",))


@formula(
    text="out of round = max(D) - min(D)",
    source=("geometry", "practice"),
    valid="4 axes or more in one plane",
    not_for="three-lobed drums: equal diameters do not prove a round drum, so turn it against an indicator too",
)
def out_of_round(
    diameters: Annotated[Sequence[float], In("mm", "diameter across several axes", symbol="D")],
) -> Annotated[float, Out("mm", "out of round; 0.1 mm is common practice, no source")]:
    """How far a drum is out of round."""
    at_least("diameters", diameters, 2)
    for i, d in enumerate(diameters, 1):
        positive(**{f"diameters[{i}]": d})
    return max(diameters) - min(diameters)
