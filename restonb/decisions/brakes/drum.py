"""A drum brake: what drum, linings and cam say to do next."""

from __future__ import annotations

from typing import Any

from restonb.decisions.brakes.marks import mark_steps
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, settled
from restonb.measure import Verdicts
from restonb.quantity import Quantity

__all__ = ["CLOSING", "next_steps", "oversize_allowed"]

CLOSING = (
    "Drum, linings and cam are good. Bed the linings in as their maker says, adjust the brake again after that, and go on with the "
    "brake check."
)


def oversize_allowed(largest: Any, nominal: Any) -> float | NotYet:
    """Oversize in mm that the largest diameter allowed leaves; both are quantities, NotYet where one is not known."""
    for one in (largest, nominal):
        if not isinstance(one, Quantity):
            return one if isinstance(one, NotYet) else NotYet(("the diameter when new, and the largest allowed",))
    return float(largest.to("mm").value - nominal.to("mm").value)


def next_steps(
    diameter: Verdicts, maximum: Verdicts, ovality: Verdicts, worn: Any, lining: Verdicts, cam: Verdicts,
    marked: str | None = None, wear_limit: Any = None, governs: Any = None,
) -> list[Step]:  # fmt: skip
    """The decision, drum first; it ends with a drum that is worn out.

    `maximum`: what is left to the largest diameter that governs, as it was judged; `worn`: the answer of brakes.drum_oversize,
    false while it cannot be worked out; `marked`: the figure cast into the drum, as typed; `wear_limit`: that of the spec book,
    and `governs`: the stricter of the two, as quantities.
    """
    mark = mark_steps("mark", "the drum", marked, wear_limit, governs, "on its outside and beside the spokes")
    drum = _drum(diameter, maximum, worn)
    if any(step.state == "stop" for step in drum):
        return [*mark, *drum]
    return [*mark, *drum, *_round(ovality, worn), *_lining(lining), *_cam(cam)]


def _drum(diameter: Verdicts, maximum: Verdicts, worn: Any) -> list[Step]:
    """The diameter by its own limits, and by the figure that governs; a drum that is good is so by both."""
    finished = (
        "The drum is worn out at {at}: thin walls crack, and the shoes no longer fit the curve. Fit another drum or hub, or have a "
        "new liner put in by a specialist."
    )
    close = (
        "The drum is too close to its limit to call at {at}: treat it as worn out unless a better gauge proves it good."
    )
    own = judged(
        diameter, "diameter", "the diameter of the drum",
        measure="Measure the drum across every axis (still to do: {at}).",
        inside="The drum is within its limit.",
        above=finished, close=close,
        below="The drum reads smaller than a new one at {at}: a wrong drum, or a wrong reading. A drum only grows. Clean it, check "
        "the gauge on a ring or a micrometer, swing it for the largest reading, and compare the part with the manual.",
        no_limit="Without a largest diameter nothing can be said of the drum: look for a figure cast into it, or in the manual.",
        stops=True,
    )  # fmt: skip
    if not len(diameter) or diameter.word == "not measured":
        return own
    marked = judged(
        maximum, "maximum", "what is left to the largest diameter",
        measure="What is left to the largest diameter is not judged yet: write down the figure cast into the drum, and run this sheet again.",
        inside="The drum is within its limit.",
        below=finished, close=close, above="The drum reads smaller than a new one at {at}: check which drum it is.",
        no_limit="Write 0 as the lower limit of what is left to the largest diameter into the spec book: without it it cannot be judged.",
        stops=True,
    )  # fmt: skip
    left = [step for step in (*own, *marked) if step.state != "settled"]
    if left:
        return [step for n, step in enumerate(left) if step.says not in {one.says for one in left[:n]}]
    rows = (*diameter, *maximum)
    if not worn:
        return [settled("diameter", "The drum is within its limit.", rows)]
    return [
        settled(
            "diameter",
            "The drum is within its limit: {left} is left on the diameter.",
            rows,
            left=Amount(worn.left, "mm"),
        )
    ]


def _round(ovality: Verdicts, worn: Any) -> list[Step]:
    oval = (
        "The drum is out of round: the pedal will pulse. First slacken the spokes and tighten them again evenly, since uneven spokes pull a hub "
        "oval. Then have it skimmed on its bearings, laced into the wheel{room}, and measure again."
    )
    room = bool(worn and worn.left > 0)
    numbers: dict[str, Any] = {"left": Amount(worn.left, "mm")} if room else {}
    return judged(
        ovality, "ovality", "the roundness of the drum",
        measure="Measure the drum across every axis, so that its roundness is known.",
        inside="The drum is round enough.",
        above=oval.replace("{room}", ", while {left} is left" if room else ""),
        **numbers,
    )  # fmt: skip


def _lining(lining: Verdicts) -> list[Step]:
    return judged(
        lining, "lining", "the lining of the shoes",
        measure="Measure the linings at toe and heel (still to do: {at}).",
        inside="The linings have enough left.",
        below="Reline both shoes (worn: {at}): always as a pair, arced to the drum, edges chamfered.",
        above="The lining at {at} is thicker than a new one: wrong shoes, or the shoe was measured too. Oversize linings belong in a drum "
        "that was skimmed, and are arced to it.",
        close="The lining at {at} is too close to its limit to call: reline both shoes, always as a pair.",
        no_limit="Write the least thickness of the lining into the spec book: above the rivets, or the manual's figure.",
    )  # fmt: skip


def _cam(cam: Verdicts) -> list[Step]:
    return judged(
        cam, "cam", "the angle at the cam lever",
        measure="Measure the angle between rod and cam lever with the brake on, once it is adjusted.",
        inside="The cam lever stops short of a right angle, where it pulls best.",
        above="The cam lever goes past its right angle with the brake on: it loses force, and a cam may turn over and stay on. Move "
        "the lever back on its splines, or reline. Do not take it up at the adjuster.",
        below="The angle at the cam lever is too small: set the lever on the next spline, then adjust the rod.",
        close="The angle at the cam lever is too close to call: set the lever a spline back from a right angle.",
        stops=True,
    )  # fmt: skip
