"""From the pads to the road: torque, deceleration, weight transfer, the stopping distance of a type test."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.brakes.hydraulics import CAUTION
from restonb.formulas.checks import between, not_negative, positive

GRAVITY = 9.80665


@formula(
    text="T = 2 mu N re",
    source=("physics",),
    valid="two faces; friction 0.2 to 0.6 (0.35 to 0.45 is common practice for pads)",
    not_for="hot, wet or oily pads",
)
def brake_torque(
    clamp_force: Annotated[float, In("N", "force on each pad", symbol="N")],
    effective_radius: Annotated[float, In("mm", "mean radius of the pad track", symbol="re")],
    friction: Annotated[float, In("1", "pad friction", symbol="mu")] = 0.4,
) -> Annotated[float, Out("N m", "brake torque of one disc", symbol="T")]:
    """Which torque a disc brake makes."""
    not_negative(clamp_force=clamp_force)
    positive(effective_radius=effective_radius)
    between("friction", friction, 0.2, 0.6)
    return 2 * friction * clamp_force * effective_radius / 1000


@formula(
    text="a = T / (R m)",
    source=("physics",),
    valid="a tyre that does not slide; torque of all brakes used",
    not_for="promising a stopping distance: tyre and road decide",
)
def deceleration(
    torque: Annotated[float, In("N m", "brake torque", symbol="T")],
    tyre_radius: Annotated[float, In("m", "loaded tyre radius", symbol="R")],
    mass: Annotated[float, In("kg", "mass of machine and rider", symbol="m")],
) -> Annotated[float, Out("m/s2", "deceleration", symbol="a")]:
    """Which deceleration a brake torque gives."""
    not_negative(torque=torque)
    positive(tyre_radius=tyre_radius, mass=mass)
    return torque / (tyre_radius * mass)


@dataclass(frozen=True, slots=True)
class Transfer:
    transfer: Annotated[float, Out("N", "load moved from the rear to the front wheel", symbol="dN")]
    lift_at: Annotated[float | None, Out("m/s2", "deceleration at which the rear wheel lifts")]


@formula(
    text="dN = m a h / L; the rear lifts at a = g b / h",
    source=("physics",),
    valid="rigid machine, both wheels on the ground",
)
def weight_transfer(
    mass: Annotated[float, In("kg", "mass of machine and rider", symbol="m")],
    deceleration: Annotated[float, In("m/s2", "deceleration", symbol="a")],
    height: Annotated[float, In("m", "height of the centre of mass", symbol="h")],
    wheelbase: Annotated[float, In("m", "wheelbase", symbol="L")],
    behind_front: Annotated[float | None, In("m", "centre of mass behind the front axle", symbol="b")] = None,
) -> Transfer:
    """How much load goes forward while braking, and when the rear wheel lifts."""
    positive(mass=mass, height=height, wheelbase=wheelbase)
    not_negative(deceleration=deceleration)
    lift = None
    if behind_front is not None:
        between("behind_front", behind_front, 0.0, wheelbase, "m")
        lift = GRAVITY * behind_front / height
    return Transfer(mass * deceleration * height / wheelbase, lift)


STOPS = {
    "motorcycle, front only": (0.1, 1 / 115, 4.4),
    "motorcycle, rear only": (0.1, 1 / 75, 2.9),
    "motorcycle, combined brakes": (0.1, 0.0076, 5.1),
    "motorcycle, high speed": (0.1, 0.0067, 5.8),
    "motorcycle, all controls, from the first touch": (0.0, 0.0060, None),
    "moped, front only": (0.1, 1 / 90, 3.4),
    "moped, rear only": (0.1, 1 / 70, 2.7),
    "sidecar outfit, rear only": (0.1, 1 / 95, 3.6),
}
"""Factors of V and of V^2, and the mean deceleration allowed instead in m/s2. Directive 93/14/EEC, but for the combined,
high-speed and all-controls tests, which are recalled from 49 CFR 571.122 and GTR 3."""
RECALLED = ("motorcycle, combined brakes", "motorcycle, high speed", "motorcycle, all controls, from the first touch")


@dataclass(frozen=True, slots=True)
class Stop:
    distance: Annotated[float, Out("m", "longest stopping distance of the type test", symbol="S")]
    deceleration: Annotated[float | None, Out("m/s2", "mean deceleration allowed instead")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="S = 0.1 V + k V^2; k = factor of the type test",
    source=("dir-93-14: Annex, Appendix 1", "cfr-571-122: S6"),
    valid="V in km/h; motorcycles are tested at 60 km/h, mopeds at 40 km/h",
    not_for="a trial on the road: the figure belongs to a test track, and an old machine was approved to older rules",
)
def stopping_distance(
    speed: Annotated[float, In("km/h", "speed at which braking begins", symbol="V")],
    test: Annotated[str, In(None, "which brake of which machine", tuple(STOPS))] = "motorcycle, front only",
) -> Stop:
    """Which stopping distance a type test allows."""
    between("speed", speed, 1, 200, "km/h")
    reaction, factor, mean = STOPS[test]
    at = 40 if "moped" in test else 60
    notes = [] if speed == at or test in RECALLED else [f"the type test is run at {at} km/h"]
    if test in RECALLED:
        notes.append("this factor is recalled, the print was not at hand")
    return Stop(reaction * speed + factor * speed**2, mean, tuple(notes), (CAUTION,))
