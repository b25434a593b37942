"""A hydraulic brake: what cylinders, hold test, fluid and unions say to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from restonb.decisions.steps import Amount, Step, judged, not_known, settled, stop, to_do, worst_state
from restonb.measure import Verdicts

__all__ = ["CLOSING", "in_unit", "mean", "mismatched", "next_steps", "union_rows"]

CLOSING = (
    "Cylinders, unions, hoses and fluid are good, and it holds its pressure. Go on with the brake check, and look at every union "
    "again after the first ride."
)
HELD = 5.0
"""Minutes that the pressure is held at least: common practice, no source."""
HEADS = ("union", "end of the pipe or hose", "seat", "belongs together", "remark")


def mean(values: Sequence[float]) -> float:
    """The middle of the readings; of a bore or a piston that is worn unevenly, good enough for a ratio."""
    return sum(values) / len(values)


def in_unit(result: Any, unit: str) -> float:
    """The one number of a formula's answer, in another unit of its kind."""
    return float(result.to(unit))


def mismatched(unions: Sequence[Sequence[str]]) -> list[str]:
    """The unions whose pipe end and seat do not have the same form; each is (where, pipe end, seat)."""
    return [u[0] for u in unions if len(u) < 3 or not u[1].strip() or _words_of(u[1]) != _words_of(u[2])]


def union_rows(unions: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The unions as a table, heads and rows, with whether pipe end and seat belong together."""
    bad = mismatched(unions)
    rows = [
        (u[0], *[*u[1:3], "?", "?"][:2], "no" if u[0] in bad else "yes",
         "not the same form: never join them" if u[0] in bad else "")
        for u in unions
    ]  # fmt: skip
    return HEADS, rows


def next_steps(
    bores: Verdicts, pistons: Verdicts, faults: Verdicts, hoses: Verdicts, bleeding: Verdicts, start: Verdicts, loss: Verdicts,
    hold: Any, boiling: Verdicts, fluid_age: Verdicts, unions: Sequence[Sequence[str]] = (), grade: str | None = None,
    minutes: float = HELD,
) -> list[Step]:  # fmt: skip
    """The decision, in the order of the work: cylinders, unions and hoses, filling and bleeding, hold test, fluid.

    `hoses`, `fluid_age`: the age of each hose and of the fluid; `start`, `loss`: the first pressure of the hold test, and what
    was lost of it in so many `minutes`; `hold`: the answer of brakes.hold_test, false while it cannot be worked out; `unions` as for `mismatched`.
    """
    parts = [*_unions(unions, faults), *_bores(bores), *_pistons(pistons), *_faults(faults, hoses, unions)]
    if any(step.state == "stop" for step in parts):
        return parts
    return [*parts, *_bleeding(bleeding), *_hold(start, loss, hold, minutes), *_fluid(boiling, fluid_age, grade)]


def _unions(unions: Sequence[Sequence[str]], faults: Verdicts) -> list[Step]:
    """The forms of pipe end and seat: every union that is looked at needs both written down."""
    places = {row.position for row in faults if row.characteristic.key == "union_faults"}
    if bad := mismatched(unions):
        says = (
            "Pipe end and seat do not match at {unions}: the joint will leak or split. Make a new end on the pipe, or use the "
            "fitting that belongs to it. Do not go on until that is done."
        )
        return [stop("unions.mismatched", says, unions=bad)]
    gone = sorted(places - {u[0] for u in unions})
    if gone or not unions:
        says = "Write the form of pipe end and seat into build.toml for each union{these}: an end seals only in a seat of its own form."
        return [not_known("unions.unwritten", says, safety=True, these=f" ({', '.join(gone)})" if gone else "")]
    return []


def _bores(bores: Verdicts) -> list[Step]:
    return judged(
        bores, "bores", "the bore of the master cylinder",
        measure="Measure the bore of the master cylinder (still to do: {at}).",
        inside="The bore of the master cylinder is within its limits.",
        above="The bore is worn or pitted past its limit at {at}: fit a new part, or have the bore sleeved by a specialist. New seals in a "
        "worn bore hold for a week. Do not hone it larger.",
        below="The bore reads smaller than a new one at {at}: wear only makes it larger. Clean it, set the gauge again, and check which "
        "cylinder it is.",
        close="The bore is too close to its limit to call at {at}: replace the cylinder unless a better gauge proves it good.",
        stops=True,
    )  # fmt: skip


def _pistons(pistons: Verdicts) -> list[Step]:
    return judged(
        pistons, "pistons", "the pistons of the caliper",
        measure="Measure the pistons of the caliper at the track of the seal (still to do: {at}).",
        inside="The pistons of the caliper are within their limits.",
        below="A piston is worn past its limit at {at}: fit a new one with new seals.",
        above="A piston reads larger than a new one at {at}: it may bind. Clean off rust and old fluid, measure again, and check that it "
        "belongs to this caliper.",
        close="A piston is too close to its limit to call at {at}: replace it unless a better gauge proves it good.",
        stops=True,
    )  # fmt: skip


def _faults(faults: Verdicts, hoses: Verdicts, unions: Sequence[Sequence[str]]) -> list[Step]:
    """Hoses and unions are sound only if nothing was found, no hose is too old, and every union can seal."""
    found = judged(
        faults, "faults", "what was found at hoses and unions",
        measure="Look over hoses and unions under a full pull, with white paper (still to do: {at}).",
        inside="Hoses and unions are dry, and nothing is wrong with them.",
        outside="Put right what was found: {at}. Replace a bad hose, renew the washer, remake the flare. No sealant, no tape, no "
        "second pull on the spanner.",
        no_limit="Write 0 as the upper limit of the faults into the spec book: without it they cannot be judged.",
        stops=True,
    )  # fmt: skip
    age = judged(
        hoses, "hose_age", "the age of the hoses",
        measure="Read the date of making on each hose, and enter it (still to do: {at}). A hose without a date counts as too old.",
        inside="No hose is too old.",
        above="A hose is too old, whatever it looks like: {at}. Fit a new one; rubber swells shut and splits from the inside.",
        below="The date on the hose is later than today: read it again ({at}).",
        no_limit="Write into the spec book the age at which hoses are replaced: the manual's figure, or common practice.",
        stops=True,
    )  # fmt: skip
    left = [step for step in (*found, *age) if step.state != "settled"]
    if left or not unions or mismatched(unions):
        return left
    return [settled("hoses_and_unions", "Hoses and unions are sound and dry.", (*faults, *hoses))]


def _bleeding(bleeding: Verdicts) -> list[Step]:
    return judged(
        bleeding, "bleeding", "the strokes without a bubble",
        measure="Bleed it, and count the strokes in a row without a bubble.",
        inside="The system is bled.",
        below="Keep bleeding: too few strokes in a row came without air.",
        stops=True,
    )  # fmt: skip


def _hold(start: Verdicts, loss: Verdicts, hold: Any, minutes: float) -> list[Step]:
    """The hold test. A pressure that rose, or was too low to begin with, proves nothing, whatever was lost of it."""
    low = judged(
        start, "hold_start", "the pressure at the start of the hold test",
        measure="Hold the lever under pressure, let it settle for a minute, and read the gauge.",
        inside="The hold test began under enough pressure.",
        below="The hold test began under too little pressure: it proves nothing. Pull the lever harder, tie it, and begin again. If it "
        "does not get there, bleed it again.",
        above="The pressure is above what the spec book allows for this test: let it off, and begin again with less.",
        close="Whether the hold test began under enough pressure is too close to call: pull a little harder, and begin again.",
    )  # fmt: skip
    if low and worst_state(low) != "settled":
        return low
    if minutes < HELD:
        says = "It was held for {minutes} only, and a small leak needs longer to show: hold it for five minutes, and read again."
        return [not_known("hold.too_short", says, loss, safety=True, minutes=Amount(minutes, "min"))]
    if hold and hold.rose:
        says = (
            "The pressure rose by {rise}, which no sound brake does by itself: the fluid warmed, the strap was drawn tighter, or the lever "
            "moved. The test proves nothing. Let everything come to one temperature out of the sun, and hold it again."
        )
        return [not_known("hold.rose", says, loss, safety=True, rise=Amount(-hold.unexplained, "%"))]
    steps = judged(
        loss, "hold", "the loss of pressure",
        measure="Leave the lever tied for five minutes, and read the gauge again. Do not touch the lever in between.",
        inside="It holds pressure.",
        above="It does not hold its pressure: look for damp at every union, then under the boots of the caliper. If all is dry, the cup in "
        "the master cylinder lets it past. Do not ride it.",
        below="The pressure rose: the test proves nothing. Let everything come to one temperature, and hold it again.",
        close="Whether it holds is too close to call: hold it for longer, or read a finer gauge. Do not ride it until that is settled.",
        stops=True, needs=[hold],
    )  # fmt: skip
    if hold and not hold.holds and worst_state(steps) == "settled":
        says = "{lost} of the pressure is gone, and the temperature does not explain it: find the leak. Do not ride it."
        return [stop("hold.leaks", says, loss, lost=Amount(hold.unexplained, "%"))]
    return steps


def _fluid(boiling: Verdicts, age: Verdicts, grade: str | None) -> list[Step]:
    """Fluid is fit to use when its grade is known, it has a high enough boiling point, and it is not too old."""
    name = f"{grade} fluid" if grade else "fluid"
    steps = judged(
        boiling, "boiling", "the boiling point of the fluid",
        measure="Measure the boiling point of the {name}, even if it has just been filled from a sealed can.",
        inside="The {name} has a high enough boiling point.",
        below="The {name} has drawn water: flush it through with fresh fluid of the same grade, and bleed again.",
        above="The {name} boils at a higher temperature than its grade can: check the tester on fresh fluid, and see what was filled.",
        close="The boiling point of the {name} is too close to its limit: flush it through with fresh fluid, and bleed again.",
        stops=True, name=name,
    )  # fmt: skip
    steps += judged(
        age, "fluid_age", "the age of the fluid",
        measure="Enter the day on which the fluid was filled. If nobody knows it, change the fluid.",
        inside="The {name} is not too old.",
        above="The {name} is too old: flush it through with fresh fluid of the same grade, and bleed again.",
        below="The day of filling is later than today: look it up again.",
        no_limit="Write into the spec book the age at which the fluid is changed: the manual's figure, or common practice.",
        stops=True, name=name,
    )  # fmt: skip
    left = [step for step in steps if step.state != "settled"]
    if not grade:
        says = "Write the grade of the fluid into build.toml, as printed on the can and on the cap of the reservoir."
        left.append(to_do("fluid.grade", says, safety=True))
    return left or [settled("fluid", "The {name} is fit to use.", (*boiling, *age), name=name)]


def _words_of(form: str) -> str:
    return " ".join(form.casefold().split())
