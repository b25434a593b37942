"""Brakes after work, before the road: stand, walking pace, trial; each only after the one before it."""

from __future__ import annotations

from restonb.bench.decisions._to_do import not_settled, still
from restonb.bench.decisions._words import listed, undone, unjudged
from restonb.measure import Verdicts

__all__ = ["margin", "next_steps"]


def margin(allowed: float, measured: float) -> float:
    """What is left between the distance measured and the longest allowed; below 0 it stops too late."""
    return float(allowed) - float(measured)


def next_steps(faults: Verdicts, reserve: Verdicts, drag: Verdicts, stops: Verdicts) -> list[str]:
    """The decision. Nothing is said of the trial before everything on the stand is good."""
    said = [_faults(faults), _reserve(reserve), _drag(drag)]
    if any(v.word in ("outside", "too close to call", "no limit") or undone(v) for v in (faults, reserve, drag)):
        return [*said, "Do not ride it yet, not even round the yard: put this right first, and run this sheet again."]
    return [*said, *_stops(stops)]


def _faults(faults: Verdicts) -> str:
    if faults.word == "outside":
        return f"Put right what the walk round found: {listed(not_settled(faults))}."
    if undone(faults):
        return f"Walk round it, item by item{still(faults)}."
    if told := unjudged(faults, "what the walk round finds", "0"):
        return told
    return "The walk round found nothing."


def _reserve(reserve: Verdicts) -> str:
    if undone(reserve):
        return "Measure how far the lever stays from the handlebar under a firm pull."
    if told := unjudged(reserve, "the reserve of the lever"):
        return told
    if reserve.word == "outside":
        return "The lever comes too near to the handlebar: bleed again, look for run-out, worn pads or a soft hose."
    if reserve.word == "too close to call":
        return "The reserve of the lever is too close to call: bleed it again and measure again."
    return "The lever keeps its distance from the handlebar."


def _drag(drag: Verdicts) -> str:
    if drag.word == "outside":
        return (
            f"The brake drags at {listed(not_settled(drag))}: a piston or cam sticks, or a return port is shut. It heats "
            "itself until it locks the wheel. Find out why; do not ride it loose."
        )
    if undone(drag):
        return f"Measure the drag of each wheel with the brake let go{still(drag)}."
    if told := unjudged(drag, "the drag of the wheels"):
        return told
    if drag.word == "too close to call":
        return f"The drag at {listed(not_settled(drag))} is too close to call: spin it, warm it, and measure again."
    return "Both wheels turn freely with the brakes let go."


def _stops(stops: Verdicts) -> list[str]:
    if stops.word == "outside":
        return [
            "It stops too late. Bed the linings in as their maker says, and try again; if it stays so, look for glaze or oil "
            "on the linings, and for a lever ratio that was changed. Do not ride it on the road before."
        ]
    if undone(stops):
        return [
            "On the stand all is good. Now at walking pace, in a closed yard: each brake by itself, ten stops, and look for "
            "damp again.",
            "Then the trial from the speed of the spec book, three times for each brake, marks on the ground, a second "
            "person to watch.",
        ]
    if told := unjudged(stops, "the stopping distances"):
        return [told]
    if stops.word == "too close to call":
        return ["A stopping distance is too close to call: repeat the trial, or mark it more exactly."]
    return [
        "It stops within the distances of the spec book. The law, the inspection and a competent eye decide about the "
        "road; this sheet says what was measured."
    ]
