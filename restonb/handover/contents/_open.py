"""What is not settled: collected from everything in the record, so that nothing open can be left out by hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from restonb.handover.contents._words import amount, date, key_as_words, limits, sentence, title
from restonb.handover.facts import Facts, Line
from restonb.words import counted, listed

if TYPE_CHECKING:
    from restonb.record import OpenEnd, Reason

__all__ = ["GROUPS", "Item", "joint_name", "open_items"]

GROUPS: tuple[tuple[str, str], ...] = (
    ("stop", "Do not go on, and do not ride"),
    ("outside", "Outside limits"),
    ("failed", "Failed"),
    ("torque", "Torques that are not as planned"),
    ("measure again", "To be measured again"),
    ("in doubt", "In doubt"),
    ("too close to call", "Too close to call"),
    ("not known", "Not known"),
    ("out of date", "Results that are out of date"),
    ("temporary", "Joints that are not closed"),
    ("to do", "To do"),
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
    joint: str = ""
    seq: int = 0
    """The entry that opened it; 0 is 'none did'."""


def open_items(facts: Facts) -> list[Item]:
    """Everything that is outside, in doubt, open or not measured, in the order of `GROUPS`."""
    found = [*_sheets(facts), *_joints(facts), *_loose(facts)]
    rank = {mark: n for n, (mark, _) in enumerate(GROUPS)}
    return sorted(found, key=lambda item: (rank[item.mark], not item.safety))


def _sheets(facts: Facts) -> Iterator[Item]:
    """What is left of each sheet: its rows with their values, why its result is not current, its steps, and the rest."""
    for sheet, stands in facts.sheets.items():
        subsystem = facts.subsystem(sheet)
        left = [one for one in stands.left if one.kind != "end"] if stands else []
        safe = {place for one in left if one.safety for place in one.places}
        said: set[tuple[str, str]] = set()
        for word, rows in _rows(facts, sheet):
            places = {(str(row["characteristic"]), str(row["position"])) for row in rows}
            said |= places
            safety = bool(places & safe) if stands else any(row["safety"] for row in rows)
            yield Item(word, _row_text(facts, sheet, word, rows), subsystem, sheet, safety)
        if stands is None:
            text = f"{title(sheet)}: there are readings, but the spec book no longer has this sheet"
            yield Item("in doubt", text, subsystem, sheet)
            continue
        for word in dict.fromkeys(reason.state for reason in stands.reasons):
            why = _why(facts, [reason for reason in stands.reasons if reason.state == word])
            safety = any(one.safety for one in left if one.kind == "result" and one.word == word)
            yield Item(word, f"{title(sheet)}{why}", subsystem, sheet, safety)
        results = [one for one in left if one.kind == "result"]
        for one in left:
            if one.kind == "result" or (one.kind == "row" and one.places and set(one.places) <= said):
                continue
            if one.kind == "row" and any(r.word == one.word and set(one.places) <= set(r.places) for r in results):
                continue  # that reason says it
            yield Item(one.word, f"{title(sheet)}: {key_as_words(one.text)}", subsystem, sheet, one.safety)


def _rows(facts: Facts, sheet: str) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """The rows that are not plainly good, by word and characteristic; those not measured taken together by safety."""
    groups: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for row in facts.verdicts(sheet):
        if row["word"] == "not measured":
            groups.setdefault(("not measured", f"safety {row['safety']}"), []).append(row)
        elif row["word"] in ("outside", "too close to call", "in doubt"):
            groups.setdefault((row["word"], row["characteristic"]), []).append(row)
    yield from ((word, rows) for (word, _), rows in groups.items())


def _row_text(facts: Facts, sheet: str, word: str, rows: list[dict[str, Any]]) -> str:
    units = facts.build.units
    if word == "not measured":
        places: dict[str, list[str]] = {}
        for row in rows:
            places.setdefault(row["what"], []).append(row["position"])
        names = (what + ("" if at == ["once"] else f" ({listed(at, 6)})") for what, at in places.items())
        return f"{title(sheet)}: {'; '.join(names)}"
    one = rows[0]
    values = listed(
        (
            amount(row["value"], row["unit"], units, row["U"])
            + ("" if row["position"] == "once" else f" at {row['position']}")
            for row in rows
        ),
        12,
    )
    limit = limits(one, units)
    text = f"{title(sheet)}: {one['what']}: {values}" + (f" (limit {limit})" if limit else "")
    return text + (f". {sentence(one['settle'])}" if word == "in doubt" and one["settle"] else "")


def _why(facts: Facts, reasons: list[Reason]) -> str:
    """The reasons of one kind in a few words; the section of the sheet has them whole."""
    if reasons[0].state == "not run":
        return ""
    if reasons[0].state == "measure again":
        joints = listed(dict.fromkeys(key_as_words(r.chain[-1]) for r in reasons if r.chain), 12)
        causes = [entry for r in reasons if (entry := facts.record.entry(r.seq))]
        days = dict.fromkeys(date(entry.at) for entry in causes)
        when = listed((f"{day} ({_entries([e.seq for e in causes if date(e.at) == day])})" for day in days), 12)
        return f": {joints} disturbed after it was measured, on {when}"
    return f": {key_as_words('; '.join(r.text for r in reasons))}"


def _entries(seqs: list[int]) -> str:
    every = sorted(set(seqs))
    return f"{'entry' if len(every) == 1 else 'entries'} {listed(map(str, every), 12)}"


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
        subsystem = joint.subsystem if joint else ""
        found.append(Item("temporary", text, subsystem, safety=key in facts.safety_joints, joint=key, seq=state.seq))
    return found


def _loose(facts: Facts) -> list[Item]:
    """Open ends of the record, worded from what may leave."""
    lines = {line.seq: line for kind in ("part", "work") for line in facts.of(kind)}
    found = []
    for end in facts.standing.open_ends:
        mark, text = _ending(facts, end, lines.get(end.seq))
        if text:
            subsystem = facts.subsystem(end.sheet) if end.sheet else ""
            sheet, joint = end.sheet or "", end.joint or ""
            found.append(Item(mark, text, subsystem, sheet, _blocks(facts, end), joint, end.seq))
    for seq, fault in sorted(facts.picture_faults.items()):
        found.append(Item("open", f"Photograph of entry {seq}: {fault}", ""))
    lacking = [one for one in facts.build.specs if not one.source and (one.lower, one.upper) != (None, None)]
    if lacking:
        names = listed((f"{title(one.sheet)}, {one.what}" for one in lacking), 8)
        found.append(Item("open", f"{counted(len(lacking), 'limit')} without a source: {names}", ""))
    return found


def _ending(facts: Facts, end: OpenEnd, line: Line | None) -> tuple[str, str]:
    """Mark and words of an open end; no words for what is told elsewhere: a joint that is not closed, by its state."""
    if end.kind == "joint" and end.joint in facts.standing.joints and facts.standing.joints[end.joint].closed:
        return "temporary", key_as_words(end.text)
    if end.kind in ("torque", "doubt"):
        return ("torque" if end.kind == "torque" else "in doubt"), key_as_words(end.text) if end.due else ""
    if end.kind == "retighten":
        return "open", key_as_words(end.text)
    if end.kind == "part" and line:
        b = line.body
        size = " ".join(b[k] for k in ("thread", "length", "class") if b[k])
        return "open", f"Part {b['state']} since {date(line.at)}: {b['quantity']} × {b['what']} {size}".strip()
    if end.kind == "work" and line:
        still = {"sent": "sent out on", "returned": "returned, not yet accepted, on", "sent back": "sent back on"}
        return "open", f"Work: {line.body['what']}: {still[line.body['state']]} {date(line.at)}"
    return "", ""


def _blocks(facts: Facts, end: OpenEnd) -> bool:
    """Whether it keeps the machine off the road, as the gate has it."""
    if end.kind == "retighten" and not end.due:
        return False
    if end.blocks is not None:
        return end.blocks
    stands = facts.sheets.get(end.sheet or "")
    return end.joint in facts.safety_joints or (stands is not None and stands.safety)


def joint_name(facts: Facts, key: str) -> str:
    """What a joint is, in words."""
    joint = facts.build.joints.joints.get(key)
    return sentence(joint.what)[:-1] if joint and joint.what else title(key)
