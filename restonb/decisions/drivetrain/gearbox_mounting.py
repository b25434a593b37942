"""Seating a gearbox on its feet: what to do next."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from restonb.bench._values import NotYet
from restonb.decisions._words import listed, places
from restonb.measure import Verdicts

__all__ = ["Fitted", "at_rest", "fitted", "next_steps", "rocking_axis"]


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


def next_steps(found: Verdicts, rest: Any, plan: Any, now: Verdicts, tight: Verdicts) -> list[str]:
    """The decision, oldest step first; it ends with the first step that is still to do.

    `found`, `now`, `tight`: verdicts on the gaps as found, on the newest gaps, and on gaps and foot movement when tight.
    `rest`, `plan`: answers of seating.rest and seating.shims for the gaps as found, false while they cannot be worked out.
    """
    first = found if _undone(found) else now
    if _undone(first):
        return [f"Measure the gap under every foot with the nuts off{_at(first)}. Nothing is decided before that."]
    if not rest:
        return ["The gaps are measured. Write where the feet sit in plan into build.toml, so that shims can be chosen."]
    if rest.cautions:
        return [f"Do not shim on these gaps: {text[:1].lower()}{text[1:]}." for text in rest.cautions]
    said = [_stands(rest)]
    again = [] if _needless(found, plan) else _not_again(now)
    if again and plan:
        said += [_shim(plan), *_simpler(plan)] if plan.pieces else []
        if plan.residual > plan.limit:
            return [*said, _too_coarse(plan)]
    elif again and found.word != "inside":
        return [*said, "Write the shims on hand into build.toml, so that the stacks can be worked out."]
    if again:
        at = f" ({listed(again)} still to do)" if len(again) < len(now) else ""
        return [*said, f"Then measure the gaps again with the nuts off{at}."]
    said.append(_told(now, "As it stands now every gap is inside its limit.", "still too large"))
    if now.word != "inside":
        return [*said, "Do not tighten yet: take the shims out, measure the gaps as found, and shim what they show."]
    if _undone(tight):
        return [*said, "Tighten to the plan, then measure gaps and foot movement, one nut at a time."]
    said.append(_flex(tight))
    return said


def rocking_axis(rest: Any) -> list[str]:
    """The two feet about which it rocks, where it does; the line of the largest drop."""
    if not rest or rest.firm:
        return []
    drops = list(rest.drops)
    foot = drops.index(max(drops)) + 1
    for text in rest.rocks:
        found = re.match(rf"foot {foot} goes down .* about feet (\d+) and (\d+)", text)
        if found:
            return [f"foot {found[1]}", f"foot {found[2]}"]
    return []


def _stands(rest: Any) -> str:
    if rest.firm:
        return (
            "As found it stands firm on all its feet."
            if rest.worst < 0.001
            else (f"As found it stands firm, with at most {rest.worst:.2f} mm under a foot.")
        )
    return f"As found it rocks: {'; '.join(rest.rocks)}. Tightened like this, the nuts would bend the platform or the case."


def _shim(plan: Any) -> str:
    put = [f"{text} under foot {foot}" for foot, text in enumerate(plan.shims, 1) if text != "none"]
    left = "within" if plan.residual <= plan.limit else "above"
    return f"Put {listed(put)}: the largest gap left is {plan.residual:.3f} mm, {left} the limit of {plan.limit:g} mm."


def _simpler(plan: Any) -> list[str]:
    """Fewer shims that also stay within the limit, where there are any."""
    put = [f"{text} under foot {foot}" for foot, text in enumerate(plan.fewest, 1) if text != "none"]
    if not put:
        return []
    left = f"That leaves {plan.fewest_residual:.3f} mm, still within the limit"
    return [f"Simpler, with fewer shims: {listed(put)}. {left}, and fewer shims spring less."]


def _needless(found: Verdicts, plan: Any) -> bool:
    """Nothing is to be shimmed, so that nothing is to be measured again: every gap as found is inside as it is."""
    none = not plan or not plan.pieces or (bool(plan.fewest) and set(plan.fewest) == {"none"})
    return found.word == "inside" and none


def _not_again(now: Verdicts) -> list[str]:
    """The feet whose newest gap is still the one as found."""
    return [row.position for row in now if row.reading is None or row.reading.occasion == "as found"]


def _too_coarse(plan: Any) -> str:
    return (
        f"No stack from this stock leaves less than {plan.residual:.3f} mm: get thinner shims, write them into the "
        "stock, and work it out again before tightening."
    )


def _told(verdicts: Verdicts, good: str, bad: str) -> str:
    if verdicts.word == "inside":
        return good
    if verdicts.word == "too close to call":
        at = listed(places(verdicts, "too close to call"))
        return f"Too close to call with this gauge at {at}; the remark in the table says what would settle it."
    return f"The gap is {bad} at {listed(places(verdicts, 'outside'))}."


def _flex(tight: Verdicts) -> str:
    if tight.word == "inside":
        return "Tight, no gap opens and no foot moves: the base plate does not flex. Record the joint as tightened."
    if tight.word == "too close to call":
        return _told(tight, "", "")
    feet = sorted(set(places(tight, "outside")))
    return (
        f"The base plate flexes at {listed(feet)}: it was pulled down by its nut. Slacken all nuts, measure the loose gaps "
        "again, and look for dirt, a bent platform or a shim that does not cover the foot before adding shims."
    )


def _undone(verdicts: Verdicts) -> bool:
    return not len(verdicts) or any(row.verdict == "not measured" for row in verdicts)


def _at(verdicts: Verdicts) -> str:
    gone = places(verdicts, "not measured")
    return f" ({listed(gone)} still to do)" if gone and len(gone) < len(verdicts) else ""
