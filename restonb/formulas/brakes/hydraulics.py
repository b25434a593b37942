"""From the hand on the lever to the force at the pads: pressure, clamp, travel."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import between, need, not_negative, positive

CAUTION = "brakes are safety parts: the maker's manual and local rules decide; have the work checked before the road"


def area(diameter: float) -> float:
    """Area in mm2 of a bore in mm."""
    return math.pi / 4 * diameter**2


@formula(
    text="p = F ratio eff / (pi/4 dm^2)",
    source=("physics",),
    valid="fluid without air; efficiency 0.5 to 1",
    not_for="judging a brake by itself: a soft hose or air makes the lever feel different at the same pressure",
)
def line_pressure(
    lever_force: Annotated[float, In("N", "force of hand or foot on the lever", symbol="F")],
    lever_ratio: Annotated[float, In("1", "lever ratio: hand to pivot over pushrod to pivot", symbol="ratio")],
    master_bore: Annotated[float, In("mm", "bore of the master cylinder", symbol="dm")],
    efficiency: Annotated[float, In("1", "share that friction leaves", symbol="eff")] = 1.0,
) -> Annotated[float, Out("MPa", "line pressure", symbol="p")]:
    """Which pressure a force on the lever makes."""
    not_negative(lever_force=lever_force)
    positive(lever_ratio=lever_ratio, master_bore=master_bore)
    between("efficiency", efficiency, 0.5, 1.0)
    return lever_force * lever_ratio * efficiency / area(master_bore)


@formula(
    text="F = p n pi/4 dp^2",
    source=("physics",),
    valid="pistons of one side of the caliper",
)
def clamp_force(
    pressure: Annotated[float, In("MPa", "line pressure", symbol="p")],
    piston: Annotated[float, In("mm", "piston diameter", symbol="dp")],
    pistons_one_side: Annotated[int, In("1", "pistons on one side of the caliper", symbol="n")] = 1,
) -> Annotated[float, Out("N", "force on each pad", symbol="F")]:
    """Which force presses each pad."""
    not_negative(pressure=pressure)
    positive(piston=piston, pistons_one_side=pistons_one_side)
    return pressure * area(piston) * pistons_one_side


@formula(
    text="ratio = n dp^2 / dm^2",
    source=("geometry",),
    valid="all pistons of one side",
)
def hydraulic_ratio(
    master_bore: Annotated[float, In("mm", "bore of the master cylinder", symbol="dm")],
    piston: Annotated[float, In("mm", "piston diameter", symbol="dp")],
    pistons_one_side: Annotated[int, In("1", "pistons on one side of the caliper", symbol="n")] = 1,
) -> Annotated[float, Out("1", "hydraulic ratio")]:
    """How much the fluid multiplies the force."""
    positive(master_bore=master_bore, piston=piston, pistons_one_side=pistons_one_side)
    return pistons_one_side * piston**2 / master_bore**2


@formula(
    text="travel = gap n (dp/dm)^2 ratio",
    source=("geometry",),
    valid="fluid without air, stiff hoses; n counts every piston that moves (a floating caliper moves twice the pad gap)",
    not_for="worn pivots: their play adds to the travel",
)
def lever_travel(
    pad_gap: Annotated[float, In("mm", "gap that each moving piston takes up")],
    piston: Annotated[float, In("mm", "piston diameter", symbol="dp")],
    moving_pistons: Annotated[int, In("1", "pistons that move", symbol="n")],
    master_bore: Annotated[float, In("mm", "bore of the master cylinder", symbol="dm")],
    lever_ratio: Annotated[float, In("1", "lever ratio")],
) -> Annotated[float, Out("mm", "travel at the hand")]:
    """How far the lever moves before the pads bite."""
    not_negative(pad_gap=pad_gap)
    positive(piston=piston, moving_pistons=moving_pistons, master_bore=master_bore, lever_ratio=lever_ratio)
    return pad_gap * moving_pistons * (piston / master_bore) ** 2 * lever_ratio


@dataclass(frozen=True, slots=True)
class BoreChange:
    pressure: Annotated[float, Out("%", "change of pressure at the same hand force")]
    travel: Annotated[float, Out("%", "change of lever travel for the same pad movement")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="pressure goes with (d_old/d_new)^2, travel the same way",
    source=("physics",),
    valid="same lever, same calipers",
    not_for="deciding that a machine may be changed: local rules may forbid it",
)
def master_bore_change(
    old_bore: Annotated[float, In("mm", "bore of the master cylinder now", symbol="d_old")],
    new_bore: Annotated[float, In("mm", "bore of the other master cylinder", symbol="d_new")],
) -> BoreChange:
    """What another master cylinder bore does to pressure and travel."""
    positive(old_bore=old_bore, new_bore=new_bore)
    change = 100 * ((old_bore / new_bore) ** 2 - 1)
    feel = "more pressure and a longer travel" if change > 0 else "less pressure and a shorter travel"
    need(abs(change) < 300, "these two bores differ by more than double; check both")
    return BoreChange(change, change, (f"a {new_bore:g} mm bore gives {feel}",), (CAUTION,))
