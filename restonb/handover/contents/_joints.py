"""What holds it together: joints with their torques, parts, work, and what was taken apart again."""

from __future__ import annotations

from collections import Counter
from itertools import groupby
from typing import Any

from restonb.handover.contents._open import joint_name
from restonb.handover.contents._words import as_typed, cells, date, sentence, table, title, word_cell
from restonb.handover.facts import Facts
from restonb.handover.report import Block, Cell, Column, Paragraph, Section
from restonb.words import listed

__all__ = ["joints_section", "parts_section", "rework_section", "work_section"]


def joints_section(facts: Facts) -> Section | None:
    """Each joint with its state, then every fastener with planned and applied torque."""
    joints = facts.build.joints.joints
    states = facts.standing.joints
    if not states:
        return None
    rows, turned, over = [], [], []
    for key, state in states.items():
        joint = joints.get(key)
        name = joint_name(facts, key)
        rests = listed((joint_name(facts, k) for k in joint.rests_on), 12) if joint else ""
        rows.append(
            cells(
                name + (" (safety)" if joint and joint.safety else ""),
                _state(facts, key, state),
                date(state.at) if state.at else "",
                rests,
                state.why,
            )
        )
        turned += _fasteners(facts, name, joint, state)
        over += _over(facts, name, key)
    blocks: list[Block] = [table("Joints", (
        Column("Joint", 2.2), Column("State", 0.0), Column("Since", 0.0), Column("Rests on", 1.8), Column("Note", 2.0),
    ), rows)]  # fmt: skip
    if turned:
        blocks.append(table("Fasteners and torques", (
            Column("Fastener", 1.6), Column("Thread", 0.0), Column("Planned", 0.0, True),
            Column("Applied", 0.0, True), Column("Treatment", 1.6), Column("New", 0.0), Column("Date", 0.0),
        ), turned, "Planned torques are those that the owner copied from the source named above them."))  # fmt: skip
    if over:
        blocks.append(table("Taken over their plan", (
            Column("Joint", 1.6), Column("Fastener", 0.0), Column("Taken to", 0.0, True), Column("Planned", 0.0, True),
            Column("Date", 0.0), Column("Since then", 2.4),
        ), over, "Every fastener that was ever entered above its planned torque, whether it was put right or not: over-torque "
                 "stretches a bolt and strips a thread, and a smaller figure later does not undo it."))  # fmt: skip
    return Section("joints", "Joints, fasteners and torques", tuple(blocks), new_page=True)


def _state(facts: Facts, key: str, state: Any) -> Cell:
    """The state of a joint; one that is closed is not shown as good where its torques are not."""
    if not state.state:
        return Cell("nothing entered", "not run")
    kinds = {end.kind for end in facts.standing.open_ends if end.joint == key and end.due}
    if state.closed and "torque" in kinds:
        return Cell(f"{state.state}, torque not as planned", "torque")
    if state.closed and "doubt" in kinds:
        return Cell(f"{state.state}, with a wrench in doubt", "in doubt")
    return word_cell(state.state)


def _over(facts: Facts, name: str, key: str) -> list[tuple[Cell, ...]]:
    """Every fastener of a joint that was ever taken over its plan, and what became of it."""
    rows = []
    for one in facts.torques[key].over if key in facts.torques else ():
        done = one.settled or (f"accepted: {one.accepted}" if one.accepted else "not put right")
        mark = "" if one.settled or one.accepted else "torque"
        planned = f"{one.off.plan}; {one.off.why}" if one.off.why else one.off.plan
        rows.append(cells(name, one.off.position, one.off.entered, planned, date(one.at), Cell(done, mark)))
    return rows


def _fasteners(facts: Facts, name: str, joint: Any, state: Any) -> list[tuple[Cell, ...]]:
    """The fasteners of one joint below its name; neighbours that say the same in one row."""
    units = facts.build.units
    torques = facts.torques.get(state.joint)
    entered = torques.reached if torques and torques.reached else state.fasteners
    applied = {str(f.get("position", "")): f for f in entered}
    off = {one.position: one.word for one in torques.off} if torques else {}
    off |= {o.off.position: "over" for o in torques.over if not o.settled and not o.accepted} if torques else {}
    said: list[tuple[str, str, tuple[Cell, ...]]] = []
    groups = joint.fasteners if joint else ()
    numbers: Counter[int] = Counter()
    for name_of_one, group in joint.planned.items() if joint else ():
        numbers[id(group)] += 1
        done = applied.pop(name_of_one, {})
        planned = as_typed(group.torque.value, group.torque.unit, units) if group.torque else ""
        said.append((group.what, str(numbers[id(group)]) if group.count > 1 else "", cells(
            group.thread, planned, _torque(done, units, off.get(name_of_one, "")),
            str(done.get("treatment") or group.treatment), "yes" if done.get("new") else "",
            date(str(done.get("at") or state.at)) if done else "",
        )))  # fmt: skip
    for place, done in applied.items():
        said.append((place, "", cells(
            "", "", _torque(done, units, off.get(place, "")), str(done.get("treatment") or ""),
            "yes" if done.get("new") else "", date(str(done.get("at") or state.at)),
        )))  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    for (what, rest), alike in groupby(said, key=lambda one: (one[0], one[2])):
        several = [number for _, number, _ in alike]
        span = several[0] if len(several) == 1 else f"{several[0]} to {several[-1]}"
        rows.append(cells(f"{what} {span}".strip(), *rest))
    if not rows:
        return []
    sources = listed(dict.fromkeys(g.source for g in groups if g.source), 12) or (joint.source if joint else "")
    said_of = f"Source: {sources}" if sources else "No source given"
    return [(Cell(f"{name}\n{sentence(said_of)}"),), *rows]


def _torque(done: Any, units: dict[str, str], off: str) -> Cell:
    """What a fastener was taken to; `off` is how that differs from the plan, as 'over'."""
    entered = bool(done) and done.get("torque") not in (None, "")
    text = as_typed(float(done["torque"]), str(done["unit"]), units) if entered else ""
    return Cell(f"{text}, {off}" if text else off, "torque") if off else Cell(text)


def parts_section(facts: Facts) -> Section | None:
    """Parts in their newest state."""
    newest: dict[tuple[str, Any], Any] = {}
    for line in facts.of("part"):
        newest[line.body["what"], line.body["joint"]] = line
    if not newest:
        return None
    rows = [
        cells(
            b["what"], b["quantity"], b["thread"], b["length"], b["class"], b["state"],
            joint_name(facts, b["joint"]) if b["joint"] else "", date(line.at), _cost(b), b["note"],
        )
        for line in newest.values() for b in (line.body,)
    ]  # fmt: skip
    columns = (
        Column("Part", 2.2), Column("Quantity", 0.0, True), Column("Thread", 0.0), Column("Length", 0.0),
        Column("Class", 0.0), Column("State", 0.0), Column("Joint", 1.4), Column("Date", 0.0),
        Column("Cost", 0.0, True), Column("Note", 1.8),
    )  # fmt: skip
    return Section("parts", "Parts", (table("", columns, rows),))


def work_section(facts: Facts) -> Section | None:
    """Work done at home and outside, each step of it."""
    home: list[tuple[Cell, ...]] = []
    away: list[tuple[Cell, ...]] = []
    for line in facts.of("work"):
        b = line.body
        outside = bool(b["state"]) or "where" in line.withheld or "who" in line.withheld or bool(b.get("where"))
        row = cells(
            date(line.at), b["what"], b["state"], b.get("who", ""), b.get("where", ""), b["hours"] or "",
            _cost(b), b["note"],
        )  # fmt: skip
        (away if outside else home).append(row)
    columns = (
        Column("Date", 0.0), Column("Work", 2.6), Column("State", 0.0), Column("By", 1.0), Column("Where", 1.4),
        Column("Hours", 0.0, True), Column("Cost", 0.0, True), Column("Note", 2.0),
    )  # fmt: skip
    blocks: list[Block] = []
    if away:
        blocks.append(table("Outside work", columns, away))
    if home:
        blocks.append(table("Work at home", columns, home))
    return Section("work", "Work", tuple(blocks)) if blocks else None


def _cost(body: dict[str, Any]) -> str:
    return f"{body['cost']} {body.get('currency', '')}".strip() if body.get("cost") else ""


def rework_section(facts: Facts) -> Section | None:
    """What was taken apart again, and which results rested on it."""
    joints = facts.build.joints
    rows = []
    for line in facts.of("disturb"):
        joint = joints.joints.get(line.body["joint"])
        spoiled = listed((title(s) for s in joints.relying_on(line.body["joint"])), 12) if joint else ""
        name = joint_name(facts, line.body["joint"])
        rows.append(cells(date(line.at), name, line.body["what"], line.body["why"], spoiled))
    if not rows:
        return None
    text = (
        "Whatever was measured on sheets that rely on a joint before it was disturbed can no longer be relied on "
        "until it is measured again. Where that is still to be done, the first page says so."
    )
    columns = (
        Column("Date", 0.0), Column("Joint", 1.6), Column("Was", 0.0), Column("Why", 2.0),
        Column("Sheets that relied on it", 2.0),
    )  # fmt: skip
    return Section("rework", "Taken apart again", (Paragraph(text), table("", columns, rows)))
