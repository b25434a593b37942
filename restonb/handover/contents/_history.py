"""What happened, day by day: one line per thing done; readings, and photographs, of a day and sheet taken together."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from restonb.handover.contents._open import joint_name
from restonb.handover.contents._words import cells, date, sentence, table, title
from restonb.handover.facts import Facts, Line, lines
from restonb.handover.report import Block, Cell, Column, Paragraph, Section
from restonb.record import verdict_word
from restonb.words import counted, listed

__all__ = ["history_section"]

MOST = 3000
"""Lines in the document; all are in entries.jsonl."""
_GROUPED = ("reading", "photo")


def history_section(facts: Facts) -> Section:
    rows: list[tuple[Cell, ...]] = []
    group: list[Line] = []
    more = 0

    def put(row: tuple[Cell, ...]) -> None:
        nonlocal more
        if len(rows) < MOST:
            rows.append(row)
        else:
            more += 1

    for line in lines(facts.record, facts.upto, facts.include):
        if group and (line.kind not in _GROUPED or _together(line) != _together(group[0])):
            put(_taken(facts, group))
            group = []
        if line.kind in _GROUPED:
            group.append(line)
        else:
            put(_one(facts, line))
    if group:
        put(_taken(facts, group))
    columns = (Column("Date", 0.0), Column("Entries", 0.0, True), Column("What happened", 5.0))
    note = f"{counted(more, 'later line')} in entries.jsonl." if more else ""
    blocks: list[Block] = [Paragraph(
        "Every entry was appended when it happened, is never changed, and is chained to the one before it by its "
        "digest. A mistake is struck out by a later entry that says why; both stay."
    ), table("", columns, rows, note)]  # fmt: skip
    return Section("history", "What happened", tuple(blocks), new_page=True)


def _together(line: Line) -> tuple[str, ...]:
    return (line.kind, date(line.at), line.body["sheet"] or "", line.body.get("occasion", ""))


def _taken(facts: Facts, group: list[Line]) -> tuple[Cell, ...]:
    first, last = group[0], group[-1]
    if first.kind == "photo":
        if len(group) == 1:
            return _one(facts, first)
        told = listed(dict.fromkeys(line.body["caption"] for line in group if line.body["caption"]), 4)
        text = f"{counted(len(group), 'photograph')}{_sheet(first.body)}" + (f": {told}" if told else "")
        gone = [str(line.seq) for line in group if line.seq in facts.struck]
        text += f". Struck out of these: {listed(gone, 12)}" if gone else ""
    else:
        text = f"{counted(len(group), 'reading')}: {title(first.body['sheet'])}, {first.body['occasion']}"
    number = str(first.seq) if first is last else f"{first.seq}–{last.seq}"
    return cells(date(first.at), number, text)


def _one(facts: Facts, line: Line) -> tuple[Cell, ...]:
    text = sentence(_SAID[line.kind](facts, line.body)) if line.kind in _SAID else line.kind
    if line.seq in facts.struck:
        text += f" Struck out by entry {facts.struck[line.seq].seq}."
    return cells(date(line.at), str(line.seq), text)


def _gauge(facts: Facts, key: str) -> str:
    gauge = facts.build.instruments.get(key)
    return gauge.what if gauge and gauge.what else key


def _sheet(b: dict[str, Any]) -> str:
    return f" ({title(b['sheet'])})" if b.get("sheet") else ""


def _run(facts: Facts, b: dict[str, Any]) -> str:
    words = [verdict_word(row) for row in (b["filed"] or {}).get("verdicts", ())]
    tally = listed((f"{words.count(w)} {w}" for w in dict.fromkeys(words)), 12)
    if b["state"] == "failed":
        return f"run of {title(b['sheet'])} failed: {b['reason']}"
    return f"run of {title(b['sheet'])} filed" + (f": {tally}" if tally else "")


def _work(facts: Facts, b: dict[str, Any]) -> str:
    tail = f", {b['state']}" if b["state"] else ""
    return f"work: {b['what']}{tail}{_sheet(b)}" + (f". {b['note']}" if b["note"] else "")


_SAID: dict[str, Callable[[Facts, dict[str, Any]], str]] = {
    "strike": lambda f, b: f"struck out entry {b['seq']}: {b['why']}",
    "disturb": lambda f, b: f"{joint_name(f, b['joint'])}: {b['what']}" + (f", {b['why']}" if b["why"] else ""),
    "joint": lambda f, b: f"{joint_name(f, b['joint'])}: {b['state']}" + (f", {b['why']}" if b["why"] else "")
    + (f"; accepted: {b['accepted']}" if b.get("accepted") else ""),
    "check": lambda f, b: f"{_gauge(f, b['instrument'])} checked"
    + (f" against {b['against']}" if b["against"] else "") + f": {'good' if b['good'] else 'NOT good'}",
    "usage": lambda f, b: f"{b['value']} {b['unit']}" + (f", {b['note']}" if b["note"] else ""),
    "part": lambda f, b: f"part {b['state']}: {b['what']}, {b['quantity']} off",
    "work": _work,
    "note": lambda f, b: f"note{_sheet(b)}: {b.get('text', 'private, left out')}",
    "photo": lambda f, b: f"photograph{_sheet(b)}: {b['caption'] or 'without a description'}",
    "run": _run,
    "handover": lambda f, b: f"handed over as {b['file']}, seal {b['digest'][:16]}",
}  # fmt: skip
