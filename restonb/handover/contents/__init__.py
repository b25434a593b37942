"""From the facts of a build to the document: what stands in it, in which order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from restonb.handover.contents import _history, _joints, _method
from restonb.handover.contents._front import front
from restonb.handover.contents._open import Item, open_items
from restonb.handover.contents._sheet import photos_shown, pictures, sheet_section, state
from restonb.handover.contents._words import cells, day, minute, table, title, word_cell
from restonb.handover.facts import Facts
from restonb.handover.report import Column, Report, Section

__all__ = ["photos_shown", "report_of"]


def report_of(facts: Facts, folder: Path, step: Callable[[str], None] = lambda _: None) -> Report:
    """The document. Drawings are written below `folder`; `step` hears what is being worked on."""
    items = open_items(facts)
    sections = [_subsystem(facts, name, items, folder, step) for name in _subsystems(facts)]
    if sections:
        sections[0] = replace(sections[0], new_page=True)
    rest = [
        _joints.joints_section(facts), _joints.rework_section(facts), _joints.work_section(facts),
        _joints.parts_section(facts), _other_pictures(facts), _history.history_section(facts),
        _method.method_section(facts), _method.instruments_section(facts), _method.about_section(facts),
    ]  # fmt: skip
    name = facts.build.name
    return Report(
        title=name,
        subtitle=f"Restoration record, as of {day(facts.head.at)}",
        made=minute(facts.head.at),
        head_seq=facts.head.seq,
        head_digest=facts.head.digest,
        front=front(facts, items),
        sections=(*sections, *(s for s in rest if s is not None)),
        running=f"{name} · restoration record",
    )


def _subsystems(facts: Facts) -> tuple[str, ...]:
    return tuple(dict.fromkeys(facts.subsystem(sheet) for sheet in facts.sheets))


def _subsystem(facts: Facts, name: str, items: list[Item], folder: Path, step: Callable[[str], None]) -> Section:
    sheets = [sheet for sheet in facts.sheets if facts.subsystem(sheet) == name]
    parts = []
    for sheet in sheets:
        step(title(sheet))
        parts.append(sheet_section(facts, sheet, items, folder))
    rows = [
        cells(title(sheet), word_cell(state(facts, sheet)), str(sum(i.sheet == sheet for i in items) or "–"))
        for sheet in sheets
    ]
    columns = (Column("Sheet", 3.0), Column("Stands at", 1.0), Column("Left", 0.0, True))
    return Section(f"subsystem-{name.replace('_', '-')}", title(name), (table("", columns, rows),), tuple(parts))


def _other_pictures(facts: Facts) -> Section | None:
    """Photographs that belong to no sheet."""
    blocks = pictures(facts, None)
    return Section("photographs", "Photographs", tuple(blocks)) if blocks else None
