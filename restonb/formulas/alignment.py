"""Shafts and sprockets in line: what the dial says, and how far to move which foot.

Axes: along the shafts x counts from the coupling towards the feet of the movable unit; up (or towards the place where the dial was set
to zero) is positive. A dial reading is positive when its plunger is pushed in. Looked at from above, the same formulas hold sideways:
set the dial to zero at one side, read at the other, and a positive move goes towards the zero side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import exceeds, need, not_negative, positive

__all__ = ["chain_angle", "drive_line", "reverse_indicator", "rim_and_face", "two_planes"]

BRACKET = ("on the movable shaft", "on the stationary shaft")
FACE = ("facing the bracket", "far side")
PLUS = ("behind the straightedge", "to the right")
LIMITS = {"chain": (0.001, 0.5), "v-belt": (0.005, 0.5), "toothed belt": (0.005, 0.25)}
"""Allowed offset per centre distance, and allowed angle in deg: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Moves:
    """Where the movable shaft is, and how far its feet must move."""

    front: Annotated[float, Out("mm", "move at the front feet, + raise")]
    rear: Annotated[float, Out("mm", "move at the rear feet, + raise")]
    offset: Annotated[float, Out("mm", "movable shaft above the stationary one at the coupling")]
    slope: Annotated[float, Out("1", "rise of the movable shaft per length away from the coupling")]
    steps: tuple[str, ...]
    notes: tuple[str, ...]


@formula(
    text="move(x) = -(offset + slope x); offset = ±(rim - sag)/2, slope = ∓(face - face sag)/D; + with the bracket on the movable shaft; x = distance from the coupling",
    source=("machinery-maintenance", "geometry"),
    valid="both shafts turned together; dial at zero on top, read at the bottom; small angles",
    not_for="shafts that float along their axis while turned: press both against one side, or use reverse indicators",
)
def rim_and_face(
    rim: Annotated[float, In("mm", "rim dial at the bottom, zero at the top, + plunger in")],
    face: Annotated[float, In("mm", "face dial at the bottom, zero at the top, + plunger in")],
    diameter: Annotated[float, In("mm", "diameter of the circle on which the face dial travels", symbol="D")],
    front: Annotated[float, In("mm", "distance from the coupling to the front feet")],
    rear: Annotated[float, In("mm", "distance from the coupling to the rear feet")],
    bracket: Annotated[str, In(None, "the shaft that carries the dials", BRACKET)],
    face_side: Annotated[str, In(None, "the face that the dial touches", FACE)] = FACE[0],
    sag: Annotated[float, In("mm", "rim dial at the bottom on a stiff bar, zero at the top (usually negative)")] = 0.0,
    face_sag: Annotated[float, In("mm", "face dial likewise")] = 0.0,
) -> Moves:
    """How far the front and rear feet of the movable unit must go up or down, from rim and face readings.

    The set-up decides the signs, so it is asked: with the dials on the movable shaft a positive rim reading means that this shaft is
    high; with the dials on the stationary shaft, low. A dial on the far side of the flange reverses the face term.
    """
    positive(diameter=diameter)
    _feet(front, rear)
    offset = (rim - sag) / 2 * (1 if bracket == BRACKET[0] else -1)
    slope = -(face - face_sag) / diameter * (1 if face_side == FACE[0] else -1)
    return _moves(offset, slope, front, rear, sag == 0.0)


@formula(
    text="y1 = (reading on stationary rim - sag)/2, y2 = -(reading on movable rim - sag)/2, slope = (y2 - y1)/span, move(x) = -(y1 + slope x); y1, y2 = movable shaft above the stationary one at planes 1 and 2, x = distance from plane 1",
    source=("machinery-maintenance", "geometry"),
    valid="both shafts turned together; dials at zero on top, read at the bottom; small angles",
    not_for="planes closer together than the coupling is wide: the slope becomes a guess",
)
def reverse_indicator(
    stationary_rim: Annotated[
        float, In("mm", "dial carried by the movable shaft, on the stationary rim (plane 1), at the bottom")
    ],
    movable_rim: Annotated[
        float, In("mm", "dial carried by the stationary shaft, on the movable rim (plane 2), at the bottom")
    ],
    span: Annotated[float, In("mm", "distance from plane 1 to plane 2")],
    front: Annotated[float, In("mm", "distance from plane 1 to the front feet")],
    rear: Annotated[float, In("mm", "distance from plane 1 to the rear feet")],
    sag: Annotated[float, In("mm", "dial at the bottom on a stiff bar, zero at the top (usually negative)")] = 0.0,
) -> Moves:
    """How far the front and rear feet of the movable unit must go up or down, from two dials on rims."""
    y1, y2 = (stationary_rim - sag) / 2, -(movable_rim - sag) / 2
    result = two_planes.plain(y1, y2, span, front, rear)
    return _moves(result.offset, result.slope, front, rear, sag == 0.0)


@formula(
    text="slope = (y2 - y1)/span; move(x) = -(y1 + slope x); x = distance from plane 1",
    source=("machinery-maintenance", "geometry"),
    valid="offsets of the movable shaft from the stationary one, + high, at two planes; small angles",
)
def two_planes(
    offset_1: Annotated[float, In("mm", "movable shaft above the stationary one at plane 1", symbol="y1")],
    offset_2: Annotated[float, In("mm", "the same at plane 2", symbol="y2")],
    span: Annotated[float, In("mm", "distance from plane 1 to plane 2")],
    front: Annotated[float, In("mm", "distance from plane 1 to the front feet")],
    rear: Annotated[float, In("mm", "distance from plane 1 to the rear feet")],
) -> Moves:
    """How far the feet must move when the offset of the shafts is known at two planes."""
    positive(span=span)
    _feet(front, rear)
    return _moves(offset_1, (offset_2 - offset_1) / span, front, rear, False)


@dataclass(frozen=True, slots=True)
class Line:
    """How a driven sprocket or pulley stands to the driving one, and how to move it."""

    offset: Annotated[float, Out("mm", "driven wheel off the line at its centre, signed as the gaps are")]
    offset_allowed: Annotated[float, Out("mm", "largest offset allowed; common practice where no limit is given")]
    angle: Annotated[float, Out("deg", "driven wheel out of the line")]
    angle_allowed: Annotated[float, Out("deg", "common practice")]
    shift: Annotated[float, Out("mm", "move the driven wheel by this against the sign of the gaps")]
    adjusters: Annotated[
        float | None, Out("mm", "difference to take out between the two axle adjusters; + right end back")
    ]
    in_line: Annotated[bool, Out(None, "offset and angle are within what is usual")]
    steps: tuple[str, ...]
    notes: tuple[str, ...]


@formula(
    text="angle = atan((far - near)/across); offset = (near + far)/2 - step; adjuster difference = tan(angle) x adjuster spacing",
    source=("geometry", "practice"),
    valid="a straightedge held against the face of the driving wheel; gaps from it to the face of the driven wheel, + behind it; or both "
    "given as lying to the right (+) or left (-) of the driving wheel, seen in the direction of travel, the driven wheel at the rear",
    not_for="a bent or worn driven wheel: turn it half a turn and read again",
)
def drive_line(
    near: Annotated[float, In("mm", "gap at the rim of the driven wheel towards the driving one")],
    far: Annotated[float, In("mm", "gap at the far rim")],
    across: Annotated[float, In("mm", "distance between these two places")],
    centres: Annotated[float, In("mm", "centre distance of the drive")],
    kind: Annotated[str, In(None, "what runs on it", tuple(LIMITS))] = "chain",
    step: Annotated[
        float, In("mm", "gap that a true drive would show because the faces differ, + driven set back")
    ] = 0.0,
    adjuster_spacing: Annotated[float | None, In("mm", "distance between the two axle adjusters")] = None,
    allowed: Annotated[
        float | None, In("mm", "largest offset that the maker allows to either side; else common practice")
    ] = None,
    plus: Annotated[str, In(None, "where the driven wheel lies when a gap is above 0", PLUS)] = PLUS[0],
) -> Line:
    """Whether a chain or belt runs in line, and how to shift and turn the driven wheel.

    A straightedge says by itself only which face is farther from it: on the left faces a gap means that the driven wheel lies to the
    right, on the right faces to the left. `plus` says which of the two ways the gaps are written, so that no advice is reversed.
    Limits are common practice without a source: chain 1 mm per metre of centre distance; belts 0.5 % of it; 0.5 deg, toothed belt 0.25.
    """
    positive(across=across, centres=centres)
    per_length, angle_allowed = LIMITS[kind]
    if allowed is not None:
        positive(allowed=allowed)
    slope = (far - near) / across
    offset = (near + far) / 2 - step
    adjust = None
    if adjuster_spacing is not None:
        positive(adjuster_spacing=adjuster_spacing)
        adjust = slope * adjuster_spacing
    angle, offset_allowed = math.degrees(math.atan(slope)), per_length * centres if allowed is None else allowed
    in_line = not (exceeds(abs(offset), offset_allowed) or exceeds(abs(angle), angle_allowed))
    return Line(
        offset=offset,
        offset_allowed=offset_allowed,
        angle=angle,
        angle_allowed=angle_allowed,
        shift=offset,
        adjusters=adjust,
        in_line=in_line,
        steps=_line_steps(slope, offset, adjust, plus, in_line),
        notes=(
            "turn first, then shift: turning about the axle moves the offset too",
            "limits are common practice; the maker's come first",
        ),
    )


def _line_steps(slope: float, offset: float, adjust: float | None, plus: str, in_line: bool) -> tuple[str, ...]:
    """How to turn and shift the driven wheel, in the sense in which the gaps are given."""
    if in_line:
        return ("it runs in line within what is usual: nothing to turn, nothing to move",)
    steps, turn = [], f"turn the driven wheel by {abs(math.degrees(math.atan(slope))):.3g} deg"
    then = "then " if slope else ""
    if plus == PLUS[0]:
        if slope:
            steps.append(f"{turn}: its {'far' if slope > 0 else 'near'} rim comes towards the straightedge")
        if offset:
            way, put, take = (
                ("towards", "behind it", "out from behind")
                if offset > 0
                else ("away from", "out from behind it", "behind")
            )
            steps.append(
                f"{then}move it {abs(offset):.3g} mm {way} the straightedge: shims {put}, or as much {take} the driving wheel"
            )
        return tuple(steps)
    if slope:
        end = f", the right end of the axle {'back' if slope > 0 else 'forward'}"
        by = f" by {abs(adjust):.3g} mm against the left end" if adjust else ""
        steps.append(f"{turn}: its rear rim goes to the {'left' if slope > 0 else 'right'}{end}{by}")
    if offset:
        steps.append(f"{then}move it {abs(offset):.3g} mm to the {'left' if offset > 0 else 'right'}")
    return tuple(steps)


@formula(
    text="angle = atan(offset / centre distance)",
    source=("geometry",),
    valid="wheels parallel to each other",
)
def chain_angle(
    offset: Annotated[float, In("mm", "sideways offset of the two wheels")],
    centres: Annotated[float, In("mm", "centre distance")],
) -> Annotated[float, Out("deg", "angle at which the chain or belt runs on")]:
    """At which angle a chain or belt runs onto wheels that are offset sideways."""
    positive(centres=centres)
    return math.degrees(math.atan(offset / centres))


def _feet(front: float, rear: float) -> None:
    not_negative(front=front, rear=rear)
    need(
        front != rear,
        "'front' and 'rear' are the same distance; give the distance from the coupling to each pair of feet",
        field="front",
    )


def _moves(offset: float, slope: float, front: float, rear: float, no_sag: bool) -> Moves:
    at = {"front": -(offset + slope * front), "rear": -(offset + slope * rear)}
    steps = tuple(
        f"{'add' if move > 0 else 'take out'} {abs(move):.3g} mm under both {pair} feet"
        for pair, move in at.items()
        if abs(move) >= 5e-4
    )
    notes = ["cure soft feet first (seating.shims), or every reading moves with the bolts"]
    if no_sag:
        notes.append("no bracket sag given: measure it on a stiff bar, since it counts like misalignment")
    return Moves(at["front"], at["rear"], offset, slope, steps, tuple(notes))
