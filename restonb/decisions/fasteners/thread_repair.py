"""Repairing a stripped thread: from the metal that is there to the torque that the repair has held."""

from __future__ import annotations

from typing import Any

from restonb.bench._values import NotYet
from restonb.decisions._words import undone, unjudged
from restonb.formulas.fasteners.torque import NUT_FACTORS
from restonb.measure import Verdicts
from restonb.quantity import read_thread

__all__ = ["lowest_factor", "major", "next_steps", "parent_holds", "share_of_hold"]


def lowest_factor(thread_state: str) -> float:
    """The nut factor with which a torque pulls hardest: what the thread in the part must bear."""
    return NUT_FACTORS[thread_state][0]


def major(thread: str) -> float:
    """Nominal diameter of a thread in words, in mm. Raises QuantityError where it cannot be read."""
    return read_thread(thread).major


def parent_holds(size: Any, plan: Any) -> float | NotYet:
    """Pull in N that strips the insert's thread in the part, at the length of the plan.

    `size`: answer of threads.insert_length, which is for another length; the area goes with the length.
    """
    if not size or not plan:
        return NotYet(("the plan of the repair",))
    if plan.method != "wire insert":
        return NotYet(("what strips a solid bush: follow the sheet that comes with it",))
    return float(size.parent_strips / size.length * plan.length)


def share_of_hold(pull: Any, holds: float | NotYet) -> float | NotYet:
    """How much of what the thread in the part holds the torque uses, in %."""
    if isinstance(holds, NotYet):
        return holds
    return pull if isinstance(pull, NotYet) else 100 * float(pull) / holds


def next_steps(
    metal: Verdicts, plan: Any, share: float | NotYet, hole: Verdicts, fitted: Verdicts, proof: Verdicts
) -> list[str]:
    """The decision, oldest step first; it ends with the first step that is still to do.

    `metal`: the wall (and whatever limits the metal there); `plan`: answer of threads.repair_plan; `share`: how much
    of what the part's thread holds the torque uses, in %; `hole`: drilled diameter and depth; `fitted`: set-back of
    the insert; `proof`: the torque that the repair held.
    """
    if not plan:
        missing = "; ".join(getattr(plan, "missing", ()) or ("what the plan needs",))
        return [f"Do not drill yet. Still missing: {missing}."]
    said = [_metal(metal, plan)]
    if not plan.possible:
        return [*said, _no_room(plan)]
    said.append(_strength(plan, share))
    if not isinstance(share, NotYet) and share > 100:
        return [*said, "Do not repair it like this: a longer insert, a solid bush, or less torque as the maker allows."]
    if undone(hole):
        return [*said, _drill(plan)]
    if hole.word == "outside":
        return [*said, f"The hole is not as planned: {_bad(hole)}. Stop: an insert in a wide hole pulls out; measure "
                "again, and go to the next larger repair."]  # fmt: skip
    said.append(_hole(hole, plan))
    if undone(fitted):
        return [
            *said,
            f"Tap to the stop tape, wash, wind in the {plan.method}, take out the tang, and measure how deep it sits.",
        ]
    if fitted.word == "outside":
        return [*said, "The insert does not sit where it should: wind it out with its tool and fit a new one."]
    if told := unjudged(fitted, "how deep the insert sits"):
        said.append(told)
    if undone(proof):
        return [
            *said,
            "Prove it: run the bolt in by hand, tighten in stages to the proof torque, wait, and try whether it creeps.",
        ]
    return [*said, _proof(proof)]


def _metal(metal: Verdicts, plan: Any) -> str:
    thin = [row for row in metal if row.verdict in ("outside", "too close to call")]
    left = f"{plan.wall:.1f} mm of metal stays beside the new thread" if plan.wall is not None else "measure what stays"
    if not thin and all(row.verdict == "inside" for row in metal):
        return "There is metal enough round the hole."
    if not thin:
        what = "is not measured everywhere" if undone(metal) else "has no limit in the spec book"
        return f"The wall {what}, so whether it is thick enough is not judged: {left}."
    at = thin[0]
    if at.verdict == "outside":
        return (
            f"The wall is thinner than wanted at {at.position} ({at.value:.1f} {at.unit}): {left}. "
            "Decide with that in mind; do not tighten above the plan."
        )
    return f"Whether the wall is thick enough is too close to call at {at.position}: {left}."


def _strength(plan: Any, share: float | NotYet) -> str:
    first = (
        f"The bolt breaks before {plan.length:g} mm of {plan.method.split()[-1]} strips."
        if plan.strong_enough
        else f"{plan.length:g} mm of {plan.method.split()[-1]} strips before the bolt breaks."
    )
    if isinstance(share, NotYet):
        return first
    return f"{first} The torque uses {share:.0f} % of what the part's thread holds."


def _no_room(plan: Any) -> str:
    """Why the plan does not go into this part, with the depth that it would need."""
    if plan.wall is not None and plan.wall <= 0:
        return (
            f"This hole does not fit: its thread breaks out at the edge by {-plan.wall:.1f} mm. Take a method with a smaller "
            "hole, or weld and start anew."
        )
    if plan.drill_mark is None:
        need = f"the part would have to be {plan.length:.1f} mm and one pitch thick"
    else:
        need = (
            f"it would have to be {plan.full_depth:.1f} mm deep to its full diameter and {plan.drill_mark:.1f} mm to the "
            f"drill's tip, and the part is {plan.drill_mark + plan.floor:.1f} mm thick"
        )
    return f"This hole does not fit: {need}. Take a bottoming tap, a shorter insert or another method, or weld and start anew."


def _hole(hole: Verdicts, plan: Any) -> str:
    if hole.word == "inside" and all(row.verdict == "inside" for row in hole):
        return "The hole is as planned."
    if hole.word == "too close to call":
        return f"{_close(hole)}; the remark says what would settle it."
    deep = "" if plan.full_depth is None else f", {plan.full_depth:.1f} mm deep to its full diameter"
    return (
        f"No limit is given for {_named(hole, 'no limit')}, so whether the hole is as planned is not judged. The plan: "
        f"{plan.drill}{deep}; write its limits into the spec book."
    )


def _drill(plan: Any) -> str:
    if plan.drill_mark is None:
        return f"Drill {plan.drill} right through, then measure the hole before tapping."
    return (
        f"Drill {plan.drill} with the stop tape {plan.drill_mark:.1f} mm behind its tip, then measure the hole before tapping "
        f"to {plan.tap_mark:.1f} mm."
    )


def _proof(proof: Verdicts) -> str:
    if proof.word == "inside":
        return "The repair held its proof torque. Enter the joint as tightened; look at it again after the first heat."
    if proof.word == "too close to call":
        return f"{_close(proof)}: prove it once more, a tenth above the torque, or with a better wrench."
    if proof.word == "no limit":
        return (
            "It held what was tried; write the torque that it must hold into the spec book, so that this can be judged."
        )
    return "The repair gave way below its torque: it is not to be used. Take the insert out and look at the thread in the part."


def _bad(rows: Verdicts) -> str:
    return _named(rows, "outside")


def _close(rows: Verdicts) -> str:
    return f"Too close to call: {_named(rows, 'too close to call')}"


def _named(rows: Verdicts, word: str) -> str:
    return ", ".join(dict.fromkeys(r.characteristic.what for r in rows if r.verdict == word))
