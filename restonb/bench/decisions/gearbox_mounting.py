"""Seating a gearbox on its feet: what to do next."""

from __future__ import annotations

import re
from typing import Any

from restonb.bench.decisions._words import listed, places
from restonb.measure import Verdicts

__all__ = ["next_steps", "rocking_axis"]


def next_steps(loose: Verdicts, rest: Any, plan: Any, shimmed: Verdicts, tight: Verdicts) -> list[str]:
    """The decision, oldest step first; it ends with the first step that is still to do.

    `loose`, `shimmed`, `tight`: verdicts on the gaps loose, on the shims, and on gaps and foot movement when tight.
    `rest`, `plan`: answers of seating.rest and seating.shims, false while they cannot be worked out.
    """
    if _undone(loose):
        return [f"Measure the gap under every foot with the nuts off{_at(loose)}. Nothing is decided before that."]
    if not rest:
        return ["The gaps are measured. Write where the feet sit in plan into build.toml, so that shims can be chosen."]
    if rest.cautions:
        return [f"Do not shim on these gaps: {text[:1].lower()}{text[1:]}." for text in rest.cautions]
    said = [_stands(rest)]
    if plan:
        said += [_shim(plan)] if plan.pieces else []
        if plan.residual > plan.limit:
            return [*said, _too_coarse(plan)]
    elif loose.word != "inside":
        return [*said, "Write the shims on hand into build.toml, so that the stacks can be worked out."]
    if _undone(shimmed):
        return [*said, f"Then measure the gaps again with the nuts off{_at(shimmed)}."]
    said.append(_told(shimmed, "On its shims every gap is inside its limit.", "still too large on the shims"))
    if shimmed.word != "inside":
        return [*said, "Do not tighten yet: measure the loose gaps again, and shim what they show."]
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
        return "It stands firm on all its feet." if rest.worst < 0.001 else (
            f"It stands firm, with at most {rest.worst:.2f} mm under a foot."
        )
    return (
        f"It rocks: {'; '.join(rest.rocks)}. Tightened like this, the nuts would bend the platform or the case."
    )


def _shim(plan: Any) -> str:
    put = [f"{text} under foot {foot}" for foot, text in enumerate(plan.shims, 1) if text != "none"]
    left = "within" if plan.residual <= plan.limit else "above"
    return f"Put {listed(put)}: the largest gap left is {plan.residual:.3f} mm, {left} the limit of {plan.limit:g} mm."


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
