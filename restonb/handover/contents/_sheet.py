"""One sheet: what was found, what was decided and done, before and after with limits, sources and uncertainty."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from restonb.handover.contents._drawings import drawings
from restonb.handover.contents._open import Item, joint_name
from restonb.handover.contents._strip import strips
from restonb.handover.contents._words import (
    amount,
    cells,
    date,
    day,
    key_as_words,
    limits,
    sentence,
    table,
    title,
    word_cell,
)
from restonb.handover.facts import Facts, Line
from restonb.handover.logfiles import stays_home
from restonb.handover.marks import MARKS
from restonb.handover.report import Block, Bullets, Cell, Column, FactRows, Paragraph, Photo, Photos, Section
from restonb.record import box_of
from restonb.words import counted, listed, listed_places

if TYPE_CHECKING:
    from restonb.record import Reason, SheetStanding

__all__ = ["photos_shown", "pictures", "sheet_section", "state"]

_PHOTOS, _LEAST, _MOST = 160, 2, 12
"""Photographs in the document, and of one sheet; all stand in the folder of photographs and in its table. The
typesetter holds every one of them in memory."""


def photos_shown(sheets: int) -> int:
    """How many of each sheet (and of none) the document shows when photographs belong to so many sheets."""
    return max(_LEAST, min(_MOST, _PHOTOS // max(1, sheets)))


def state(facts: Facts, sheet: str) -> str:
    """The one word for where a sheet stands."""
    stands = facts.sheets[sheet]
    return stands.word if stands else "in doubt"


def sheet_section(facts: Facts, sheet: str, items: Sequence[Item], folder: Path) -> Section:
    """Everything about one sheet: first what was found, what to do and what is open, then the evidence.

    `items` is what is open in the whole record. Drawings are written below `folder`/figures.
    """
    now, before = facts.verdicts(sheet), facts.verdicts_as_found(sheet)
    stands = facts.sheets[sheet]
    run = stands.run if stands else None
    filed = run.filed if run else {}
    blocks: list[Block] = [*_box(facts, sheet, items)]
    if run:
        text = f"Filed on {day(run.at)} as entry {run.seq}, from the template {run.template}"
        if run.folder:
            home = stays_home(facts, facts.build.folder / run.folder)
            text += "; its page was left out as private" if home else f"; the executed notebook is in {run.folder}"
        blocks.append(Paragraph(sentence(text), "small"))
    blocks += [Paragraph(sentence(str(text)), "caution") for text in filed.get("cautions") or ()]
    if now:
        blocks.append(_measured(facts, now, before))
    blocks += _remarks(now)
    blocks += _worked_out(filed)
    blocks += drawings(sheet, now, before, folder, date(facts.head.at))
    blocks += _done(facts, sheet)
    blocks += pictures(facts, sheet)
    return Section(f"sheet-{sheet.replace('_', '-')}", title(sheet), tuple(blocks))


def _box(facts: Facts, sheet: str, items: Sequence[Item]) -> list[Block]:
    """What was found, what to do, what is open; the word of the sheet above all."""
    stands, word = facts.sheets[sheet], state(facts, sheet)
    blocks: list[Block] = [Paragraph(sentence(word), "state", word)]
    if stands is None:
        return [*blocks, Paragraph("There are readings, but the spec book no longer has this sheet.")]
    blocks += _result(facts, stands)
    box = box_of(stands._replace(left=tuple(one for one in stands.left if one.kind not in ("end", "result"))))
    if found := _found_cells(facts, sheet):
        blocks.append(Bullets(found, "Found"))
    if box.steps:
        told = tuple(Cell(f"{step['state']}: {sentence(str(step['text']))}", str(step["state"])) for step in box.steps)
        blocks.append(Bullets(told, "Decided" if box.all_settled else "What to do"))
    if box.decided:
        blocks.append(Bullets(tuple(Cell(sentence(line)) for line in box.decided), "Decided then"))
    relied = facts.build.joints.relied_on(sheet)
    of_this = {one.seq for one in stands.left if one.kind == "end"}
    ends = [i for i in items if i.seq in of_this and (i.joint in relied or i.sheet == sheet)]
    still = [Cell(sentence(key_as_words(line)), "open") for line in box.open]
    still += [Cell(sentence(item.text), item.mark) for item in ends]
    if still:
        blocks.append(Bullets(tuple(dict.fromkeys(still)), "Open"))
    return blocks


def _found_cells(facts: Facts, sheet: str) -> tuple[Cell, ...]:
    """How many rows have each word, and where it is not good."""
    stands = facts.sheets[sheet]
    left = {place for one in stands.left if one.kind == "row" for place in one.places} if stands else set()
    at: dict[str, list[tuple[str, str]]] = {}
    for row in facts.verdicts(sheet):
        if row["word"] == "no limit" and (row["characteristic"], row["position"]) not in left:
            continue  # it serves another, which is judged
        at.setdefault(row["word"], []).append((row["what"], row["position"]))
    order = [word for word in MARKS if word in at] + [word for word in at if word not in MARKS]
    order.sort(key=lambda word: word == "inside")
    return tuple(
        Cell(
            f"{len(at[word])} {word}" + ("" if word in ("inside", "no limit") else f": {listed_places(at[word])}"), word
        )
        for word in order
    )


_RESULT = {
    "current": "",
    "out of date": "The filed result is out of date; what follows is judged afresh from the readings in force",
    "measure again": "Something that it rests on was moved after it was measured",
    "in doubt": "A gauge that was used failed its check",
    "not run": "No result was filed; what follows is judged from the readings in force",
    "failed": "The newest run failed; what follows is judged from the readings in force",
}


def _result(facts: Facts, stands: SheetStanding) -> list[Block]:
    """Whether the filed result is current, and why not."""
    said = _RESULT.get(stands.state, stands.state)
    if not said:
        return []
    given = [reason for reason in stands.reasons if reason.state != "not run"]
    again = [r for r in given if r.state == "measure again" and r.chain]
    reasons = [key_as_words(r.text) for r in given if len(again) < 2 or r not in again]
    told = tuple(Cell(sentence(reason)) for reason in reasons)
    if len(again) > 1:
        return [
            Paragraph(f"{said}. Joints that it rests on were disturbed after its readings:"),
            Bullets((*(Cell(sentence(_cause(facts, r))) for r in again), *told)),
            Paragraph(f"Spoiled by that: {_spoiled(facts, stands.sheet, again)}.", ""),
        ]
    if len(reasons) > 1:
        return [Paragraph(f"{said}:"), Bullets(told)]
    return [Paragraph(sentence(f"{said}: {reasons[0]}" if reasons else said))]


def _cause(facts: Facts, reason: Reason) -> str:
    """Which joint, what happened to it, and how the sheet comes to rest on it."""
    entry = facts.record.entry(reason.seq)
    joint = joint_name(facts, reason.chain[-1])
    what = str(entry.body.get("what") or entry.body.get("state")) if entry else "disturbed"
    when = f" on {date(entry.at)} (entry {entry.seq})" if entry else ""
    through = listed((key_as_words(joint) for joint in reason.chain[:-1]), 12)
    return f"{joint}: {what}{when}" + (f"; it rests on it through {through}" if through else "")


def _spoiled(facts: Facts, sheet: str, reasons: list[Reason]) -> str:
    """The characteristics that the reasons concern, each once, with its positions."""
    places: dict[str, list[str]] = {}
    for reason in reasons:
        for key, position in reason.places:
            if position not in places.setdefault(key, []):
                places[key].append(position)
    names = {one.key: one.what for one in facts.characteristics(sheet)}
    return listed(
        names.get(key, key_as_words(key)) + (f" ({listed(at, 4)})" if at != ["once"] and any(at) else "")
        for key, at in places.items()
    )


def _measured(facts: Facts, now: list[dict[str, Any]], before: list[dict[str, Any]]) -> Block:
    """Before and after, position by position, below each characteristic with its limits and their source."""
    units, gauges = facts.build.units, facts.build.instruments
    first = {(r["characteristic"], r["position"]): r for r in before}
    rows: list[tuple[Cell, ...]] = []
    for _, group in groupby(now, key=lambda row: row["characteristic"]):
        several = list(group)
        used = {
            gauges[key].what if key in gauges else key
            for row in several
            if (taken := facts.taken.get(row["seq"])) and (key := taken.instrument)
        }
        one = used.pop() if len(used) == 1 else ""
        rows.append((Cell(_heading(several[0], units, one)),))
        olds = [first.get((row["characteristic"], row["position"])) for row in several]
        olds = [old if old and old["seq"] != row["seq"] else None for row, old in zip(several, olds, strict=True)]
        for row, old, strip in zip(several, olds, strips(several, olds), strict=True):
            taken = facts.taken.get(row["seq"])
            gauge = taken.instrument if taken and taken.instrument else ""
            rows.append(cells(
                row["position"],
                Cell("", row["word"], strip),
                amount(old["value"], old["unit"], units, old["U"]) if old else "",
                amount(row["value"], row["unit"], units, row["U"]),
                word_cell(row["word"]),
                "" if row["worn_in"] is None else f"{row['worn_in']:.0f} %",
                "" if one else gauges[gauge].what if gauge in gauges else gauge,
                date(taken.at) if taken else "",
            ))  # fmt: skip
    columns = (
        Column("Position", 1.25), Column("Against its limits", 1.35), Column("As found, ± U", 0.0, True), Column("Now, ± U", 0.0, True),
        Column("Verdict", 0.0), Column("Worn in", 0.0, True), Column("Measured with", 1.6), Column("Date", 0.0),
    )  # fmt: skip
    covers = sorted({f"{row['k']:.2g}" for row in now if row["k"]})
    note = f"U is the expanded uncertainty, k = {listed(covers, 12)}." if covers else ""
    if any(len(row) > 1 and row[1].strip for row in rows):
        note += " The strip: blue is within the limits, sand from there to the wear limit, a ring as found."
    return table("Measured", columns, rows, note)


def _heading(row: dict[str, Any], units: Mapping[str, str], gauge: str) -> str:
    limit = limits(row, units)
    source = f"Source: {row['source']}" if row["source"] else "No source given"
    said = (
        f"{sentence(limit if limit.startswith('wear') else f'limit {limit}')} {sentence(source)}"
        if limit
        else "No limit stated."
    )
    said += f" Measured with {gauge}." if gauge else ""
    return f"{sentence(row['what'])[:-1]}{' (safety)' if row['safety'] else ''}\n{said}"


def _remarks(now: list[dict[str, Any]]) -> list[Block]:
    """What would settle a verdict, and what else the reader must know; positions of one remark together."""
    said: dict[tuple[str, str, str], list[str]] = {}
    for row in now:
        for text, mark in ((row["settle"], row["word"]), (row["note"] if row["note"] != row["settle"] else "", "")):
            if text and row["word"] != "no limit":
                said.setdefault((row["what"], text, mark), []).append(row["position"])
    items = tuple(
        Cell(f"{sentence(what)[:-1]}{'' if places == ['once'] else f' ({listed(places, 6)})'}: {sentence(text)}", mark)
        for (what, text, mark), places in said.items()
    )
    return [Bullets(items, "Remarks")] if items else []


def _worked_out(filed: Any) -> list[Block]:
    numbers = filed.get("numbers") or {}
    rows = tuple(
        (str(n.get("what") or title(name)), amount(_four(n.get("value")), str(n.get("unit") or "1"), {}))
        for name, n in numbers.items()
    )
    return [Paragraph("Worked out", "head"), FactRows(rows)] if rows else []


def _done(facts: Facts, sheet: str) -> list[Block]:
    rows = [
        cells(date(line.at), line.body["what"], line.body["state"], line.body["note"])
        for line in facts.of("work") if line.body["sheet"] == sheet
    ]  # fmt: skip
    rows += [
        cells(date(line.at), line.body.get("text", "a private note, left out"), "", "")
        for line in facts.of("note") if line.body["sheet"] == sheet
    ]  # fmt: skip
    rows.sort(key=lambda row: row[0].text)
    columns = (Column("Date", 0.0), Column("What was done or noted", 3.0), Column("State", 0.0), Column("Note", 2.0))
    return [table("Done", columns, rows)] if rows else []


def _four(value: float | None) -> float | None:
    """To four digits: a number that was worked out comes without an uncertainty, and more would say too much."""
    return None if value is None else float(f"{value:.4g}")


def pictures(facts: Facts, sheet: str | None) -> list[Block]:
    """The first photographs of a sheet (None: of no sheet), and how many more there are."""
    every = [p for p in facts.pictures if p.line.body["sheet"] == sheet]
    shown = [p for p in every if p.small]
    blocks: list[Block] = [Photos(tuple(_picture(p.line, p.small) for p in shown))] if shown else []
    if len(every) > len(shown):
        more = counted(len(every) - len(shown), "more photograph")
        blocks.append(Paragraph(f"{more} in the folder photos, listed in tables/photos.csv.", "small"))
    return blocks


def _picture(line: Line, small: str) -> Photo:
    body = line.body
    place = f", {body['position']}" if body["position"] else ""
    told = body["caption"]
    if len(told) > 300:
        told = f"{told[:280]} ... (whole in tables/photos.csv)"
    caption = f"{told or 'Photograph'}{place}. {day(line.at)}, entry {line.seq}"
    said = told or f"no description was given{place}"
    return Photo(small, f"Photograph: {said}", sentence(caption))
