"""Brakes after work, before the road: stand, walking pace, trial; each only after the one before it."""

from __future__ import annotations

from restonb.decisions.steps import Step, judged, stop, to_do, worst_state
from restonb.measure import Verdicts

__all__ = ["CLOSING", "margin", "next_steps"]

CLOSING = (
    "It stops within the distances of the spec book. The law, the inspection and a competent eye decide about the road; "
    "this sheet says what was measured."
)


def margin(allowed: float, measured: float) -> float:
    """What is left between the distance measured and the longest allowed, both in one unit; below 0 it stops too late."""
    return float(allowed) - float(measured)


def next_steps(faults: Verdicts, reserve: Verdicts, drag: Verdicts, stops: Verdicts) -> list[Step]:
    """The decision. Nothing is said of the trial before everything on the stand is good."""
    stand = [*_faults(faults), *_reserve(reserve), *_drag(drag)]
    if worst_state(stand) != "settled":
        first = "Do not ride it yet, not even round the yard: put this right first, and run this sheet again."
        return [*stand, stop("stand.first", first)]
    return [*stand, *_stops(stops)]


def _faults(faults: Verdicts) -> list[Step]:
    return judged(
        faults, "walk_round", "what the walk round finds",
        measure="Walk round it, item by item (still to do: {at}).",
        inside="The walk round found nothing.",
        outside="Put right what the walk round found: {at}.",
        no_limit="Write 0 as the upper limit of the faults into the spec book: without it nothing is decided on them.",
        stops=True,
    )  # fmt: skip


def _reserve(reserve: Verdicts) -> list[Step]:
    return judged(
        reserve, "reserve", "the reserve of the lever",
        measure="Measure how far the lever stays from the handlebar under a firm pull.",
        inside="The lever keeps its distance from the handlebar.",
        outside="The lever comes too near to the handlebar: bleed again, look for run-out, worn pads or a soft hose.",
        close="The reserve of the lever is too close to call: bleed it again and measure again.",
        stops=True,
    )  # fmt: skip


def _drag(drag: Verdicts) -> list[Step]:
    return judged(
        drag, "drag", "the drag of the wheels",
        measure="Measure the drag of each wheel with the brake let go (still to do: {at}).",
        inside="Both wheels turn freely with the brakes let go.",
        outside="The brake drags at {at}: a piston or cam sticks, or a return port is shut. It heats itself until it locks "
        "the wheel. Find out why, and do not ride before it turns freely.",
        close="The drag at {at} is too close to call: spin it, warm it, and measure again.",
        stops=True,
    )  # fmt: skip


def _stops(stops: Verdicts) -> list[Step]:
    if not len(stops) or stops.word == "not measured":
        walk = (
            "On the stand all is good. Now at walking pace, in a closed yard: each brake by itself, ten stops, and look for "
            "damp again."
        )
        trial = (
            "Then the trial from the speed of the spec book, three times for each brake, marks on the ground, a second "
            "person to watch."
        )
        return [to_do("walking_pace", walk, stops, safety=True), to_do("trial", trial, stops, safety=True)]
    return judged(
        stops, "stopping", "the stopping distance",
        measure="Do the rest of the trial: {at}.",
        inside="It stops within the distances of the spec book.",
        above="It stops too late. Bed the linings in as their maker says, and try again; if it stays so, look for glaze or "
        "oil on the linings, and for a lever ratio that was changed. Do not ride it on the road before.",
        close="A stopping distance is too close to call: repeat the trial, or mark it more exactly.",
        stops=True,
    )  # fmt: skip
