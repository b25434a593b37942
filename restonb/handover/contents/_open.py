"""What is not settled: collected from everything in the record, so that nothing open can be left out by hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from restonb.handover.contents._words import amount, counted, date, limits, listed, plain, sentence, title
from restonb.handover.facts import Facts

if TYPE_CHECKING:
    from restonb.record import Reason

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
    """One item for each characteristic and verdict; what nobody measured is taken together by sheet."""
    found = []
    units = facts.build.units
    for sheet in facts.sheets:
        subsystem = facts.subsystem(sheet)
        groups: dict[tuple[str, str], list[dict[str, Any]]] = {}
        for row in facts.verdicts(sheet):
            if row["verdict"] in ("outside", "too close to call", "in doubt", "not measured"):
                groups.setdefault((row["verdict"], row["characteristic"]), []).append(row)
        missing: dict[bool, list[str]] = {}
        for (word, _), rows in groups.items():
            one = rows[0]
            if word == "not measured":
                places = (
                    ""
                    if len(rows) == 1 and one["position"] == "once"
                    else (f" ({listed((r['position'] for r in rows), 6)})")
                )
                missing.setdefault(bool(one["safety"]), []).append(one["what"] + places)
                continue
            values = listed(
                amount(row["value"], row["unit"], units, row["U"])
                + ("" if row["position"] == "once" else f" at {row['position']}")
                for row in rows
            )
            limit = limits(one, units)
            text = f"{title(sheet)}: {one['what']}: {values}" + (f" (limit {limit})" if limit else "")
            if word == "in doubt" and one["settle"]:
                text += f". {sentence(one['settle'])}"
            found.append(Item(word, text, subsystem, sheet, bool(one["safety"])))
        for safety, names in missing.items():
            found.append(Item("not measured", f"{title(sheet)}: {'; '.join(names)}", subsystem, sheet, safety))
    return found


def _results(facts: Facts) -> list[Item]:
    found = []
    for sheet, stands in facts.sheets.items():
        if stands is None:
            text = f"{title(sheet)}: there are readings, but the spec book no longer has this sheet"
            found.append(Item("in doubt", text, facts.subsystem(sheet), sheet))
            continue
        for word in dict.fromkeys(reason.state for reason in stands.reasons):
            why = _why(facts, [reason for reason in stands.reasons if reason.state == word])
            found.append(Item(word, f"{title(sheet)}{why}", facts.subsystem(sheet), sheet, stands.safety))
        if stands.run and stands.failed:
            text = f"{title(sheet)}: a later run on {date(stands.failed.at)} failed: {stands.failed.reason}"
            found.append(Item("failed", text, facts.subsystem(sheet), sheet))
    return found


def _why(facts: Facts, reasons: list[Reason]) -> str:
    """The reasons of one kind in a few words; the section of the sheet has them whole."""
    if reasons[0].state == "not run":
        return ""
    if reasons[0].state == "measure again":
        joints = listed(dict.fromkeys(plain(r.chain[-1]) for r in reasons if r.chain))
        causes = [entry for r in reasons if (entry := facts.record.entry(r.seq))]
        days = dict.fromkeys(date(entry.at) for entry in causes)
        when = listed(f"{day} ({_entries([e.seq for e in causes if date(e.at) == day])})" for day in days)
        return f": {joints} disturbed after it was measured, on {when}"
    return f": {plain('; '.join(r.text for r in reasons))}"


def _entries(seqs: list[int]) -> str:
    every = sorted(set(seqs))
    return f"{'entry' if len(every) == 1 else 'entries'} {listed(map(str, every))}"


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
        said = {row["verdict"] for row in facts.verdicts(sheet)}
        for text in (stands.run.filed.get("open") or ()) if stands and stands.run else ():
            if text.rpartition(": ")[2] not in said:  # else it stands below the verdict already
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
