"""Brakes after work, before the road: stand, walking pace, trial; each only after the one before it.

A trial is judged by the speed that was measured: each distance is corrected to the speed that its limit belongs to.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, stop, to_do, worst_state
from restonb.errors import FormulaError
from restonb.formulas import brakes
from restonb.measure import Verdict, Verdicts
from restonb.quantity import convert, convert_difference

__all__ = ["CLOSING", "Stop", "Trial", "distances", "longest", "margin", "next_steps", "trials"]

CLOSING = (
    "It stops within the distances of the spec book. The law, the inspection and a competent eye decide whether it goes on the road; "
    "this sheet says what was measured."
)
PLAIN = "motorcycle, all controls, from the first touch"
"""The correction by the plain square of the speed, for a limit that no type test stands behind."""


class Stop(NamedTuple):
    """One stop of the trial: its row, and what it comes to at the speed of the limit."""

    row: Verdict
    speed: Verdict | None
    answer: Any = None
    """Answer of brakes.corrected_distance; None where it was not measured, or was refused."""
    refused: str = ""
    """Why the formula refuses it: no tyre can do it, or it began at quite another speed."""


class Trial(NamedTuple):
    """The trial of one brake. `left`: how far the longest stop stays below the distance of the type test, in m."""

    brake: str
    stops: tuple[Stop, ...]
    speeds: Verdicts
    distances: Verdicts
    """The corrected distances, as they were judged."""
    left: Any = None


def trials(measured: Verdicts, speeds: Verdicts, speed: float, test: str | None = None) -> tuple[Stop, ...]:
    """Each stop with its distance corrected to `speed`, in km/h, by the rule of that type test.

    `measured` and `speeds`: the rows of the distances and of the speeds, place by place. What a formula refuses is kept
    with its reason: nothing is judged on it.
    """
    at = {row.position: row for row in speeds}
    return tuple(_stop(row, at.get(row.position), speed, test or PLAIN) for row in measured)


def distances(stops: Iterable[Stop]) -> dict[str, Amount]:
    """Place -> the corrected distance, to be judged; without the stops that are not measured or were refused."""
    return {
        stop.row.position: Amount(stop.answer.distance, "m", stop.answer["distance"].u)
        for stop in stops
        if stop.answer is not None
    }


def longest(stops: Sequence[Stop]) -> Any:
    """The answer of brakes.corrected_distance for the longest stop; NotYet while one is not measured, or was refused."""
    missing = [
        one.refused or f"distance and speed of {one.row.position} ({one.row.characteristic.what})"
        for one in stops
        if one.answer is None
    ]
    if missing or not stops:
        return NotYet(tuple(dict.fromkeys(missing)) or ("the trial",))
    return max((one.answer for one in stops), key=lambda answer: float(answer.distance))


def margin(allowed: float, longest_stop: float) -> float:
    """What is left between the longest stop and the longest allowed, both in m; below 0 it stops too late."""
    return float(allowed) - float(longest_stop)


def next_steps(faults: Verdicts, reserve: Verdicts, drag: Verdicts, trial: Sequence[Trial]) -> list[Step]:
    """The decision. Nothing is said of the trial before everything on the stand is good."""
    stand = [*_faults(faults), *_reserve(reserve), *_drag(drag)]
    if worst_state(stand) != "settled":
        first = "Do not ride it yet, not even round the yard: put this right first, and run this sheet again."
        return [*stand, stop("stand.first", first)]
    return [*stand, *_trial(trial)]


# -- on the stand


def _faults(faults: Verdicts) -> list[Step]:
    return judged(
        faults, "walk_round", "what the walk round finds",
        measure="Walk round it, item by item (still to do: {at}).",
        inside="The walk round found nothing.",
        outside="Put right what the walk round found: {at}.",
        no_limit="Write 0 as the upper limit of the faults into the spec book: without it they cannot be judged.",
        stops=True,
    )  # fmt: skip


def _reserve(reserve: Verdicts) -> list[Step]:
    return judged(
        reserve, "reserve", "the reserve of the lever",
        measure="Measure how far the lever stays from the handlebar under a firm pull.",
        inside="The lever keeps its distance from the handlebar.",
        below="The lever comes too near to the handlebar: bleed again, look for run-out, worn pads or a soft hose.",
        above="The lever hardly moves: check its free play. Without free play the return port stays shut, and the brake "
        "drags and locks as it gets warm.",
        close="The reserve of the lever is too close to call: bleed it again and measure again.",
        stops=True,
    )  # fmt: skip


def _drag(drag: Verdicts) -> list[Step]:
    return judged(
        drag, "drag", "the drag of the wheels",
        measure="Measure the drag of each wheel with the brake off (still to do: {at}).",
        inside="Both wheels turn freely with the brakes off.",
        above="The brake drags at {at}: a piston or cam sticks, or a return port is shut. A brake that drags gets hot until it "
        "locks the wheel. Find out why, and do not ride until it turns freely.",
        close="The drag at {at} is too close to call: spin it, warm it, and measure again.",
        stops=True,
    )  # fmt: skip


# -- on the ground


def _trial(trial: Sequence[Trial]) -> list[Step]:
    rows = Verdicts(tuple(one.row for brake in trial for one in brake.stops))
    if all(row.value is None for row in rows):
        walk = (
            "All is well on the stand. Now test it at walking pace in a closed yard: each brake on its own, ten stops, and look for "
            "damp again afterwards."
        )
        run = (
            "Then run the trial from the speed in the spec book, three times for each brake: mark the ground, measure the speed of "
            "each run, and have a second person watch."
        )
        return [to_do("walking_pace", walk, rows, safety=True), to_do("trial", run, rows, safety=True)]
    return [step for brake in trial for step in _brake(brake)]


def _brake(trial: Trial) -> list[Step]:
    name = trial.brake
    found = [_questioned(name, one) for one in trial.stops if one.refused]
    found += _speed(trial)
    found += judged(
        trial.distances, f"{name}_stop", f"the stopping distance of the {name} brake",
        measure="Do the rest of the trial with the {brake} brake: {at}.",
        inside="The {brake} brake stops within the distance of the spec book.",
        above="The {brake} brake takes too far to stop. Bed the linings in as their maker says, and try again; if it stays that way, look "
        "for glaze or oil on the linings, and for a lever ratio that was changed. Do not ride it on the road until it stops in time.",
        close="The stopping distance of the {brake} brake is too close to call: repeat the trial, or measure speed and distance "
        "more exactly.",
        stops=True, brake=name,
    )  # fmt: skip
    return found + _feeble(trial) + _against_test(trial, found)


def _questioned(brake: str, one: Stop) -> Step:
    """A reading that cannot be true, or belongs to quite another speed, is questioned; it is not judged."""
    says = "The {brake} brake, {run}, {distance} from {speed}, is not judged: {reason}."
    assert one.speed is not None
    return not_known(
        f"{brake}_stop.questioned", says, [one.row, one.speed], safety=True, brake=brake, run=one.row.position,
        distance=Amount(one.row.value or 0.0, one.row.unit, one.row.u), reason=one.refused,
        speed=Amount(one.speed.value or 0.0, one.speed.unit, one.speed.u),
    )  # fmt: skip


def _speed(trial: Trial) -> list[Step]:
    """The speeds themselves: needed wherever there is a distance, and judged where the spec book has limits for them."""
    counting = Verdicts(tuple(row for row in trial.speeds if row.word != "no limit"))
    if len(trial.speeds) and not len(counting):
        return []
    return judged(
        counting, f"{trial.brake}_speed", f"the speed of the runs with the {trial.brake} brake",
        measure="Measure the speed of each run with the {brake} brake ({at}): time it over a measured length, or use a "
        "satellite receiver. A speedometer that was not checked proves nothing.",
        inside="Each run with the {brake} brake began at the speed of the trial.",
        outside="Run {at} with the {brake} brake again, at the speed of the trial.",
        close="Whether {at} with the {brake} brake began at the speed of the trial is too close to call: run it again, nearer to it.",
        brake=trial.brake,
    )  # fmt: skip


def _feeble(trial: Trial) -> list[Step]:
    """Below 0.2 g a brake hardly works, whatever limit the spec book has: common practice."""
    weak = [one for one in trial.stops if one.answer is not None and one.answer.grip < 0.2]
    says = (
        "The {brake} brake gave {slowest}, which is hardly braking ({at}): no more trials. Look for air, oil on the linings, "
        "shoes that are not bedded in, or a run that was not a hard stop."
    )
    slowest = Amount(min((one.answer.deceleration for one in weak), default=0.0), "m/s2")
    rows = [one.row for one in weak]
    return [stop(f"{trial.brake}_stop.feeble", says, rows, brake=trial.brake, slowest=slowest)] if weak else []


def _against_test(trial: Trial, found: Sequence[Step]) -> list[Step]:
    """A limit that is longer than the type test's: it may belong to another speed or another brake."""
    if not isinstance(trial.left, float) or worst_state(found) != "settled":
        return []
    name, left = trial.brake, Amount(abs(trial.left), "m")
    if trial.left >= 0:
        says = "The longest stop with the {brake} brake is {left} shorter than the type test allows."
        return [settled(f"{name}_stop.type_test", says, trial.distances, brake=name, left=left)]
    says = (
        "The {brake} brake is inside the limit of the spec book, but its longest stop is {left} longer than the type test "
        "allows at the speed of this trial: see whether that limit belongs to this speed. Take the test out of build.toml if "
        "it is not for this machine."
    )
    return [not_known(f"{name}_stop.limit_doubted", says, trial.distances, safety=True, brake=name, left=left)]


def _stop(row: Verdict, speed: Verdict | None, nominal: float, test: str) -> Stop:
    if row.value is None or speed is None or speed.value is None:
        return Stop(row, speed)
    try:
        answer = brakes.corrected_distance(_known(row, "m"), _known(speed, "km/h"), nominal, test)
    except FormulaError as refused:
        return Stop(row, speed, refused=str(refused).removeprefix("brakes.corrected_distance: ").rstrip("."))
    return Stop(row, speed, answer)


class _Known(NamedTuple):
    """A value with its standard uncertainty, as a formula takes it."""

    nominal_value: float
    std_dev: float


def _known(row: Verdict, unit: str) -> _Known:
    return _Known(
        float(convert(row.value or 0.0, row.unit, unit)),
        abs(float(convert_difference(row.u or 0.0, row.unit, unit))),
    )
