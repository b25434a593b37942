"""How deep to drill and tap a blind hole, and where the stop tape goes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import between, not_negative, positive
from restonb.quantity import Thread

__all__ = ["CHAMFER", "BlindDepth", "blind_depth"]

CHAMFER = {"bottoming": 2.0, "plug": 4.0, "taper": 9.0}
"""Threads on which a tap is ground away in front, in pitches: bottoming 1 to 2, plug 3 to 5, taper 7 to 10."""

_SMALL = 8.0
"""Plug taps for bolts up to this size (mm) end in a male centre of half the bolt's diameter."""


@dataclass(frozen=True, slots=True)
class BlindDepth:
    """Depths from the face of the part, and marks from the tip of each tool."""

    full: Annotated[float, Out("mm", "depth of the full bore of the drill")]
    tip: Annotated[float, Out("mm", "depth of the drill's tip")]
    tap_tip: Annotated[float, Out("mm", "depth of the tap's tip when the thread is full")]
    drill_mark: Annotated[float, Out("mm", "stop tape on the drill, from its tip")]
    tap_mark: Annotated[float, Out("mm", "stop tape on the tap, from its tip")]
    floor: Annotated[float | None, Out("mm", "metal left below the drill's tip")]
    steps: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="full = length + setback P + chamfer P + male centre + clearance P; tip = full + drill/2 / tan(point/2); P = pitch",
    source=("asme-b18-29: depth of tapped holes", "machinery: Wire thread inserts, example 3", "geometry"),
    valid="blind holes tapped by hand; chamfer 1 to 2 P (bottoming), 3 to 5 P (plug), 7 to 10 P (taper)",
    not_for="through holes, and taps of another pattern: measure the tap's own chamfer and centre and give them",
)
def blind_depth(
    thread: Annotated[Thread, In(None, "thread of the bolt, such as 'M8'")],
    length: Annotated[float, In("mm", "length of full thread, or of the insert")],
    drill: Annotated[float, In("mm", "diameter of the drill")],
    tap: Annotated[str, In(None, "which tap finishes the hole", tuple(CHAMFER))] = "plug",
    setback: Annotated[float, In("1", "how far the thread or insert starts below the face, in pitches")] = 1.0,
    clearance: Annotated[float, In("1", "room left below the tap, in pitches")] = 1.0,
    chamfer: Annotated[
        float | None, In("1", "threads ground away on the tap, in pitches; by the kind of tap if not given")
    ] = None,
    male_centre: Annotated[
        float | None, In("mm", "length of the tap's male centre; by kind and size if not given")
    ] = None,
    point: Annotated[float, In("deg", "angle of the drill's point")] = 118.0,
    depth: Annotated[float | None, In("mm", "thickness of the part at the hole")] = None,
) -> BlindDepth:
    """How deep to drill and tap a blind hole, and where to put the stop tape."""
    positive(length=length, drill=drill)
    if depth is not None:
        positive(depth=depth)
    not_negative(setback=setback, clearance=clearance)
    between("point", point, 60, 180, "deg")
    ground = CHAMFER[tap] if chamfer is None else chamfer
    centre = male_centre
    if centre is None:
        centre = 0.5 * thread.major if tap == "plug" and thread.major <= _SMALL else 0.0
    not_negative(chamfer=ground, male_centre=centre)
    tap_tip = length + (setback + ground) * thread.pitch + centre
    full = tap_tip + clearance * thread.pitch
    tip = full + drill / 2 / math.tan(math.radians(point / 2))
    floor = None if depth is None else depth - tip
    steps = (
        f"stop tape on the drill {tip:.1f} mm behind its tip; drill until the tape touches",
        f"stop tape on the {tap} tap {tap_tip:.1f} mm behind its tip; stop there, even if it still turns",
        "blow the chips out (eyes covered) and measure the depth before tapping",
    )
    notes = [
        f"chamfer {ground:g} P"
        + (f", male centre {centre:g} mm" if centre else "")
        + f", {clearance:g} P of room below"
    ]
    if tap != "bottoming":
        notes.append("short of depth? finish with a bottoming tap: it needs less")
    return BlindDepth(full, tip, tap_tip, tip, tap_tip, floor, steps, tuple(notes), _cautions(floor, thread.pitch))


def _cautions(floor: float | None, pitch: float) -> tuple[str, ...]:
    if floor is None:
        return (
            "how much metal lies below is not known: find out before drilling, oil or fuel or a bearing may be behind it",
        )
    if floor <= 0:
        return (
            f"the drill breaks through by {-floor:.1f} mm: take a bottoming tap, a shorter thread, or grind the drill flatter",
        )
    if floor < pitch:
        return (f"only {floor:.1f} mm of metal is left below the drill: stop early and finish with a flat-ended drill",)
    return ()
