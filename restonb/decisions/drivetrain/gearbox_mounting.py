"""Seating a gearbox on its feet: what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from restonb.decisions._words import undone
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, to_do
from restonb.measure import Verdict, Verdicts
from restonb.words import listed

__all__ = ["CLOSING", "Fitted", "at_rest", "carrying_feet", "fitted", "next_steps", "rocking_axis"]

CLOSING = "The gearbox sits on all its feet, and nothing flexes when it is tight. Record the joint as tightened."


class Fitted(NamedTuple):
    """The shims that the decision names: stacks in mm foot by foot, how many pieces, and the largest gap that they leave."""

    stacks: tuple[tuple[float, ...], ...]
    pieces: int
    residual: float


def at_rest(rest: Any, value: Any) -> Any:
    """The value, where the gaps come from one resting state; NotYet where they do not: it would mean nothing.

    `rest` is the answer of seating.rest, false while it cannot be worked out.
    """
    if rest and rest.cautions:
        return NotYet(("gaps that come from one resting state: these do not, and no shim is chosen on them",))
    return value if rest else rest


def fitted(found: Verdicts, rest: Any, plan: Any) -> Fitted | NotYet:
    """What the decision has put under the feet: the plan, or nothing where every gap is inside as found."""
    if not plan:
        return plan if isinstance(plan, NotYet) else NotYet(("a plan of shims",))
    if _needless(found, plan):
        return Fitted(((),) * len(plan.shims), 0, float(rest.worst))
    return Fitted(tuple(plan.stacks), int(plan.pieces), float(plan.residual))


def carrying_feet(rest: Any) -> list[str]:
    """The feet that carry as found; none while it is not known."""
    return [f"foot {foot}" for foot in rest.carrying] if rest else []


def rocking_axis(rest: Any) -> list[str]:
    """The two feet about which it rocks farthest; none where it stands firm or is not known."""
    return [f"foot {foot}" for foot in rest.axis] if rest else []


def next_steps(found: Verdicts, rest: Any, plan: Any, now: Verdicts, tight: Verdicts) -> list[Step]:
    """The decision, oldest step first; it ends with the first step that is still to do.

    `found`, `now`, `tight`: verdicts on the gaps as found, on the newest gaps, and on gaps and foot movement when tight.
    `rest`, `plan`: answers of seating.rest and seating.shims for the gaps as found, false while they cannot be worked out.
    """
    if undone(now):
        says = "Measure the gap under every foot with the nuts off (still to do: {at}). Nothing is decided until then."
        return [to_do("gap.measure", says, (row for row in now if row.word == "not measured"))]
    if not undone(found):
        if not rest:
            unknown = not_known("rest.unknown", "How it rests is not known: {why}.", now, why=_why(rest))
            return [unknown, *_sits(now, tight)] if now.word == "inside" else [unknown]
        if rest.cautions:
            says = (
                "Do not shim on these gaps: the gearbox cannot rest in any way that leaves all of them; they are out by {misfit}. Set it "
                "down again, hands off, and measure all feet in one go."
            )
            return [to_do("gap.misfit", says, found, misfit=Amount(rest.misfit, "mm"))]
        if not _needless(found, plan) and (again := _not_again(now)):
            return [_stands(rest, found), *_shimmed(found, plan, now, again)]
    return _sits(now, tight)


def _sits(now: Verdicts, tight: Verdicts) -> list[Step]:
    """How it sits as it is now, and only where it does, how it stands when it is tight."""
    gaps = judged(
        now, "gap", "the gap under the feet",
        measure="Measure the gap under every foot with the nuts off (still to do: {at}).",
        inside="As it stands now, every gap is inside its limit.",
        outside="The gap is still too large at {at}. Do not tighten yet: take the shims out, measure the gaps as found, and shim what "
        "they show.",
        close="The gap is too close to call at {at}. Do not tighten yet; the remark in the table says what would settle it.",
    )  # fmt: skip
    return [*gaps, *_tight(tight)] if now.word == "inside" else gaps


def _shimmed(found: Verdicts, plan: Any, now: Verdicts, again: list[Verdict]) -> list[Step]:
    """What to put under which foot, and that it is measured again afterwards."""
    if not plan:
        if found.word == "inside":
            return _measure_again(now, again)
        return [not_known("shims.unknown", "Which shims it needs is not known: {why}.", again, why=_why(plan))]
    if round(plan.residual - plan.limit, 6) > 0:
        says = (
            "No stack from this stock leaves less than {left}, and {limit} is allowed: get thinner shims, write them into the stock, and "
            "work it out again before tightening."
        )
        return [
            to_do("shims.too_coarse", says, again, left=Amount(plan.residual, "mm"), limit=Amount(plan.limit, "mm"))
        ]
    steps = []
    if plan.pieces:
        put, values = _under(plan.stacks)
        says = f"Put {put}: the largest gap left is {{left}}, and {{limit}} is allowed."
        left, limit = Amount(plan.residual, "mm"), Amount(plan.limit, "mm")
        steps.append(to_do("shims.put", says, again, left=left, limit=limit, **values))
    if any(text != "none" for text in plan.fewest):
        put, values = _under(plan.fewest_stacks)
        says = f"Simpler, with fewer shims: {put}. That leaves {{left}}, still within the limit, and fewer shims spring less."
        steps.append(to_do("shims.fewer", says, again, left=Amount(plan.fewest_residual, "mm"), **values))
    return [*steps, *_measure_again(now, again)]


def _measure_again(now: Verdicts, again: list[Verdict]) -> list[Step]:
    at = " (still to do: {at})" if len(again) < len(now) else ""
    return [to_do("gap.again", f"Then measure the gaps again with the nuts off{at}.", again)]


def _under(stacks: Sequence[Sequence[float]]) -> tuple[str, dict[str, Any]]:
    """'{foot_1} under foot 1 and {foot_3} under foot 3', and the values for it: each stack as its pieces."""
    put = [n for n, pieces in enumerate(stacks, 1) if pieces]
    values: dict[str, Any] = {f"foot_{n}": [Amount(piece, "mm") for piece in stacks[n - 1]] for n in put}
    return listed(f"{{foot_{n}}} under foot {n}" for n in put), values


def _stands(rest: Any, found: Verdicts) -> Step:
    """How it stands as found: a fact, and nothing that settles the seat, since the gaps are measured again."""
    if rest.axis:
        drop = max(range(len(rest.drops)), key=lambda f: rest.drops[f])
        says = (
            "As found it rocks about {axis}: {foot} goes down by {drop} when it is leant on. Tightened like this, the nuts would bend the "
            "platform or the case."
        )
        axis = listed(rocking_axis(rest))
        return to_do("rest.rocks", says, found, axis=axis, foot=f"foot {drop + 1}", drop=Amount(rest.drops[drop], "mm"))
    says = "As found it does not rock; the largest gap under a foot is {worst}."
    return not_known("rest.firm", says, found, worst=Amount(rest.worst, "mm"))


def _tight(tight: Verdicts) -> list[Step]:
    if undone(tight) and not any(row.word == "outside" for row in tight):
        says = "Tighten to the plan, then measure gaps and foot movement, one nut at a time (still to do: {at})."
        return [to_do("tight.measure", says, (row for row in tight if row.word == "not measured"))]
    return judged(
        tight, "tight", "how the feet stand when they are tight",
        measure="Measure the rest with the nuts tight: {at}.",
        inside="Tight, no gap opens and no foot moves: the base plate does not flex.",
        outside="The base plate flexes at {at}: the nut pulled the foot down. Slacken all nuts, measure the loose gaps again, and look for "
        "dirt, a bent platform or a shim that does not cover the foot before adding shims.",
        close="Whether the base plate flexes is too close to call at {at}; the remark in the table says what would settle it.",
    )  # fmt: skip


def _needless(found: Verdicts, plan: Any) -> bool:
    """Nothing is to be shimmed, so that nothing is to be measured again: every gap as found is inside as it is."""
    none = not plan or not plan.pieces or (bool(plan.fewest) and set(plan.fewest) == {"none"})
    return found.word == "inside" and none


def _not_again(now: Verdicts) -> list[Verdict]:
    """The feet whose newest gap is still the one as found."""
    return [row for row in now if row.reading is None or row.reading.occasion == "as found"]


def _why(answer: Any) -> list[str]:
    return list(getattr(answer, "missing", ())) or ["something is missing"]
