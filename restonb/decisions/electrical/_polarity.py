"""Readings that serve a formula: those below 0 where there can be none, and those outside what the spec book allows."""

from __future__ import annotations

from collections.abc import Callable

from restonb.decisions.steps import Step, judged, to_do
from restonb.errors import FormulaError
from restonb.measure import Verdict, Verdicts

__all__ = ["doubtful_input", "parted", "reason_of", "reversed_leads"]


def parted(rows: Verdicts, which: Callable[[Verdict], bool]) -> tuple[Verdicts, Verdicts]:
    """The rows of which that is true, and the others."""
    return Verdicts(tuple(r for r in rows if which(r))), Verdicts(tuple(r for r in rows if not which(r)))


def reversed_leads(rows: Verdicts, finding: str, what: str, do: str = "") -> tuple[list[Step], Verdicts]:
    """What is said of readings below 0, and the rows that are left to be judged.

    An upper limit alone calls -1200 mV inside. A reading is below 0 where it is so by more than its expanded uncertainty: a
    meter that shows -0.01 for nothing at all is none of these. `do`: what to do about it, where it is not swapped leads.
    """
    below, left = parted(rows, lambda r: r.value is not None and r.value < -(r.U or 0.0))
    if not len(below):
        return [], left
    says = do or (
        "{What} reads below 0 ({at}): the leads of the meter are swapped, or the clamp looks the wrong way. Turn them round "
        "and measure again; nothing is concluded from such a reading."
    )
    return [to_do(f"{finding}.reversed", says, below, what=what)], left


def doubtful_input(rows: Verdicts, finding: str, what: str) -> list[Step]:
    """What keeps readings from being worked on: below 0, outside, too close to call, in doubt; nothing where none does.

    Such a row may do without limits: what is worked out from it is judged instead. What is not measured is told by the
    formula that misses it.
    """
    steps, left = reversed_leads(rows, finding, what)
    _, left = parted(left, lambda r: r.word in ("no limit", "not measured"))
    if len(left):
        found = judged(
            left, finding, what,
            measure="Measure {what}.",
            inside="{What} is inside its limits.",
            outside="{What} is outside what the spec book allows ({at}): find out why before anything is worked out from it.",
        )  # fmt: skip
        steps += [step for step in found if step.state != "settled"]
    return steps


def reason_of(refused: FormulaError) -> str:
    """Why a formula refused, without its name, to be said within a sentence."""
    said = str(refused).rstrip(".")
    name, _, reason = said.partition(": ")
    return reason if reason and " " not in name and "." in name else said
