"""What holds it together: joints with their torques, parts, work, and what was taken apart again."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from restonb.handover.contents._open import joint_name
from restonb.handover.contents._words import as_typed, cells, date, listed, marked, sentence, table, title
from restonb.handover.facts import Facts
from restonb.handover.report import Block, Cell, Column, Paragraph, Section

__all__ = ["joints_section", "parts_section", "rework_section", "work_section"]


def joints_section(facts: Facts) -> Section | None:
    """Each joint with its state, then every fastener with planned and applied torque."""
    joints = facts.build.joints.joints
    states = facts.standing.joints
    if not states:
        return None
    rows, turned = [], []
    for key, state in states.items():
        joint = joints.get(key)
        name = joint_name(facts, key)
        rests = listed(joint_name(facts, k) for k in joint.rests_on) if joint else ""
        rows.append(
            cells(
                name + (" (safety)" if joint and joint.safety else ""),
                marked(state.state) if state.state else Cell("nothing entered", "not run"),
                date(state.at) if state.at else "",
                rests,
                state.why,
            )
        )
        turned += _fasteners(facts, name, joint, state)
    blocks: list[Block] = [table("Joints", (
        Column("Joint", 2.2), Column("State", 0.0), Column("Since", 0.0), Column("Rests on", 1.8), Column("Note", 2.0),
    ), rows)]  # fmt: skip
    if turned:
        blocks.append(table("Fasteners and torques", (
            Column("Fastener", 1.6), Column("Thread", 0.0), Column("Planned", 0.0, True),
            Column("Applied", 0.0, True), Column("Treatment", 1.6), Column("New", 0.0), Column("Date", 0.0),
        ), turned, "Planned torques are those that the owner copied from the source named above them."))  # fmt: skip
    return Section("joints", "Joints, fasteners and torques", tuple(blocks), new_page=True)


def _fasteners(facts: Facts, name: str, joint: Any, state: Any) -> list[tuple[Cell, ...]]:
    """The fasteners of one joint below its name; neighbours that say the same in one row."""
    units = facts.build.units
    applied = {str(f.get("position", "")): f for f in state.fasteners}
    said: list[tuple[str, str, tuple[str, ...]]] = []
    groups = joint.fasteners if joint else ()
    for group in groups:
        planned = as_typed(group.torque.value, group.torque.unit, units) if group.torque else ""
        for number in range(1, group.count + 1):
            done = applied.pop(str(number) if len(groups) == 1 else f"{group.what} {number}", {})
            said.append((group.what, str(number) if group.count > 1 else "", (
                group.thread, planned, _torque(done, units), str(done.get("treatment") or group.treatment),
                "yes" if done.get("new") else "", date(state.at) if done else "",
            )))  # fmt: skip
    for place, done in applied.items():
        said.append((place, "", ("", "", _torque(done, units), str(done.get("treatment") or ""),
                                 "yes" if done.get("new") else "", date(state.at))))  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    for (what, rest), alike in groupby(said, key=lambda one: (one[0], one[2])):
        numbers = [number for _, number, _ in alike]
        span = numbers[0] if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
        rows.append(cells(f"{what} {span}".strip(), *rest))
    if not rows:
        return []
    sources = listed(dict.fromkeys(g.source for g in groups if g.source)) or (joint.source if joint else "")
    said_of = f"Source: {sources}" if sources else "No source given"
    return [(Cell(f"{name}\n{sentence(said_of)}"),), *rows]


def _torque(done: Any, units: dict[str, str]) -> str:
    if not done or done.get("torque") in (None, ""):
        return ""
    return as_typed(float(done["torque"]), str(done["unit"]), units)


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
        spoiled = listed(title(s) for s in joints.relying_on(line.body["joint"])) if joint else ""
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
