"""A brake disc: what its thickness, its run-out, its pads and its bolts say to do next."""

from __future__ import annotations

from typing import Any

from restonb.decisions.brakes.bolts import torque_steps
from restonb.decisions.brakes.marks import mark_steps
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, settled
from restonb.measure import Verdicts, Wear, wear_rate
from restonb.quantity import Quantity
from restonb.words import clock_time

__all__ = ["CLOSING", "next_steps", "pad_wear"]

CLOSING = (
    "The disc is thick enough, even and true, the pads have lining left, and the bolts are at their torque. Bed the pads in as their maker "
    "says, and go on with the brake check."
)


def pad_wear(points: list[tuple[float, float]], limit: Quantity, u: float) -> Wear | NotYet:
    """How fast the lining goes, and at which usage it meets its limit; NotYet before readings at three usages.

    `points`: usage and lining in mm; `u`: standard uncertainty of one reading in mm.
    """
    if len({usage for usage, _ in points}) < 3:
        return NotYet(("the lining at three different mileages or more, to see how fast it goes",))
    usage, lining = zip(*points, strict=True)
    return wear_rate(usage, lining, limit.to("mm").value, wears="down", u=u)


def next_steps(
    thickness: Verdicts, minimum: Verdicts, spread: Verdicts, runout: Verdicts, split: Any, pads: Verdicts, torque: Verdicts,
    marked: str | None = None, wear_limit: Any = None, governs: Any = None,
) -> list[Step]:  # fmt: skip
    """The decision, the disc first; it ends with a disc that is worn out.

    `minimum`: what is left above the minimum that governs, as it was judged; `split`: the answer of brakes.run_out, false while
    it cannot be worked out; `marked`: the minimum marked on the disc, as typed; `wear_limit`: that of the spec book, and
    `governs`: the stricter of the two, as quantities.
    """
    mark = mark_steps("mark", "the disc", marked, wear_limit, governs, "on its carrier and at its rim")
    disc = _disc(thickness, minimum)
    if any(step.state == "stop" for step in disc):
        return [*mark, *disc]
    return [*mark, *disc, *_even(spread), *_true(runout, split), *_pads(pads), *_tight(torque)]


def _disc(thickness: Verdicts, minimum: Verdicts) -> list[Step]:
    """The thickness by its own limits, and by the minimum that governs; a disc that is thick enough is so by both."""
    finished = "The disc is worn out at {at}: fit another. Do not have it skimmed, which makes it thinner still."
    close = "The thickness is too close to its limit to call at {at}: treat the disc as worn out unless a better gauge proves it good."
    measure = "Measure the thickness at every point (still to do: {at})."
    own = judged(
        thickness, "thickness", "the thickness of the disc",
        measure=measure, inside="The disc is thick enough everywhere.",
        below=finished, close=close,
        above="At {at} the disc is thicker than a new one: a wrong part, or a wrong reading. Clean it, set the micrometer to "
        "zero, measure again away from the lip, and compare the part with the manual.",
        no_limit="Without a minimum nothing can be said about the thickness: find the mark on the disc, or look in the manual.",
        stops=True,
    )  # fmt: skip
    if not len(thickness) or thickness.word == "not measured":
        return own
    marked = judged(
        minimum, "minimum", "what is left above the minimum",
        measure="What is left above the minimum is not judged yet: write down what is marked on the disc, and run this sheet again.",
        inside="The disc is thick enough everywhere.",
        below=finished, close=close, above="The disc reads thicker than a new one at {at}: check which part it is.",
        no_limit="Write 0 as the lower limit of what is left above the minimum into the spec book: without it it cannot be judged.",
        stops=True,
    )  # fmt: skip
    left = [step for step in (*own, *marked) if step.state != "settled"]
    if left:
        return [step for n, step in enumerate(left) if step.says not in {one.says for one in left[:n]}]
    return [settled("thickness", "The disc is thick enough everywhere.", (*thickness, *minimum))]


def _even(spread: Verdicts) -> list[Step]:
    return judged(
        spread, "spread", "the variation of the thickness",
        measure="Measure the thickness at every point, so that its variation is known.",
        inside="The disc is evenly thick, so it does not make the lever pulse.",
        above="The thickness varies too much round the disc: the lever will pulse. Fit another disc, or have this one ground by a "
        "specialist where the minimum leaves room. Cleaning the hub will not cure this.",
    )  # fmt: skip


def _true(runout: Verdicts, split: Any) -> list[Step]:
    cause, says = _cause(split)
    numbers: dict[str, Any] = (
        {
            "once": Amount(2 * split.eccentricity, "mm"),
            "high": clock_time(split.high_at, 15),
            "form": Amount(split.form, "mm"),
        }
        if split
        else {}
    )
    steps = judged(
        runout, "runout", "the run-out of the disc",
        measure="Measure the run-out with the disc bolted to the hub as it will be used.",
        inside="The disc runs true enough on its wheel.",
        close="The run-out of the disc is too close to call: clean the face, and read it again.",
        above=says, needs=[split], **numbers,
    )  # fmt: skip
    return [step._replace(finding=cause) if step.finding == "runout.above" else step for step in steps]


def _cause(split: Any) -> tuple[str, str]:
    """What makes the run-out, as a finding, and what to do about it."""
    if not split:
        return (
            "runout.above",
            "The disc runs out too far. Whether it sits askew or is bent is not known yet: read the face at eight places round "
            "one turn.",
        )
    if 2 * split.eccentricity > split.form:
        return (
            "runout.askew",
            "The disc runs out too far, mostly once per turn ({once} of it, high at {high}): it sits askew. Take it off, clean "
            "hub and disc of rust and burrs, look at the wheel bearings, turn it round by one bolt hole, and measure again "
            "before you buy a disc.",
        )
    return (
        "runout.bent",
        "The disc runs out too far, mostly from its own shape ({form} is left when the once-per-turn part is taken out): it is "
        "bent or warped. Fit another one; a disc is not straightened.",
    )


def _pads(pads: Verdicts) -> list[Step]:
    return judged(
        pads, "pads", "the lining of the pads",
        measure="Measure the pads at their thinnest place (still to do: {at}).",
        inside="The pads have lining left.",
        below="Fit new pads on both sides (worn out: {at}). Clean the pistons before you push them back.",
        above="The lining at {at} reads thicker than a new one: take the backing plate off the reading, or check which pads they are.",
        close="The lining is too close to its limit to call at {at}: fit new pads on both sides.",
        no_limit="Write the least thickness of the lining into the spec book: the manual's, or that of the maker of the pads.",
    )  # fmt: skip


def _tight(torque: Verdicts) -> list[Step]:
    return torque_steps(
        torque, "torque", "the torque of the bolts",
        measure="Tighten the bolts of disc and caliper to the plan, and write each torque down (still to do: {at}). Until then the "
        "joint is open.",
        inside="The bolts of disc and caliper are at their torque.",
    )  # fmt: skip
