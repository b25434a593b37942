"""A drum brake: what drum, linings and cam say to do next."""

from __future__ import annotations

from typing import Any

from restonb.decisions._to_do import not_settled, still
from restonb.decisions._words import listed, places, undone
from restonb.measure import Verdicts
from restonb.quantity import read

__all__ = ["next_steps", "oversize_allowed"]


def oversize_allowed(marked: str | None, nominal: Any, wear_limit: Any) -> Any:
    """Oversize in mm that is left by the largest diameter allowed: that cast into the drum before the spec book's.

    `nominal` and `wear_limit` are quantities; false where the spec book has none, and then so is the answer.
    """
    if not nominal or not (marked or wear_limit):
        return nominal if not nominal else wear_limit
    largest = read(marked, "mm") if marked else wear_limit
    return largest.to("mm").value - nominal.to("mm").value


def next_steps(
    diameter: Verdicts, ovality: Verdicts, worn: Any, lining: Verdicts, cam: Verdicts, marked: str | None = None
) -> list[str]:
    """The decision, drum first; `worn` is the answer of brakes.drum_oversize, false while it cannot be worked out."""
    said = [_drum(diameter, worn, marked)]
    if diameter.word == "outside":
        return said
    return [line for line in (*said, _round(ovality, worn), _lining(lining), _cam(cam)) if line]


def _drum(diameter: Verdicts, worn: Any, marked: str | None) -> str:
    if diameter.word == "outside" or (worn and worn.left < 0):
        return (
            "The drum is worn out: thin walls crack, and the shoes no longer fit the curve. Another drum or hub, or a new "
            "liner put in by a specialist."
        )
    if undone(diameter):
        return f"Measure the drum across every axis{still(diameter)}."
    if diameter.word == "too close to call":
        return (
            "The drum is too close to its limit to call: treat it as worn out unless a better gauge proves otherwise."
        )
    if diameter.word == "no limit":
        return "Without a largest diameter nothing can be said of the drum: look for a figure cast into it, or in the manual."
    mark = "" if marked else " Look for a figure cast into the drum: it goes before the spec book."
    left = f", {worn.left:.2f} mm on the diameter are left" if worn else ""
    return f"The drum is within its limit{left}.{mark}"


def _round(ovality: Verdicts, worn: Any) -> str:
    if undone(ovality):
        return ""
    if ovality.word == "outside":
        room = f" while {worn.left:.2f} mm are left" if worn and worn.left > 0 else ""
        return (
            "It is out of round: the pedal will pulse. First slacken and retighten the spokes evenly, which can pull a hub "
            f"oval; then have it skimmed on its bearings, laced into the wheel{room}, and measure again."
        )
    if ovality.word == "too close to call":
        return "Its roundness is too close to call; the remark in the table says what would settle it."
    return "It is round enough." if ovality.word == "inside" else ""


def _lining(lining: Verdicts) -> str:
    worn = f"Reline both shoes ({listed(not_settled(lining))}): always as a pair, arced to the drum, edges chamfered."
    if lining.word == "outside":
        return worn
    if undone(lining):
        return f"Measure the linings at toe and heel{still(lining)}."
    if lining.word == "inside":
        return "The linings have enough left."
    if lining.word == "no limit":
        return "Write the least thickness of the lining into the spec book: above the rivets, or the manual's figure."
    return worn


def _cam(cam: Verdicts) -> str:
    if undone(cam):
        return "Measure the angle between rod and cam lever with the brake on, once it is adjusted."
    if places(cam, "outside") and cam[0].upper is not None and (cam[0].value or 0) > cam[0].upper:
        return (
            "The cam lever goes past its right angle with the brake on: it loses force, and a cam may turn over and stay "
            "on. Move the lever back on its splines, or reline; do not take it up at the adjuster."
        )
    if cam.word == "outside":
        return "The angle at the cam lever is too small: set the lever on the next spline, then adjust the rod."
    if cam.word == "too close to call":
        return "The angle at the cam lever is too close to call: set the lever a spline back from a right angle."
    return "The cam lever stops short of a right angle, where it pulls best." if cam.word == "inside" else ""
