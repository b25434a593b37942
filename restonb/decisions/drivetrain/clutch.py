"""A plate clutch: plates, springs, lift, play, and whether it holds; what to do next."""

from __future__ import annotations

from typing import Any, NamedTuple

from restonb.decisions._words import undone
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, to_do
from restonb.measure import Verdicts
from restonb.quantity import read
from restonb.words import clock_time

__all__ = ["CLOSING", "RESERVE", "Clutch", "next_steps", "reserve"]

CLOSING = (
    "Plates, springs, lift and free play are good. Try it standing still, warm it up, and check the free play once more "
    "before the road."
)
RESERVE = 1.2
"""Torque held over torque that reaches it, least: common practice, no source."""
UNEVEN = 0.9
"""The weakest spring presses at least this much of the strongest: common practice, no source."""


class Clutch(NamedTuple):
    """What is known of the clutch; answers of formulas are false while they cannot be worked out."""

    friction: Verdicts
    plain: Verdicts
    springs: Verdicts
    force: Any
    """Answer of clutch.clamp_force, as measured."""
    reserve: Any
    """Torque held over torque that reaches it."""
    lift: Verdicts
    """Run-out of the pressure plate when lifted."""
    split: Any
    """Answer of brakes.run_out on it."""
    play: Verdicts


def reserve(held: Any, engine_torque: str | None, primary_ratio: float | None) -> float | NotYet:
    """How many times the torque that reaches it at the clutch it holds; `held` in N m, `engine_torque` with its unit."""
    if engine_torque is None or primary_ratio is None:
        return NotYet(("engine_torque and primary_ratio, to be written into build.toml under [parameters.clutch]",))
    return float(held) / (read(engine_torque, "N m").to("N m").value * primary_ratio)


def next_steps(c: Clutch) -> list[Step]:
    """The decision, part by part in the order of the bench; it ends with what is still to do."""
    parts = (c.friction, c.plain, c.springs)
    if all(undone(v) for v in parts):
        says = "Measure every friction plate, plain plate and spring first. Order nothing before that."
        return [to_do("parts.measure", says, (row for v in parts for row in v))]
    steps = [*_friction(c.friction), *_plain(c.plain), *_springs(c), *_holds(c)]
    if any(v.word == "outside" for v in parts):
        return steps
    return [*steps, *_lift(c.lift, c.split), *_play(c.play)]


def _friction(friction: Verdicts) -> list[Step]:
    worn = [row for row in friction if row.side == "below"]
    cure = "Replace the set." if 2 * len(worn) >= len(friction) else (
        "Replace the set, or at least these with plates of the same make and thickness."
    )  # fmt: skip
    return judged(
        friction, "friction", "the thickness of the friction plates",
        measure="Measure the friction plates (still to do: {at}).",
        inside="The friction plates are inside their limits." + _most_worn(friction),
        below="Worn too thin: {at}. " + cure,
        above="Too thick: {at}. Linings do not grow with wear: measure again, clean and dry, and make sure that these are the plates "
        "for this clutch. Oil swells some linings, and plates that are too thick leave no lift.",
        **_worn_values(friction),
    )  # fmt: skip


def _plain(plain: Verdicts) -> list[Step]:
    return judged(
        plain, "plain", "the flatness of the plain plates",
        measure="Measure the plain plates (still to do: {at}).",
        inside="The plain plates are inside their limits." + _most_worn(plain),
        outside="Warped: {at}. Replace them: a warped plate drags, and cannot be pressed flat again.",
        **_worn_values(plain),
    )  # fmt: skip


def _springs(c: Clutch) -> list[Step]:
    steps = judged(
        c.springs, "springs", "the length of the springs",
        measure="Measure the springs (still to do: {at}).",
        inside="The springs are inside their limits." + _most_worn(c.springs),
        below="Too short: {at}. Replace all springs together: short ones beside long ones lift the pressure plate askew.",
        above="Too long: {at}. Springs do not grow: they are of another kind. They may bind coil on coil before the plates part; fit "
        "a set made for this clutch.",
        **_worn_values(c.springs),
    )  # fmt: skip
    if c.springs.word == "inside" and c.force and c.force.weakest < UNEVEN * c.force.strongest - 1e-9:
        says = (
            "The springs are inside their limits and still differ too much, from {weakest} to {strongest}: replace them together, "
            "or the pressure plate lifts askew."
        )
        weakest, strongest = Amount(c.force.weakest, "N"), Amount(c.force.strongest, "N")
        steps = [to_do("springs.uneven", says, c.springs, weakest=weakest, strongest=strongest)]
    return steps


def _most_worn(verdicts: Verdicts) -> str:
    return " The most worn is {most_worn}, {worn} of the way to its wear limit." if _worn_values(verdicts) else ""


def _worn_values(verdicts: Verdicts) -> dict[str, Any]:
    worn = max((r for r in verdicts if r.worn_in), key=lambda r: r.worn_in or 0.0, default=None)
    return {} if worn is None else {"most_worn": worn.position, "worn": Amount(round(worn.worn_in or 0.0), "%")}


def _holds(c: Clutch) -> list[Step]:
    if isinstance(c.reserve, NotYet) or c.reserve is None:
        why = list(getattr(c.reserve, "missing", ())) or "something is missing"
        return [not_known("reserve.unknown", "Whether it holds the engine's torque is not known: {why}.", why=why)]
    rows, times = (*c.friction, *c.springs), Amount(float(c.reserve), "1")
    if c.reserve < 1 - 1e-9:
        says = "By its springs and plates it holds only {times} times the torque that reaches it: it slips."
        return [to_do("reserve.slips", says, rows, times=times)]
    if c.reserve < RESERVE - 1e-9:
        says = "By its springs and plates it holds {times} times the torque that reaches it, and {usual} is common practice. It may slip when hot."
        return [to_do("reserve.small", says, rows, times=times, usual=Amount(RESERVE, "1"))]
    says = "By its springs and plates it holds {times} times the torque that reaches it."
    return [settled("reserve", says, rows, [c.reserve], times=times)]


def _lift(lift: Verdicts, split: Any) -> list[Step]:
    near = " (the highest reading, near {clock})" if split else ""
    return judged(
        lift, "lift", "the run-out of the lifted pressure plate",
        measure="When it is together, lift it with the lever, turn it, and measure the run-out of the pressure plate.",
        inside="The pressure plate lifts straight.",
        outside=f"The pressure plate lifts askew: tighten the spring nut at the side that lifts most{near}, a quarter turn at a time, "
        "and measure again.",
        needs=[split],
        clock=clock_time(split.high_at) if split else "",
    )  # fmt: skip


def _play(play: Verdicts) -> list[Step]:
    return judged(
        play, "play", "the free play",
        measure="Last, set the free play at the lever and measure it.",
        inside="The free play is inside its limits.",
        below="Too little free play: the lever holds the clutch partly off, so that it slips and burns. Give it more, at the adjuster "
        "of the pushrod first, then at the cable.",
        above="Too much free play: the lever cannot lift the plates far enough, so that the clutch drags and the gears grate. Take it "
        "up, at the adjuster of the pushrod first, then at the cable.",
        close="The free play is too close to call with this rule: set it nearer to the middle of its range.",
    )  # fmt: skip
