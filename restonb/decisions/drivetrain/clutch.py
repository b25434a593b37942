"""A plate clutch: plates, springs, lift, play, and whether it holds; what to do next."""

from __future__ import annotations

from typing import Any, NamedTuple

from restonb.bench._values import NotYet
from restonb.decisions._words import at_places, undone, unjudged
from restonb.measure import Verdicts
from restonb.quantity import read

__all__ = ["RESERVE", "Clutch", "next_steps", "reserve"]

RESERVE = 1.2
"""Torque held over torque that arrives, least: common practice, no source."""


class Clutch(NamedTuple):
    """What is known of the clutch; answers of formulas are false while they cannot be worked out."""

    friction: Verdicts
    plain: Verdicts
    springs: Verdicts
    force: Any
    """Answer of clutch.clamp_force, as measured."""
    reserve: Any
    """Torque held over torque that arrives."""
    lift: Verdicts
    """Run-out of the pressure plate when lifted."""
    split: Any
    """Answer of brakes.run_out on it."""
    play: Verdicts


def reserve(held: Any, engine_torque: str | None, primary_ratio: float | None) -> float | NotYet:
    """How many times the torque that arrives at the clutch it holds; `held` in N m, `engine_torque` with its unit."""
    if engine_torque is None or primary_ratio is None:
        return NotYet(("engine_torque and primary_ratio, to be written into build.toml under [parameters.clutch]",))
    return float(held) / (read(engine_torque, "N m").to("N m").value * primary_ratio)


def next_steps(c: Clutch) -> list[str]:
    """The decision, part by part in the order of the bench; it ends with what is still to do."""
    said = [
        _part(c.friction, "friction plate", "friction plates", _friction(c.friction)),
        _part(
            c.plain,
            "plain plate",
            "plain plates",
            "Replace what is warped; a warped plate drags and cannot be pressed flat again.",
        ),
        _part(
            c.springs,
            "spring",
            "springs",
            "Replace all springs together: short ones beside long ones lift the pressure plate askew.",
        ),
    ]
    if all(undone(v) for v in (c.friction, c.plain, c.springs)):
        return ["Measure every friction plate, plain plate and spring first. Nothing is ordered before that."]
    said += _holds(c)
    if any("outside" in v for v in (c.friction.word, c.plain.word, c.springs.word)):
        return said
    return [*said, _lift(c.lift, c.split), _play(c.play)]


def _part(verdicts: Verdicts, one: str, many: str, cure: str) -> str:
    if undone(verdicts):
        return f"Measure the {many}."
    if told := unjudged(verdicts, f"the {many}"):
        return told
    if verdicts.word == "outside":
        return f"Outside: {at_places(verdicts, 'outside')}. {cure}"
    if verdicts.word == "too close to call":
        return f"Too close to call: {at_places(verdicts, 'too close to call')}. The remark in the table says what would settle it."
    worn = max((r for r in verdicts if r.worn_in), key=lambda r: r.worn_in or 0.0, default=None)
    told = f"; the most worn is {worn.position}, {worn.worn_in:.0f} % of the way to its wear limit" if worn else ""
    return f"Every {one} is inside its limits{told}."


def _friction(friction: Verdicts) -> str:
    gone = [r for r in friction if r.verdict == "outside"]
    if len(gone) * 2 >= len(friction):
        return "Replace the set."
    return "Replace the set, or at least these with plates of the same make and thickness."


def _holds(c: Clutch) -> list[str]:
    if not c.reserve and not isinstance(c.reserve, float):
        return []
    if c.reserve < 1:
        return [f"By its springs and plates it holds only {c.reserve:.2f} times the torque that arrives: it slips."]
    if c.reserve < RESERVE:
        return [
            f"By its springs and plates it holds {c.reserve:.2f} times the torque that arrives; {RESERVE:g} is common practice. It may slip when hot."
        ]
    return [f"By its springs and plates it holds {c.reserve:.2f} times the torque that arrives."]


def _lift(lift: Verdicts, split: Any) -> str:
    if undone(lift):
        return "When it is together: lift it with the lever, turn it, and measure the run-out of the pressure plate."
    if told := unjudged(lift, "the run-out of the pressure plate"):
        return told
    if lift.word == "outside":
        at = f", near {_clock(split.high_at)}" if split else ""
        return (
            f"The pressure plate lifts askew: tighten the spring nut at the side that lifts most (highest reading{at}), a quarter turn at a time, and "
            "measure again."
        )
    if lift.word == "too close to call":
        return (
            "The run-out of the pressure plate is too close to call; the remark in the table says what would settle it."
        )
    return "The pressure plate lifts straight."


def _clock(degrees: float) -> str:
    minutes = round(degrees * 2) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def _play(play: Verdicts) -> str:
    if undone(play):
        return "Last, set the free play at the lever and measure it."
    if told := unjudged(play, "the free play"):
        return told
    if play.word == "outside":
        return "The free play is outside its limits: too little holds the clutch off and it slips, too much drags. Set it at the adjuster first, then at the cable."
    if play.word == "too close to call":
        return "The free play is too close to call with this rule; set it nearer to the middle of its range."
    return "The free play is inside: let it warm up, and check it once more."
