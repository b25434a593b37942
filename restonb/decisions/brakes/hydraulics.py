"""A hydraulic brake: what cylinders, hold test, fluid and unions say to do next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from restonb.bench._look import Shown, bullets, table
from restonb.decisions._to_do import not_settled, still
from restonb.decisions._words import listed, undone, unjudged
from restonb.measure import Verdicts

__all__ = ["fluid_due", "hoses_shown", "in_unit", "mean", "mismatched", "next_steps", "unions_shown"]

FLUID_YEARS = 2
"""Common practice, no source."""


def mean(values: Sequence[float]) -> float:
    """The middle of the readings; of a bore or a piston that is worn unevenly, good enough for a ratio."""
    return sum(values) / len(values)


def in_unit(result: Any, unit: str) -> float:
    """The one number of a formula's answer, in another unit of its kind."""
    return float(result.to(unit))


def fluid_due(filled: str | None) -> str:
    """The date at which the fluid is due again, as '2028-02-21'; '' where it is not known when it was filled."""
    if not filled:
        return ""
    day = date.fromisoformat(filled)
    last = 28 if (day.month, day.day) == (2, 29) else day.day
    return day.replace(year=day.year + FLUID_YEARS, day=last).isoformat()


def mismatched(unions: Sequence[Sequence[str]]) -> list[str]:
    """The unions whose pipe end and seat are not of one form; each is (where, pipe end, seat)."""
    return [
        u[0] for u in unions if len(u) < 3 or " ".join(u[1].casefold().split()) != " ".join(u[2].casefold().split())
    ]


def unions_shown(unions: Sequence[Sequence[str]]) -> Shown:
    """The unions as a table, with whether pipe end and seat belong together."""
    if not unions:
        return bullets(["Unions: write where each is, the form of the pipe's end and that of its seat."], "todo")
    bad = mismatched(unions)
    rows = [
        (u[0], *[*u[1:3], "?", "?"][:2], "no" if u[0] in bad else "yes",
         "not of one form: never join them" if u[0] in bad else "")
        for u in unions
    ]  # fmt: skip
    return table(("union", "end of the pipe or hose", "seat", "belongs together", "remark"), rows)


def hoses_shown(hoses: Sequence[Sequence[str]], years: float | None) -> Shown:
    """The hoses as a table: made when, and from when on they are due by the age that the person's manual gives."""
    if not hoses:
        return bullets(["Hoses: write where each is, and the date of making that is printed on it."], "todo")
    rows = [(h[0], h[1] if len(h) > 1 else "not known", _due(h[1], years) if len(h) > 1 else "") for h in hoses]
    return table(("hose", "made", "due by its age"), rows)


def next_steps(
    cylinders: Verdicts, hold: Any, loss: Verdicts, fluid: Verdicts, faults: Verdicts, bleeding: Verdicts,
    unions: Sequence[Sequence[str]] = (), grade: str | None = None, filled: str | None = None,
) -> list[str]:  # fmt: skip
    """The decision, in the order of the work: cylinders, unions, filling and bleeding, hold test, fluid.

    `hold`: the answer of brakes.hold_test, false while it cannot be worked out; `unions` as for `mismatched`.
    """
    bad = mismatched(unions)
    said = [
        f"Pipe end and seat are not of one form at {listed(bad)}: it will leak or split. Make the pipe's end anew, or take "
        "the fitting that belongs to it. Do not go on before that." if bad else "",
        _cylinders(cylinders),
        _faults(faults),
    ]  # fmt: skip
    if cylinders.word == "outside" or bad:
        return [line for line in said if line]
    said += [_bleeding(bleeding), _hold(hold, loss), _fluid(fluid, grade, filled)]
    return [line for line in said if line]


def _cylinders(cylinders: Verdicts) -> str:
    if cylinders.word == "outside":
        return (
            f"Worn or pitted past the limit at {listed(not_settled(cylinders))}: fit a new part, or have the bore sleeved by a "
            "specialist. New seals in a worn bore hold for a week. Do not hone it larger."
        )
    if undone(cylinders):
        return f"Measure the bore of the master cylinder and the pistons{still(cylinders)}."
    if told := unjudged(cylinders, "cylinder and pistons"):
        return told
    if cylinders.word == "too close to call":
        return (
            f"Too close to call at {listed(not_settled(cylinders))}: replace it unless a better gauge proves it good."
        )
    return "Master cylinder and pistons are within their limits." if cylinders.word == "inside" else ""


def _faults(faults: Verdicts) -> str:
    if faults.word == "outside":
        return (
            f"Put right what was found at {listed(not_settled(faults))}: a hose is replaced, a washer renewed, a flare made "
            "anew. No sealant, no tape, no second pull on the spanner."
        )
    if undone(faults):
        return f"Look over hoses and unions under a full pull, with white paper{still(faults)}."
    if told := unjudged(faults, "the faults of hoses and unions", "0"):
        return told
    return "Hoses and unions are sound and dry."


def _bleeding(bleeding: Verdicts) -> str:
    if undone(bleeding):
        return "Bleed it, and count the strokes in a row without a bubble."
    if bleeding.word == "outside":
        return "Bleed on: the last strokes still brought air."
    if told := unjudged(bleeding, "the strokes without a bubble"):
        return told
    return "It is bled."


def _hold(hold: Any, loss: Verdicts) -> str:
    if undone(loss):
        return "Hold the lever under pressure for five minutes, and read the gauge at both ends of them."
    if loss.word == "outside":
        return (
            "It does not hold its pressure: look for damp at every union, then under the boots of the calliper; if all is "
            "dry, the master's cup lets it past. Do not ride it."
        )
    if loss.word == "too close to call":
        return (
            "Whether it holds is too close to call: hold it for longer, or with a finer gauge. Do not ride it before."
        )
    if hold and not hold.holds:
        return "The loss is more than the temperature explains: find the leak. Do not ride it."
    if told := unjudged(loss, "the loss of pressure"):
        return told
    return "It holds its pressure."


def _fluid(fluid: Verdicts, grade: str | None, filled: str | None) -> str:
    due = fluid_due(filled)
    again = f" Change it again by {due}." if due else " Write down when it was filled, so that it is changed in time."
    name = f"{grade} fluid" if grade else "fluid (write its grade down)"
    if undone(fluid):
        return f"Measure the boiling point of the {name}, or fill it fresh from a sealed can.{again}"
    if fluid.word in ("outside", "too close to call"):
        return f"The {name} has drawn water: flush it through with fresh fluid of the same grade, and bleed again."
    if told := unjudged(fluid, "the boiling point of the fluid"):
        return told
    return f"The {name} is fit to use.{again}"


def _due(made: str, years: float | None) -> str:
    """'2036' or '2036-02'; '' where the manual gives no age, or the date cannot be read."""
    year, dash, rest = made.partition("-")
    if not years or not year.isdigit():
        return ""
    return f"{int(year) + round(years)}{dash}{rest}"
