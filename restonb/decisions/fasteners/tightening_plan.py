"""A tightening plan: what is planned, what it does to the bolts, what is signed off, and what to do next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from restonb.decisions.fasteners._plans import (
    Plan,
    bolt_table,
    drawn,
    heaviest,
    pattern,
    plan_table,
    plans,
    remarks_of,
    signed_off,
    signed_table,
    spoken,
    unchecked,
)
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, stop, to_do
from restonb.measure import Verdicts
from restonb.record import OpenEnd, OverTorque
from restonb.words import fold

__all__ = [
    "CLOSING",
    "FIGURES",
    "Plan",
    "bolt_table",
    "drawn",
    "heaviest",
    "next_steps",
    "pattern",
    "plan_table",
    "plans",
    "remarks_of",
    "signed_off",
    "signed_table",
    "unchecked",
]

CLOSING = "Every fastener of this plan is at its torque. Look again where the plan says to tighten again after a run."

FIGURES = ("as treated", "dry")
"""What the manual's torques are meant for: threads treated as the plan says, or dry ones."""


def next_steps(
    found: Sequence[Plan],
    measured: Verdicts,
    ends: Iterable[OpenEnd] = (),
    figures: str = "",
    doubts: Sequence[str] = (),
) -> list[Step]:
    """What to do next, the dangerous first.

    `ends`: what is not finished by the record; `figures`: one of FIGURES, '' where the manual was not read for it; `doubts`:
    why readings of this sheet are in doubt.
    """
    if not found:
        says = (
            "Write the joints with their fasteners, torques and order into joints.toml. Nothing is planned until then."
        )
        return [to_do("plan.none", says)]
    keys = {p.joint.key for p in found}
    steps = [step for p in found for step in _bolt(p)]
    steps += _figures(found, figures)
    steps += [step for p in found for step in _torque(p)]
    if left := [p for p in found if p.standing in ("under way", "not begun")]:
        which = [f"{p.title} ({p.word})" for p in left]
        steps.append(
            to_do("torque.open", "Still to tighten: {which}.", safety=any(p.joint.safety for p in left), which=which)
        )
    steps += _record([end for end in ends if end.joint in keys], found)
    steps += _measured(measured)
    if doubts:
        steps.append(
            not_known(
                "measured.doubt.gauge",
                "That rests on a gauge in doubt; do it again with one that passes its check: {why}.",
                why=list(doubts),
            )
        )
    if done := [p.title for p in found if p.standing == "signed off"]:
        steps.append(settled("torque.signed", "Signed off as planned: {which}.", which=done))
    return steps


def _bolt(p: Plan) -> list[Step]:
    """A torque that takes its bolt to its proof load."""
    if p.group.torque is None or p.load is None or p.load.share is None or p.load.usual is None or p.load.share <= 100:
        return []
    what: dict[str, Any] = {
        "what": p.title,
        "torque": p.group.torque,
        "usual": Amount(p.load.usual, "%"),
        "most": Amount(p.load.share, "%"),
    }
    again = "Do not tighten {what} to {torque} until you have read the manual again: the bolt {passes} its proof load ({usual}, up to "
    return [
        stop(
            "bolt.over" if p.load.usual > 100 else "bolt.near",
            again + "{most} where the thread turns easily).",
            passes="passes" if p.load.usual > 100 else "may pass",
            **what,
        )
    ]


def _figures(found: Sequence[Plan], figures: str) -> list[Step]:
    """A dry figure on a lubricated thread loads the bolt more than meant."""
    slick = [p for p in found if p.load and p.load.over_if_dry > 5]
    if not slick:
        return []
    which = [f"{p.title} ({p.load.state}: {p.load.over_if_dry:.0f} % more)" for p in slick if p.load]
    if figures == FIGURES[0]:
        return [settled("figures", "The torques are meant for threads treated as the plan says, by the manual.")]
    if figures == FIGURES[1]:
        says = (
            "The torques are meant for dry threads, and these are lubricated, which loads the bolt more than meant: {which}. Clean "
            "and dry the threads, or ask the maker for the lower torque."
        )
        return [stop("figures.dry", says, safety=any(p.joint.safety for p in slick), which=which)]
    return [
        not_known(
            "figures.unknown",
            "Ask the manual whether its torque is meant dry or lubricated, and write it into the parameter figures; a dry figure on "
            "a lubricated thread loads the bolt more than meant: {which}.",
            safety=any(p.joint.safety for p in slick),
            which=which,
        )
    ]


_OFF = {
    "unmatched": "{what} is entered in a way that fits no torque of the plan at {which}: enter it again as joints.toml has it.",
    "missing": "{what} is entered as tightened without a torque at {which}: enter what each was taken to.",
    "under": "{what} is short of the plan at {which}: tighten it to {plan}, and enter it.",
}


def _torque(p: Plan) -> list[Step]:
    """What the sign-off of one group leaves to do, or left once."""
    safe, at = p.joint.safety, p.standing
    steps = []
    for group in _alike(p.over_now):
        one = group[0]
        replace = "fit new ones" if one.off.far else "fit new ones where anything is damaged"
        steps.append(
            stop(
                "torque.over",
                "{what} was taken to {entered}, over the {plan} of the plan: slacken, look at bolt and thread, "
                f"{replace}, tighten to the plan, and enter it.",
                safety=safe,
                what=_titled(p, group),
                entered=one.off.entered,
                plan=one.off.plan,
            )
        )
    for group in _alike(one for one in p.over if one.settled or one.accepted):
        how = group[0].settled or f"accepted: {group[0].accepted}"
        says = "{what} was once taken to {entered}, over the plan; {how}."
        said: dict[str, Any] = {"what": _titled(p, group), "entered": group[0].off.entered, "how": how}
        steps.append(settled("torque.over.righted", says, **said))
    if at == "no torque planned":
        says = "No torque is stated for {what}: copy it from the manual into joints.toml."
        steps.append(not_known("torque.none", says, safety=safe, what=p.title))
    for word, says in _OFF.items():
        if names := p.at(word):
            values: dict[str, Any] = {"what": p.title, "which": _all(p, names), "plan": _plan(p)}
            steps.append(to_do(f"torque.{word}", says, safety=safe, **values))
    if at == "accepted":
        steps.append(
            settled(
                "torque.accepted", "{what} is left as it is: {why}.", needs=[p.accepted], what=p.title, why=p.accepted
            )
        )
    if p.not_new:
        says = "The one-use fasteners of {what} are entered without the word 'new'. If an old one went back, change it."
        steps.append(to_do("torque.not_new", says, safety=safe, what=p.title))
    return steps


def _record(ends: Sequence[OpenEnd], found: Sequence[Plan]) -> list[Step]:
    """What the record says of these joints beyond their figures."""
    safe = {p.joint.key for p in found if p.joint.safety}
    closed = {p.joint.key for p in found if p.closed}
    steps = []
    for end in (end for end in ends if end.due and end.joint):
        joint: dict[str, Any] = {"joint": spoken(end.joint or ""), "safety": end.joint in safe}
        if end.kind == "doubt":
            says = "{joint} was tightened with a wrench that failed its check: tighten it again with a good one, and enter it."
            steps.append(not_known("wrench.doubt", says, **joint))
        elif end.kind == "retighten":
            steps.append(to_do("retighten", "{joint} is due to be tightened again.", **joint))
        elif end.kind == "joint" and end.joint in closed:
            says = "{joint} is entered as tightened, and something that it rests on came off after that: enter how it is now."
            steps.append(to_do("joint.came_off", says, **joint))
    return steps


def _measured(measured: Verdicts) -> list[Step]:
    if not len(measured):
        return []
    return judged(
        measured, "measured", "the measured torque",
        measure="Write down where the wrench clicked ({at}).",
        inside="Every measured torque is inside its limits.",
        above="Measured torque is over its limits at {at}: slacken, look at bolt and thread, replace what is stretched or torn, and "
        "tighten again in stages.",
        below="Measured torque is short of its limits at {at}: slacken and tighten again in stages.",
    )  # fmt: skip


def _alike(over: Iterable[OverTorque]) -> list[list[OverTorque]]:
    """Over-torques of one entry and figure together."""
    groups: dict[tuple[object, ...], list[OverTorque]] = {}
    for one in over:
        groups.setdefault((one.seq, one.off.entered, one.settled, one.accepted), []).append(one)
    return list(groups.values())


def _titled(p: Plan, over: Sequence[OverTorque]) -> str:
    """Fasteners of a group: 'front wheel, axle nut', 'front disc, disc bolt 3', 'front disc, disc bolt 1 ... 5'."""
    numbers = "" if len(p.names) == 1 else fold(one.off.position.removeprefix(p.group.what).strip() for one in over)
    return f"{p.title} {numbers}".strip()


def _all(p: Plan, names: Sequence[str]) -> list[str]:
    """'all of them', or their numbers."""
    if set(names) == set(p.names):
        return ["all of them" if len(names) > 1 else p.group.what]
    return [name.removeprefix(p.group.what).strip() or name for name in names]


def _plan(p: Plan) -> str:
    return p.torque_text(p.group.torque) if p.group.torque else ""
