"""Frame and wheels: trail, spokes, string alignment, rim run-out, bearing life."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import between, need, not_negative, positive

__all__ = ["bearing_life", "rim_run_out", "spoke_length", "trail", "wheel_string"]


@dataclass(frozen=True, slots=True)
class Trail:
    ground: Annotated[float, Out("mm", "trail along the ground; below 0 the steering is not stable")]
    normal: Annotated[float, Out("mm", "trail square to the steering axis")]


@formula(
    text="ground = (R sin(rake) - offset)/cos(rake); normal = R sin(rake) - offset",
    source=("geometry",),
    valid="rake from vertical, 0 to 45 degrees; loaded tyre radius",
)
def trail(
    tyre_radius: Annotated[float, In("mm", "loaded radius of the front tyre", symbol="R")],
    rake: Annotated[float, In("deg", "steering axis from vertical")],
    offset: Annotated[float, In("mm", "fork offset, axis to wheel spindle")],
) -> Trail:
    """How much trail the steering has."""
    positive(tyre_radius=tyre_radius)
    between("rake", rake, 0, 45, "deg")
    angle = math.radians(rake)
    normal = tyre_radius * math.sin(angle) - offset
    return Trail(normal / math.cos(angle), normal)


@formula(
    text="L = sqrt((ERD/2)^2 + (f/2)^2 + o^2 - ERD f/2 cos(2 pi x/(n/2))) - hole/2",
    source=("geometry",),
    valid="tangent-spoked wheels, x crosses of n spokes; effective rim diameter measured to the nipple seats",
    not_for="hubs with spokes bent differently inside and out: measure an old spoke too",
)
def spoke_length(
    rim_diameter: Annotated[float, In("mm", "effective rim diameter, nipple seat to nipple seat", symbol="ERD")],
    flange_diameter: Annotated[float, In("mm", "circle of the spoke holes in the flange", symbol="f")],
    flange_offset: Annotated[float, In("mm", "flange from the rim's centre plane", symbol="o")],
    spokes: Annotated[int, In("1", "spokes in the whole wheel", symbol="n")],
    crosses: Annotated[int, In("1", "how often a spoke crosses others of its flange", symbol="x")],
    hole: Annotated[float, In("mm", "diameter of the hole in the flange")] = 0.0,
) -> Annotated[float, Out("mm", "spoke length, elbow to end", symbol="L")]:
    """How long a spoke is."""
    positive(rim_diameter=rim_diameter, flange_diameter=flange_diameter, spokes=spokes)
    not_negative(crosses=crosses, hole=hole)
    need(spokes % 4 == 0, f"{spokes} spokes; give a number that four divides")
    need(flange_diameter < rim_diameter, "the flange is larger than the rim; check both")
    turn = 2 * math.pi * crosses / (spokes / 2)
    need(
        turn < math.pi / 2 + 1e-9,
        f"{crosses} crosses are too many for {spokes} spokes; the spoke would pass its own flange",
    )
    big, small = rim_diameter / 2, flange_diameter / 2
    return math.sqrt(big**2 + small**2 + flange_offset**2 - 2 * big * small * math.cos(turn)) - hole / 2


@dataclass(frozen=True, slots=True)
class StringLine:
    offset: Annotated[float, Out("mm", "front wheel to one side of the rear wheel's plane; + towards the right string")]
    toe: Annotated[float | None, Out("deg", "rear wheel turned against the strings; + front edge towards the right")]
    notes: tuple[str, ...] = ()


@formula(
    text="offset = (left gap - right gap)/2 of the front less that of the rear; toe = atan((gap fore - gap aft)/D)",
    source=("geometry",),
    valid="two parallel strings laid along the rear wheel, both gaps measured at the front wheel",
)
def wheel_string(
    front_left: Annotated[float, In("mm", "string to front rim, left")],
    front_right: Annotated[float, In("mm", "string to front rim, right")],
    rear_left: Annotated[float, In("mm", "string to rear rim, left")] = 0.0,
    rear_right: Annotated[float, In("mm", "string to rear rim, right")] = 0.0,
    fore: Annotated[float | None, In("mm", "left gap at the front edge of the rear rim")] = None,
    aft: Annotated[float | None, In("mm", "left gap at its rear edge")] = None,
    rim_diameter: Annotated[float, In("mm", "distance between those two edges", symbol="D")] = 450.0,
) -> StringLine:
    """How far the wheels are out of line, by the string."""
    not_negative(front_left=front_left, front_right=front_right, rear_left=rear_left, rear_right=rear_right)
    positive(rim_diameter=rim_diameter)
    offset = (front_left - front_right) / 2 - (rear_left - rear_right) / 2
    toe = None if fore is None or aft is None else math.degrees(math.atan((fore - aft) / rim_diameter))
    return StringLine(offset, toe, ("some machines carry the wheels out of line on purpose: see the manual",))


@formula(
    text="run-out = max - min of the indicator over one turn",
    source=("practice",),
    valid="tyre off or a clean rim edge; 1 to 2 mm is common practice, 0.5 mm is good, no source",
)
def rim_run_out(
    highest: Annotated[float, In("mm", "highest reading of one turn")],
    lowest: Annotated[float, In("mm", "lowest reading of one turn")],
) -> Annotated[float, Out("mm", "run-out of the rim")]:
    """How far a rim runs out."""
    need(highest >= lowest, "'highest' is below 'lowest'; swap them", field="highest")
    return highest - lowest


@formula(
    text="L10h = (C/P)^p 1e6/(60 n); p = exponent of life: 3 for balls, 10/3 for rollers",
    source=("iso-281",),
    valid="P up to C/2; nine of ten bearings last at least so long",
    not_for="old, dry or dirty bearings; turn them and listen",
)
def bearing_life(
    rating: Annotated[float, In("N", "dynamic load rating", symbol="C")],
    load: Annotated[float, In("N", "equivalent load", symbol="P")],
    speed: Annotated[float, In("rpm", "speed", symbol="n")],
    kind: Annotated[str, In(None, "kind of bearing", ("ball", "roller"))] = "ball",
) -> Annotated[float, Out("h", "rating life L10", symbol="L10h")]:
    """How long a rolling bearing should last."""
    positive(rating=rating, load=load, speed=speed)
    need(load <= rating / 2, f"the load is above half the rating of {rating:g} N; the formula does not hold there")
    return float((rating / load) ** (3 if kind == "ball" else 10 / 3) * 1e6 / (60 * speed))
