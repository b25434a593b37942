"""A brake trial: the distance measured, corrected to the speed that its limit belongs to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.brakes.hydraulics import CAUTION
from restonb.formulas.brakes.stopping import GRAVITY, STOPS
from restonb.formulas.checks import between, need, positive

__all__ = ["corrected_distance"]

BAND = 5.0
"""How far the measured speed may be from that of the limit, in km/h, to be corrected at all."""
MOST_GRIP = 1.0
LEAST_GRIP = 0.2
"""Deceleration as a share of gravity that a tyre on a road can give, and below which a brake hardly works: practice."""


@dataclass(frozen=True, slots=True)
class Corrected:
    distance: Annotated[float, Out("m", "stopping distance, corrected to the speed of the limit", symbol="S")]
    deceleration: Annotated[float, Out("m/s2", "mean deceleration over the whole distance measured", symbol="a")]
    grip: Annotated[float, Out("1", "that deceleration as a share of gravity")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="S = r V + (Sm - r Vm) V^2/Vm^2, a = Vm^2/(25.92 Sm); r = share of the speed that the build-up of the brake takes: 0.1 where the test counts it, else 0",
    source=("cfr-571-122: S6", "en-14766: 4.6.7.5.1.9", "practice"),
    valid="measured speed within 5 km/h of the speed of the limit; level road; not above 1.0 g",
    not_for="a run from quite another speed: run it again, since nothing corrects that",
)
def corrected_distance(
    distance: Annotated[float, In("m", "distance from the mark to where it stands", symbol="Sm")],
    measured: Annotated[float, In("km/h", "speed measured as braking began", symbol="Vm")],
    speed: Annotated[float, In("km/h", "speed that the limit belongs to", symbol="V")] = 60.0,
    test: Annotated[str, In(None, "which type test the limit comes from", tuple(STOPS))] = "motorcycle, front only",
) -> Corrected:
    """Which distance a stop would have taken from exactly the speed of the limit."""
    positive(distance=distance, measured=measured)
    between("speed", speed, 1, 200, "km/h")
    grip = measured**2 / (25.92 * distance) / GRAVITY
    need(
        grip <= MOST_GRIP,
        f"that would be {grip:.1f} g, and no tyre on a road gives more than about 1 g: check the mark, the unit and the "
        "speed, and run it again",
    )
    need(
        abs(measured - speed) <= BAND,
        f"it began more than {BAND:g} km/h off the speed of the limit, and nothing corrects that: run it again at that speed",
    )
    build_up = STOPS[test][0]
    corrected = build_up * speed + (distance - build_up * measured) * speed**2 / measured**2
    notes = ["common practice, no source: what a tyre can give (1 g), and what a brake must (0.2 g)"]
    if build_up:
        notes.append("the correction with the build-up of the brake is recalled from GTR 3, the print was not at hand")
    if grip < LEAST_GRIP:
        notes.append("under 0.2 g: the brake hardly works, or the run was not a hard stop")
    return Corrected(corrected, measured**2 / (25.92 * distance), grip, tuple(notes), (CAUTION,))
