"""Wheels: play, run-out, line, tyres and nuts, and what they say to do next."""

from __future__ import annotations

from typing import Any

from restonb.bench._values import NotYet, Values
from restonb.decisions._words import at_places, listed, undone, unjudged
from restonb.measure import Verdicts

__all__ = ["highest", "lowest", "next_steps", "spokes"]

ENOUGH = 0.5
"""Share of the run-out, in the once-per-turn part, above which the rim stands askew rather than bent."""


def highest(values: Values) -> float | NotYet:
    """The highest reading of one turn, in mm."""
    known = values.to("mm")
    return known if isinstance(known, NotYet) else max(known)


def lowest(values: Values) -> float | NotYet:
    """The lowest reading of one turn, in mm."""
    known = values.to("mm")
    return known if isinstance(known, NotYet) else min(known)


def spokes(values: Values, way: str) -> str:
    """Which spokes to turn, at the place that stands out most; '' while it is not measured. `way`: 'side' or 'hop'.

    The dial stands at the side (or outside of the rim), so that a high reading is a rim that comes towards it.
    """
    known = values.known("mm")
    if not known or any(v is None for v in known.values()):
        return ""
    numbers = {p: v for p, v in known.items() if v is not None}
    middle = sum(numbers.values()) / len(numbers)
    place = max(numbers, key=lambda p: abs(numbers[p] - middle))
    out = numbers[place] > middle
    if way == "hop":
        return f"{'tighten all' if out else 'slacken all'} spokes round {place} by the same part of a turn"
    near, far = ("slacken", "tighten") if out else ("tighten", "slacken")
    return f"round {place}, {near} the spokes on the dial's side and {far} those on the other side, a quarter turn at a time"


def next_steps(
    play: Verdicts, runouts: dict[str, tuple[Verdicts, Any, str]], line: Verdicts, tread: Verdicts, nuts: Verdicts
) -> list[str]:
    """The decision: bearings first, since a wheel with play measures nothing.

    `runouts`: name of the rim and direction -> its verdicts, the answer of brakes.run_out (false while it cannot be
    worked out), and the words of `spokes`.
    """
    said = [_play(play)]
    if play.word == "outside":
        return [*said, "Do not true a wheel on worn bearings: fit new ones, then measure the rims."]
    for name, (verdicts, split, do) in runouts.items():
        said.append(_rim(name, verdicts, split, do))
    true = [name for name, (v, _, _) in runouts.items() if v.word == "inside" and not _worn(v)]
    if true:
        said.append(f"True enough: {listed(true)}. Leave these spokes alone.")
    said += [_line(line), _tread(tread), _nuts(nuts)]
    return [text for text in said if text]


def _play(play: Verdicts) -> str:
    if undone(play):
        return "Rock each wheel across its axle and measure the play at the rim. Nothing else is worth measuring before that."
    if told := unjudged(play, "the play of the bearings"):
        return told
    if play.word == "inside":
        return "The bearings have no play to speak of."
    if play.word == "outside":
        return f"Too much play at the {at_places(play, 'outside')} wheel: new bearings, or the axle is not tight."
    return f"Whether the bearings have play is too close to call at the {at_places(play, 'too close to call')} wheel."


def _rim(name: str, verdicts: Verdicts, split: Any, do: str) -> str:
    if undone(verdicts):
        return f"Measure the {name}, eight places on one turn."
    if told := unjudged(verdicts, f"the {name}"):
        return told
    if verdicts.word == "inside":
        return (
            f"The {name} is inside its wear limit, but not as true as a trued rim: {do}."
            if _worn(verdicts) and do
            else ""
        )
    if verdicts.word == "too close to call":
        return f"The {name} is too close to call: read it again with care before turning a spoke."
    if not split:
        return f"The {name} is outside its limit."
    askew = 2 * split.eccentricity > ENOUGH * split.total
    if askew:
        return f"The {name} is outside its limit ({split.total:.2f} mm), mostly once per turn: {do}."
    return (
        f"The {name} is outside its limit ({split.total:.2f} mm), and mostly at one place: look for a dent, a crack or a loose spoke "
        "there first; a bent rim is not pulled straight with spokes."
    )


def _worn(verdicts: Verdicts) -> bool:
    """Past the limit of a trued rim, though inside the wear limit."""
    return any(row.worn_in is not None and row.worn_in > 0 for row in verdicts)


def _line(line: Verdicts) -> str:
    if undone(line):
        return "Lay strings along the rear tyre and measure their gaps at the front rim, left and right."
    if told := unjudged(line, "the line of the wheels"):
        return told
    if line.word == "inside":
        return "The wheels are in line."
    if line.word == "too close to call":
        return "Whether the wheels are in line is too close to call: read the gaps again, with the handlebar held straight."
    off = next((r.value for r in line if r.value is not None), 0.0) / 2
    side = "right" if off > 0 else "left"
    return (
        f"The front wheel stands {abs(off):.1f} mm to the {side} of the rear wheel's line: set the chain adjusters alike first, "
        "then look at spacers, rim offset and frame."
    )


def _tread(tread: Verdicts) -> str:
    if undone(tread):
        return "Measure the tread, and read the date on the tyres: rubber ages without being ridden."
    if told := unjudged(tread, "the tread"):
        return told
    if tread.word == "outside":
        return f"New tyre at the {at_places(tread, 'outside')}: it is worn past its limit."
    return "" if tread.word == "inside" else "The tread is too close to its limit to call: plan for a new tyre."


def _nuts(nuts: Verdicts) -> str:
    if undone(nuts):
        return "Tighten the axle nuts to their torque, with a new split pin or nut where the plan says so, and write it down."
    if told := unjudged(nuts, "the torque of the axle nuts"):
        return told
    if nuts.word == "inside":
        return ""
    return f"Axle nut {nuts.word} at the {at_places(nuts, nuts.word)}: slacken it and tighten it again with a checked wrench."
