"""One sheet: what was found, what was decided and done, before and after with limits, sources and uncertainty."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

from ..facts import Facts, Line
from ..report import Block, Bullets, Cell, Column, Figure, Paragraph, Photo, Photos, Section
from ..report import Facts as FactRows
from ._words import amount, cells, counted, date, day, limits, listed, marked, sentence, table, title

__all__ = ["PHOTOS_OF_A_SHEET", "sheet_section"]

PHOTOS_OF_A_SHEET = 12
"""More stand in the folder of photographs and in its table."""


def state(facts: Facts, sheet: str) -> str:
    """The word for where a sheet stands."""
    stands = facts.sheets[sheet]
    return stands.state if stands else "in doubt"


def sheet_section(facts: Facts, sheet: str, folder: Path) -> Section:
    """Everything about one sheet. Drawings are written below `folder`/figures."""
    now, before = facts.verdicts(sheet), facts.verdicts_as_found(sheet)
    stands = facts.sheets[sheet]
    run = stands.run if stands else None
    filed = run.filed if run else {}
    blocks: list[Block] = [_state(facts, sheet)]
    blocks += [Paragraph(sentence(str(text)), "caution") for text in filed.get("cautions") or ()]
    if filed.get("decision"):
        blocks.append(Bullets(tuple(Cell(sentence(str(t))) for t in filed["decision"]), "Decided"))
    if now:
        blocks.append(_measured(facts, now, before))
    blocks += _remarks(now)
    blocks += _worked_out(filed)
    blocks += _drawn(facts, sheet, now, before, folder)
    blocks += _done(facts, sheet)
    blocks += _pictures(facts, sheet)
    if run:
        text = f"Filed on {day(run.at)} as entry {run.seq}, from the template {run.template}"
        if run.folder:
            text += f"; the executed notebook is in {run.folder}"
        blocks.append(Paragraph(sentence(text), "small"))
    return Section(f"sheet-{sheet.replace('_', '-')}", title(sheet), tuple(blocks))


def _state(facts: Facts, sheet: str) -> Paragraph:
    stands = facts.sheets[sheet]
    word = state(facts, sheet)
    said = {
        "good": "The filed result stands",
        "out of date": "The filed result is out of date; what follows is judged anew from the readings in force",
        "measure again": "To be measured again",
        "in doubt": "In doubt",
        "not run": "No result was filed; what follows is judged from the readings in force",
        "failed": "The newest run failed; what follows is judged from the readings in force",
    }.get(word, word)
    reasons = [r.text for r in stands.reasons if r.text != "it was never run"] if stands else []
    return Paragraph(sentence(f"{said}: {'; '.join(reasons)}" if reasons else said), "", word)


def _measured(facts: Facts, now: list[dict[str, Any]], before: list[dict[str, Any]]) -> Block:
    units = facts.build.units
    first = {(r["characteristic"], r["position"]): r for r in before}
    shown = []
    last = None
    for row in now:
        old = first.get((row["characteristic"], row["position"]))
        what = row["what"] + (" (safety)" if row["safety"] else "")
        again = row["characteristic"] == last
        last = row["characteristic"]
        changed = old is not None and old["seq"] != row["seq"]
        shown.append(cells(
            "″" if again else what,
            "" if row["position"] == "once" else row["position"],
            "" if again else limits(row, units),
            amount(old["value"], old["unit"], units) if old and changed else "",
            amount(row["value"], row["unit"], units, row.get("U")),
            marked(row["verdict"]),
            "" if row["worn_in"] is None else f"{row['worn_in']:.0f} %",
            date(taken.at) if (taken := facts.taken.get(row["seq"])) else "",
            "" if again else row["source"] or "no source given",
        ))
    columns = (
        Column("What", 2.4), Column("Position", 0.0), Column("Limit", 1.6), Column("As found", 0.0, True),
        Column("Now, ± U", 0.0, True), Column("Verdict", 0.0), Column("Worn in", 0.0, True),
        Column("Date", 0.0), Column("Source of the limit", 1.7),
    )  # fmt: skip
    covers = sorted({f"{row['k']:.2g}" for row in now if row.get("k")})
    gauges = facts.build.instruments
    used = dict.fromkeys(
        reading.instrument for row in now if (reading := facts.taken.get(row["seq"])) and reading.instrument
    )
    note = f"U is the expanded uncertainty, k = {listed(covers)}." if covers else ""
    if any(r["characteristic"] == s["characteristic"] for r, s in pairwise(now)):
        note += " ″ is 'as above'."
    if used:
        note += f" Measured with: {listed(gauges[k].what if k in gauges else k for k in used)}."
    return table("Measured", columns, shown, note.strip())


def _remarks(now: list[dict[str, Any]]) -> list[Block]:
    """What would settle a verdict, and what else the reader must know."""
    said: dict[Cell, None] = {}
    for row in now:
        for text, mark in ((row["settle"], row["verdict"]), (row["note"], "")):
            if text and text != "no limit stated":
                said[Cell(f"{row['what']}, {row['position']}: {sentence(text)}", mark)] = None
    return [Bullets(tuple(said), "Remarks")] if said else []


def _worked_out(filed: Any) -> list[Block]:
    numbers = filed.get("numbers") or {}
    rows = tuple(
        (str(n.get("what") or title(name)), amount(n.get("value"), str(n.get("unit") or "1"), {}))
        for name, n in numbers.items()
    )
    return [Paragraph("Worked out", "head"), FactRows(rows)] if rows else []


def _drawn(
    facts: Facts, sheet: str, now: list[dict[str, Any]], before: list[dict[str, Any]], folder: Path
) -> list[Block]:
    """One drawing per sheet: before and after where something changed, else the limits and where the values lie."""
    from restonb import charts

    measured = [r for r in now if r["value"] is not None]
    if not measured:
        return []
    was = {(r["characteristic"], r["position"]): r for r in before}
    changed = {r["characteristic"] for r in measured
               if (old := was.get((r["characteristic"], r["position"]))) and old["seq"] != r["seq"]}  # fmt: skip
    drawings = []
    if changed:
        drawings.append(("before-after", charts.before_after(
            [r for r in before if r["characteristic"] in changed],
            [r for r in now if r["characteristic"] in changed],
            names=("as found", "now"), date=date(facts.head.at),
        )))
    rest = [r for r in now if r["characteristic"] not in changed]
    if any(r["value"] is not None for r in rest):
        drawings.append(("limits", charts.tolerance_bars(rest, date=date(facts.head.at))))
    blocks: list[Block] = []
    (folder / "figures").mkdir(exist_ok=True)
    for name, figure in drawings:
        file = f"figures/{_plain(sheet)}-{name}.svg"
        (folder / file).write_text(charts.svg(figure), encoding="utf-8")
        blocks.append(Figure(file, charts.describe(figure), ""))
        _close(figure)
    return blocks


def _close(figure: Any) -> None:
    """Free the drawing: a long document has many."""
    figure.clear()


def _plain(name: str) -> str:
    return "".join(c if c.isascii() and (c.isalnum() or c == "_") else "-" for c in name)[:80]


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


def _pictures(facts: Facts, sheet: str) -> list[Block]:
    every = [p for p in facts.pictures if p.line.body["sheet"] == sheet]
    if not every:
        return []
    blocks: list[Block] = [Photos(tuple(picture(p.line, p.small) for p in every[:PHOTOS_OF_A_SHEET]))]
    if len(every) > PHOTOS_OF_A_SHEET:
        text = f"{counted(len(every) - PHOTOS_OF_A_SHEET, 'more photograph')} of this sheet in tables/photos.csv"
        blocks.append(Paragraph(sentence(text), "small"))
    return blocks


def picture(line: Line, small: str) -> Photo:
    body = line.body
    place = f", {body['position']}" if body["position"] else ""
    caption = f"{body['caption'] or 'Photograph'}{place}. {day(line.at)}, entry {line.seq}"
    said = body["caption"] or f"no description was given{place}"
    return Photo(small, f"Photograph: {said}", sentence(caption))
