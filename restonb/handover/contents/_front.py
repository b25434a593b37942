"""The first page: which machine, in which state, and what is not settled."""

from __future__ import annotations

from collections import Counter

from restonb.handover.contents._method import NOT_A_CERTIFICATE
from restonb.handover.contents._open import GROUPS, Item
from restonb.handover.contents._words import cells, day, sentence, table, title
from restonb.handover.facts import Facts
from restonb.handover.privacy import left_out
from restonb.handover.report import Block, Bullets, Cell, Column, FactRows, Paragraph, Section
from restonb.words import counted, listed

__all__ = ["front"]


def front(facts: Facts, items: list[Item]) -> Section:
    what = listed(
        counted(facts.counts[kind], one, many)
        for kind, one, many in (("reading", "reading", ""), ("run", "filed result", ""), ("photo", "photograph", ""))
        if facts.counts[kind]
    )
    lead = (
        f"What was measured, decided and done on this machine from {day(facts.first_at)} to {day(facts.head.at)}, "
        f"in {counted(facts.head.seq, 'entry', 'entries')}" + (f": {what}." if what else ".")
    )
    blocks: list[Block] = [
        Paragraph(lead, "lead"),
        FactRows(_identity(facts)),
        _verdict(facts, items),
        Paragraph(NOT_A_CERTIFICATE, "caution"),
        _by_subsystem(facts, items),
    ]
    for mark, heading in GROUPS:
        group = [i for i in items if i.mark == mark]
        if group:
            told = tuple(Cell(sentence(i.text) + (" (safety)" if i.safety else ""), mark) for i in group)
            blocks.append(Bullets(told, f"{heading}: {len(group)}"))
    if not items:
        blocks.append(Paragraph("Nothing is open, outside limits, in doubt or not measured.", "", "settled"))
    away = left_out(facts.include)
    if away:
        blocks.append(Paragraph(f"Left out of this export: {'; '.join(away)}.", "small"))
    blocks.append(FactRows((("Head digest", facts.head.digest),), code=True))
    return Section("front", "Summary", tuple(blocks))


def _identity(facts: Facts) -> tuple[tuple[str, str], ...]:
    rows = [(title(key), text) for key, text in facts.machine.items() if text]
    usage = facts.of("usage")
    if usage:
        b = usage[-1].body
        rows.append(("Odometer" if b["unit"] != "h" else "Running hours", f"{b['value']} {b['unit']}"))
    return tuple(rows) or (("Machine", facts.build.name),)


def _verdict(facts: Facts, items: list[Item]) -> Paragraph:
    """Where the machine stands, as `status` says it: the gate of the record decides, not this document."""
    gate = facts.standing.gate
    safety = sum(item.safety for item in items)
    if gate.ready:
        others = len(items)
        more = "" if not others else "; 1 other thing is" if others == 1 else f"; {others} other things are"
        return Paragraph(
            f"Nothing marked safety is open in this record{more}.", "state", "to do" if others else "settled"
        )
    if not gate.marked:
        return Paragraph(
            "Nothing here says that it is ready for the road: no row, no template and no joint is marked safety.",
            "state", "not known",
        )  # fmt: skip
    count = "1 thing" if safety == 1 else f"{safety} things" if safety else "something"
    return Paragraph(f"Not ready for the road by this record: {count} marked safety not settled.", "state", "outside")


def _by_subsystem(facts: Facts, items: list[Item]) -> Block:
    names = dict.fromkeys(facts.subsystem(s) for s in facts.sheets)
    rows = []
    for name in names:
        sheets = [s for s in facts.sheets if facts.subsystem(s) == name]
        words = Counter(row["word"] for s in sheets for row in facts.verdicts(s))
        words["again"] = words["measure again"] + words["in doubt"]
        good = sum(stands is not None and stands.word == "settled" for s in sheets for stands in (facts.sheets[s],))
        opened = sum(i.subsystem == name for i in items)
        right = sum(_put_right(facts, s) for s in sheets)
        rows.append(cells(
            title(name), f"{good} of {len(sheets)}", str(right) if right else "–",
            *(str(words[w]) if words[w] else "–" for w in ("inside", "too close to call", "outside", "again", "not measured")),
            str(opened) if opened else "–",
        ))  # fmt: skip
    columns = (
        Column("Subsystem", 2.0), Column("Sheets settled", 0.0, True), Column("Put right", 0.0, True),
        Column("Inside", 0.0, True), Column("Too close to call", 0.0, True), Column("Outside", 0.0, True),
        Column("Again, or in doubt", 0.0, True), Column("Not measured", 0.0, True), Column("Left", 0.0, True),
    )  # fmt: skip
    note = (
        "Put right: places that were outside or too close to call as found, and are inside now. Again, or in doubt: places "
        "whose readings were spoiled by a joint that was opened, or taken with a gauge that failed its check."
    )
    return table("State by subsystem", columns, rows, note, drop_empty=False)


def _put_right(facts: Facts, sheet: str) -> int:
    was = {
        (row["characteristic"], row["position"])
        for row in facts.verdicts_as_found(sheet)
        if row["word"] in ("outside", "too close to call")
    }
    return sum(
        row["word"] == "inside" and (row["characteristic"], row["position"]) in was for row in facts.verdicts(sheet)
    )
