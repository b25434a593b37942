"""Repairing a stripped thread: from the metal that is there to the torque that the repair has held."""

from __future__ import annotations

from typing import Any

from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, stop, to_do
from restonb.formulas.fasteners.torque import NUT_FACTORS
from restonb.measure import Verdict, Verdicts
from restonb.quantity import Quantity, convert, read_thread

__all__ = ["CLOSING", "MOST", "hole_rows", "left_below", "lowest_factor", "major", "next_steps", "share_of_hold"]

CLOSING = "Enter the joint as tightened, and look at it again after the first heat."

MOST = 85.0
"""Largest share in % of what the thread in the part bears that a torque may use (common practice, no source)."""


def lowest_factor(thread_state: str) -> float:
    """The nut factor with which a torque pulls hardest: what the thread in the part must bear."""
    return NUT_FACTORS[thread_state][0]


def major(thread: str) -> float:
    """Nominal diameter of a thread in words, in mm. Raises QuantityError where it cannot be read."""
    return read_thread(thread).major


def hole_rows(through: bool) -> tuple[str, ...]:
    """What is measured of the drilled hole: one that goes right through has no depth."""
    return ("drilled_diameter",) if through else ("drilled_diameter", "drilled_depth")


def share_of_hold(pull: Any, holds: Any) -> float | NotYet:
    """How much of what the thread in the part holds the torque uses, in %; both in N."""
    for part in (pull, holds):
        if isinstance(part, NotYet):
            return part
    return 100 * float(pull) / float(holds)


def left_below(plan: Any, thickness: Any) -> Amount | NotYet:
    """Metal left below the tip of the drill, in mm; beyond the insert where the hole goes right through."""
    if isinstance(plan, NotYet):
        return plan
    if plan.full_depth is not None:
        return NotYet(("the thickness of the part",)) if plan.floor is None else _with_u(plan.floor, thickness)
    if isinstance(thickness, NotYet):
        return thickness
    return _with_u(float(thickness) - plan.length, thickness)


def _with_u(value: float, measured: Any) -> Amount:
    """A length that a measured one takes its uncertainty from."""
    return Amount(value, "mm", getattr(measured, "u", None))


def next_steps(
    metal: Verdicts,
    below: Verdicts,
    plan: Any,
    share: float | NotYet,
    hole: Verdicts,
    fitted: Verdicts,
    proof: Verdicts,
) -> list[Step]:
    """The decision, oldest step first; it ends with the first step that is still to do.

    `metal`: the wall (and whatever limits the metal there); `below`: what is left below the drill's tip; `plan`: answer of threads.repair_plan; `share`: how much
    of what the part's thread holds the torque uses, in %; `hole`: drilled diameter, and depth of a blind hole; `fitted`: how
    deep the insert sits; `proof`: the torque that the repair held.
    """
    if not plan:
        missing = list(getattr(plan, "missing", ()) or ("what the plan needs",))
        return [to_do("plan.missing", "Do not drill yet. Still missing: {missing}.", missing=missing)]
    drilled = len(hole) > 0 and all(row.verdict != "not measured" for row in hole)
    found = _metal(metal, plan, drilled)
    if not plan.possible:
        return [*found, _no_room(plan)]
    found += _floor(below, plan, drilled) + _strength(plan, share)
    if any(step.state == "stop" for step in found):
        return found
    for part in (_hole(hole, plan), _fitted(fitted, plan), _proof(proof)):
        found += part
        if any(step.state != "settled" for step in part):
            break
    return found


# -- before the drill


def _metal(metal: Verdicts, plan: Any, drilled: bool) -> list[Step]:
    """The wall against its limit; where the spec book gives none, against the least of two bolt diameters."""
    wanted = Amount(plan.edge_wanted, "mm")
    left = None if plan.wall is None else _tape(plan.wall)
    beside = " {left} of metal would stay beside the new thread." if left else ""
    thin = (
        "The middle of the hole is nearer to the edge than it may be ({at})."
        + beside
        + " A maker of inserts wants {wanted} at "
        "least, two bolt diameters; the edge cracks or bulges when the insert goes in. "
    )
    values: dict[str, Any] = {"wanted": wanted} | ({"left": left} if left else {})
    no_limit = (
        "The spec book gives no limit for the wall, so it is not judged."
        + beside
        + " The least that is usual from the middle of "
        "the hole to the edge is {wanted}."
    )
    inside = "There is metal enough round the hole."
    if plan.edge_enough is False and metal.word == "inside":
        inside = "By your spec book there is metal enough round the hole, though {wanted} to the edge is the least that is usual."
    if metal.word == "no limit" and plan.edge_enough is False and not drilled:
        return [stop("wall.edge", thin.replace(" ({at})", "") + _INSTEAD, metal, safety=False, **values)]
    return judged(
        metal, "wall", "the wall",
        measure="Measure from the edge of the part to the middle of the hole ({at}).",
        inside=inside,
        below=thin + (_WATCH if drilled else _INSTEAD),
        no_limit=no_limit,
        stops=not drilled,
        **values,
    )  # fmt: skip


_INSTEAD = "Do not drill. Have the boss welded up and drill again, or take a method with a smaller hole."
_WATCH = (
    "It is already drilled: look for cracks with a glass, now and after the first heat, and never go above the plan."
)


def _floor(below: Verdicts, plan: Any, drilled: bool) -> list[Step]:
    where = "beyond the insert" if plan.full_depth is None else "below the tip of the drill"
    other = "Take a bottoming tap or a shorter insert, or grind the drill flatter"
    return judged(
        below, "floor", f"the metal left {where}",
        measure="Write the least metal that must be left " + where + " into the spec book, and measure how thick the part is.",
        inside=f"There is metal enough left {where}.",
        below=f"There is less metal left {where} than wanted. "
        + ("See that the bolt does not reach it, and look for leaks." if drilled else f"Do not drill like this. {other}."),
        stops=not drilled,
    )  # fmt: skip


def _strength(plan: Any, share: float | NotYet) -> list[Step]:
    values: dict[str, Any] = {"length": Amount(plan.length, "mm"), "part": plan.method.split()[-1]}
    if isinstance(share, NotYet):
        says = "Whether the thread in the part bears the torque is not known. Still missing: {missing}."
        return [not_known("strength.unknown", says, missing=list(share.missing))]
    values["share"], values["most"] = Amount(share, "%"), Amount(MOST, "%")
    other = "a solid bush" if plan.method == "wire insert" else "a bush with a larger outside thread"
    if share > MOST:
        return [
            stop(
                "strength.over",
                "The torque uses {share} of what {length} of {part} bears in this metal; {most} is the most. Do not repair it like "
                f"this: take a longer {{part}}, {other}, or less torque where the maker allows it.",
                **values,
            )
        ]
    first = (
        "The bolt breaks before {length} of {part} strips"
        if plan.strong_enough
        else "{length} of {part} strips before the bolt breaks, so the torque alone protects it"
    )
    return [settled("strength", first + ". The torque uses {share} of what the thread in the part bears.", **values)]


def _no_room(plan: Any) -> Step:
    """Why the plan does not go into this part, with the depth that it would need."""
    if plan.wall is not None and plan.wall <= 0:
        return stop(
            "room.edge",
            "This hole does not fit: its thread breaks out at the edge by {by}. Take a method with a smaller hole, or weld and "
            "start again.",
            by=_tape(-plan.wall),
        )
    other = "Take a bottoming tap, a shorter insert or another method, or weld and start again."
    if plan.drill_mark is None:
        says = "This hole does not fit: the part would have to be {length} and one pitch thick. " + other
        return stop("room.through", says, length=Amount(plan.length, "mm"))
    return stop(
        "room.depth",
        "This hole does not fit: it would have to be {full} deep to its full diameter and {tip} to the drill's tip, and the part "
        "is {thick} thick. " + other,
        full=_tape(plan.full_depth),
        tip=_tape(plan.drill_mark),
        thick=_tape(plan.drill_mark + plan.floor),
    )


# -- the hole


def _hole(hole: Verdicts, plan: Any) -> list[Step]:
    """Diameter and depth, each side with its own advice."""
    values = _tools(plan)
    bad: list[Step] = []
    for key, advice in (("drilled_diameter", _off_diameter), ("drilled_depth", _off_depth)):
        off = [row for row in hole if row.verdict == "outside" and row.characteristic.key == key]
        for side in ("above", "below"):
            if rows := [row for row in off if row.side == side]:
                bad.append(advice(rows, plan, values))
    rest = judged(
        hole, "hole", "the drilled hole",
        measure=_drill(plan),
        inside="The hole is as planned.",
        no_limit="No limit is given for {at}, so whether the hole is as planned is not judged. The plan: " + _planned(plan)
        + "; write its limits into the spec book.",
        **values,
    )  # fmt: skip
    return bad + [step for step in rest if step.finding not in ("hole.outside", "hole")] if bad else rest


def _off_diameter(rows: list[Verdict], plan: Any, values: dict[str, Any]) -> Step:
    here = values | {"measured": _measured(rows)}
    if rows[0].side == "below":
        return to_do(
            "hole.small",
            "The hole is too small at {at} ({measured}): the tap would bind and break. Open it with {drill}, and measure again.",
            rows,
            **here,
        )
    larger = (
        "a bush, or an insert for a larger bolt"
        if plan.method == "wire insert"
        else "a larger bush, or weld and start again"
    )
    return stop(
        "hole.wide",
        "The hole is too wide at {at} ({measured}): a thread in it is thin, and the {part} pulls out. Measure again; if it stays "
        f"so, go to the next larger repair: {larger}.",
        rows,
        safety=False,
        **here,
    )


def _off_depth(rows: list[Verdict], plan: Any, values: dict[str, Any]) -> Step:
    here = values | {"measured": _measured(rows)}
    if rows[0].side == "below":
        return to_do(
            "hole.shallow",
            "The hole is not deep enough ({measured}): the tap would meet the bottom and break. Drill on to " + _planned(plan)
            + ", and measure again.",
            rows,
            **here,
        )  # fmt: skip
    deepest = max(float(convert(row.value or 0.0, row.unit, "mm")) for row in rows)
    over = deepest - (plan.full_depth or 0.0)
    left = None if plan.floor is None else plan.floor - over
    if left is not None and left <= 0:
        return stop(
            "hole.through",
            "The hole is so deep ({measured}) that the drill's tip came through into what lies behind. Stop: find out what it "
            "opened, take out the chips, and have it closed before anything is fitted.",
            rows,
            **here,
        )
    stays = " {left} of metal is left below its tip." if left is not None else " What is left below it is not known."
    return stop(
        "hole.deep",
        "The hole is deeper than planned ({measured})."
        + stays
        + " Do not drill on, and take no longer insert for it: look with a "
        "light whether it opened anything. Where the metal is sound, tap and fit as planned, see that the bolt does not reach the "
        "bottom, and write what this part bears into the spec book.",
        rows,
        safety=False,
        **here | ({"left": _tape(left)} if left is not None else {}),
    )


def _measured(rows: list[Verdict]) -> list[Amount]:
    return [Amount(row.value or 0.0, row.unit, row.u) for row in rows]


def _tape(mm: float) -> Quantity:
    """A length that is set with a rule: to the tenth of a millimetre."""
    return Quantity(round(mm, 1), "mm", "", 0.1)


def _drill(plan: Any) -> str:
    take = "{drill}"
    if plan.reasoned:
        take = (
            "the drill that the sheet of the insert's tap names ({drill} by the form of the thread, or a little more)"
        )
    if plan.drill_mark is None:
        return f"Drill with {take} right through, then measure the hole before tapping (still to do: {{at}})."
    return (
        f"Drill with {take}, the stop tape {{drill_mark}} behind its tip, then measure the hole before tapping to {{tap_mark}} "
        "(still to do: {at})."
    )


def _planned(plan: Any) -> str:
    return "{drill}" if plan.full_depth is None else "{drill}, {full} deep to its full diameter"


def _tools(plan: Any) -> dict[str, Any]:
    marks = {"drill_mark": plan.drill_mark, "tap_mark": plan.tap_mark, "full": plan.full_depth}
    named = {name: _tape(value) for name, value in marks.items() if value is not None}
    return {"drill": plan.drill, "part": plan.method.split()[-1], **named}


# -- insert and proof


def _fitted(fitted: Verdicts, plan: Any) -> list[Step]:
    part = plan.method.split()[-1]
    wire = part == "insert"
    return judged(
        fitted, "fitted", f"how deep the {part} sits",
        measure=(
            "Tap to the stop tape, wash, let the solvent dry off, wind in the insert, take out the tang, and measure how deep it sits."
            if wire
            else "Tap to the stop tape, wash, let the solvent dry off, screw the bush in with its threadlocker, let it cure, and "
            "measure how deep it sits."
        ),
        inside=f"The {part} sits as deep as it should.",
        below=f"The {part} sits too near to the face: the bolt or the part above drives it out. Turn it further in with its tool, "
        "and measure again.",
        above=f"The {part} sits too deep: it has lost a thread at the top, and may touch the bottom. "
        + ("Wind it out with its tool and fit a new one." if wire else "Take it out and fit a new one."),
    )  # fmt: skip


def _proof(proof: Verdicts) -> list[Step]:
    return judged(
        proof, "proof", "the proof torque",
        measure="Prove it: run the bolt in by hand, tighten in stages to the proof torque, wait, and see whether it creeps.",
        inside="The repair held its proof torque.",
        below="The repair gave way below its torque: do not use it. Take the insert out and look at the thread in the part.",
        above="More torque than planned was put on: slacken it, look at bolt and thread, put in a new bolt, and prove it again.",
        close="{What} is too close to call: prove it once more, a tenth above the torque, or with a better wrench.",
        no_limit="It held what was tried; write the torque that it must hold into the spec book, so that this can be judged.",
        stops=True,
    )  # fmt: skip
