"""What is not settled: collected from everything in the record, so that nothing open can be left out by hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ..facts import Facts
from ._words import amount, counted, date, limits, listed, sentence, title

__all__ = ["GROUPS", "Item", "joint_name", "open_items"]

GROUPS: tuple[tuple[str, str], ...] = (
    ("outside", "Outside limits"),
    ("failed", "Failed"),
    ("measure again", "To be measured again"),
    ("in doubt", "In doubt"),
    ("too close to call", "Too close to call"),
    ("out of date", "Results that are out of date"),
    ("temporary", "Joints that are not closed"),
    ("not measured", "Not measured"),
    ("not run", "Sheets without a filed result"),
    ("open", "Loose ends"),
)
"""Marks and headings of what can be open, the worst first."""


@dataclass(frozen=True, slots=True)
class Item:
    mark: str
    text: str
    subsystem: str
    sheet: str = ""
    safety: bool = False


def open_items(facts: Facts) -> list[Item]:
    """Everything that is outside, in doubt, open or not measured, in the order of `GROUPS`."""
    found = [*_verdicts(facts), *_results(facts), *_joints(facts), *_loose(facts)]
    rank = {mark: n for n, (mark, _) in enumerate(GROUPS)}
    return sorted(found, key=lambda item: (rank[item.mark], not item.safety))


def _verdicts(facts: Facts) -> list[Item]:
    found = []
    for sheet in facts.sheets:
        subsystem = facts.subsystem(sheet)
        missing: dict[str, list[dict[str, Any]]] = {}
        for row in facts.verdicts(sheet):
            word = row["verdict"]
            if word == "not measured":
                missing.setdefault(row["characteristic"], []).append(row)
            elif word in ("outside", "too close to call", "in doubt"):
                value = amount(row["value"], row["unit"], facts.build.units, row.get("U"))
                place = "" if row["position"] == "once" else f", {row['position']}"
                text = f"{title(sheet)}: {row['what']}{place}: {value} (limit {limits(row, facts.build.units)})"
                if word != "outside" and row.get("settle"):
                    text += f". {sentence(row['settle'])}"
                found.append(Item(word, text, subsystem, sheet, bool(row["safety"])))
        for one in facts.characteristics(sheet):
            rows = missing.get(one.key, [])
            if rows:
                places = [row["position"] for row in rows]
                where = "" if places == ["once"] else f": {listed(places)}"
                text = f"{title(sheet)}: {one.what}{where}"
                found.append(Item("not measured", text, subsystem, sheet, one.safety))
    return found


def _results(facts: Facts) -> list[Item]:
    found = []
    for sheet, stands in facts.sheets.items():
        if stands is None:
            text = f"{title(sheet)}: there are readings, but the spec book no longer has this sheet"
            found.append(Item("in doubt", text, facts.subsystem(sheet), sheet))
            continue
        for reason in stands.reasons:
            text = f"{title(sheet)}: {reason.text}"
            found.append(Item(reason.state, text, facts.subsystem(sheet), sheet, stands.safety))
        if stands.run and stands.failed:
            text = f"{title(sheet)}: a later run on {date(stands.failed.at)} failed: {stands.failed.reason}"
            found.append(Item("failed", text, facts.subsystem(sheet), sheet))
    return found


def _joints(facts: Facts) -> list[Item]:
    found = []
    for key, state in facts.standing.joints.items():
        if state.closed and not state.waiting:
            continue
        joint = facts.build.joints.joints.get(key)
        text = f"{joint_name(facts, key)}: {state.state or 'nothing entered about it'}"
        text += f" since {date(state.at)}" if state.at else ""
        said = [
            state.why,
            f"label: {state.label}" if state.label else "",
            {"part": "waiting for a part", "cure": "waiting for it to cure"}.get(state.waiting, ""),
            f"until {state.until}" if state.until else "",
        ]
        text += "".join(f"; {s}" for s in said if s)
        found.append(Item("temporary", text, joint.subsystem if joint else "", safety=bool(joint and joint.safety)))
    return found


def _loose(facts: Facts) -> list[Item]:
    """Open ends of the record, worded from what may leave."""
    lines = {line.seq: line for kind in ("part", "work") for line in facts.of(kind)}
    found = []
    for end in facts.standing.open_ends:
        subsystem = facts.subsystem(end.sheet) if end.sheet else ""
        line = lines.get(end.seq)
        if end.kind == "retighten" and end.joint:
            found.append(Item("open", joint_name(facts, end.joint) + end.text.removeprefix(end.joint), subsystem))
        elif end.kind == "part" and line:
            b = line.body
            size = " ".join(b[k] for k in ("thread", "length", "class") if b[k])
            text = f"Part {b['state']} since {date(line.at)}: {b['quantity']} × {b['what']} {size}".strip()
            found.append(Item("open", text, subsystem))
        elif end.kind == "work" and line:
            still = {"sent": "sent out on", "returned": "returned, not yet accepted, on", "sent back": "sent back on"}
            text = f"Work: {line.body['what']}: {still[line.body['state']]} {date(line.at)}"
            found.append(Item("open", text, subsystem, end.sheet or ""))
    for sheet, stands in facts.sheets.items():
        for text in (stands.run.filed.get("open") or ()) if stands and stands.run else ():
            found.append(Item("open", f"{title(sheet)}: {text}", facts.subsystem(sheet), sheet))
    for seq, fault in sorted(facts.picture_faults.items()):
        found.append(Item("open", f"Photograph of entry {seq}: {fault}", ""))
    lacking = [one for one in facts.build.specs if not one.source and (one.lower, one.upper) != (None, None)]
    if lacking:
        names = listed((f"{title(one.sheet)}, {one.what}" for one in lacking), 8)
        found.append(Item("open", f"{counted(len(lacking), 'limit')} without a source: {names}", ""))
    return found


def joint_name(facts: Facts, key: str) -> str:
    """What a joint is, in words."""
    joint = facts.build.joints.joints.get(key)
    return sentence(joint.what)[:-1] if joint and joint.what else title(key)
