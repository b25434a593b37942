"""A joint without a kernel: the pattern with what each fastener was taken to, and the same as a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from restonb.bench._look import Shown, bullets, table
from restonb.bench.sign_off.plan import LAST, groups, reached
from restonb.record import Off, joint_states, off_plan, open_torques, torque_standing

if TYPE_CHECKING:
    from restonb.bench.basis import Basis

__all__ = ["joint_shown"]


def joint_shown(sheet: Basis, key: str, pictures: bool = True) -> Shown:
    """State, pattern and fasteners of a joint, as of the entry that the sheet sees."""
    joint = sheet.build.joints.get(key)
    state = joint_states(sheet.record, sheet.build.joints, sheet.as_of)[joint.key]
    stands = torque_standing(sheet.record, sheet.build, sheet.as_of).get(joint.key)
    told = reached(stands)
    found = off_plan(joint, stands.reached if stands else (), state.closed, sheet.build.instruments)
    off = {one.position: one for one in found}
    rows, parts = [], []
    for group, fastener in zip(groups(joint), joint.fasteners, strict=True):
        stages = group["stages"]
        for name in group["order"]:
            done = told.get(name, {})
            stage = min(int(done.get("stage", 0)), len(stages))
            word = _word(bool(done), stage, len(stages), off.get(name))
            rows.append(
                (name, str(group["order"].index(name) + 1) if group["ordered"] else "any", " → ".join(stages), word,
                 done.get("torque", ""), done.get("treatment") or f"planned: {group['treatment'] or 'none'}",
                 "new" if done.get("new") else "re-used" if done else "")
            )  # fmt: skip
        if pictures:
            parts.append(_pattern(group, fastener, told, state.at[:10]))
    since = f", since {state.at[:10]}" if state.at else ""
    why = "; ".join(t for t in (state.label, state.why) if t)
    head = f"{joint.what or key}: {state.state or 'not recorded'}{since}" + (f" ({why})" if why else "")
    heads = ("fastener", "turn", "to be taken to", "state", "taken to", "thread treatment", "new or re-used")
    shown = [table(heads, rows, head) if rows else bullets([f"{head}; joints.toml plans no fastener for it"], "todo")]
    ends = [end for end in open_torques(sheet.record, sheet.build, sheet.as_of) if end.joint == joint.key]
    for texts, look in (([e.text for e in ends if e.due], "todo"), ([e.text for e in ends if not e.due], "filed")):
        if texts:
            shown.append(bullets(texts, look))
    return Shown("".join(p.html for p in (*parts, *shown)), "\n".join(p.text for p in (*shown, *parts)))


def _word(done: bool, stage: int, stages: int, off: Off | None) -> str:
    """How far one fastener has come; off its plan where it is."""
    if not done:
        return "not yet"
    if off is not None:
        return {"over": "over its torque", "under": "short of its torque", "missing": "no torque entered"}.get(
            off.word, off.word
        )
    return "at its torque" if stage >= stages else f"stage {stage} of {stages}"


def _pattern(group: dict[str, object], fastener: object, told: dict[str, dict[str, object]], at: str) -> Shown:
    from restonb.charts import bolt_pattern, describe, svg

    names = group["positions"]
    assert isinstance(names, list)
    # the chart numbers the fasteners of its own group from 1
    states = {
        str(n): min(int(str(told[name]["stage"])), LAST) for n, name in enumerate(names, 1) if name in told
    }  # fmt: skip
    figure = bolt_pattern(fastener, states=states or None, date=at)
    return Shown(svg(figure), describe(figure))
