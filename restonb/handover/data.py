"""The data of an export: the entries as they were sealed, and tables worked out from them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from restonb import quantity
from restonb.errors import QuantityError
from restonb.handover.facts import Facts, Line, lines
from restonb.handover.tables import Field, describe, write_table

__all__ = ["write_entries", "write_tables"]


def write_entries(facts: Facts, path: Path) -> None:
    """One entry a line: its digest, what the digest was taken over, its body, and what was taken out if anything was.

    The digest is the SHA-256 of the text of 'sealed'; 'body' in there is the SHA-256 of the body as it was
    entered. So the chain can be followed through an entry with something taken out as through any other.
    """
    with path.open("w", encoding="utf-8", newline="\n") as file:
        for line in lines(facts.record, facts.upto, facts.include):
            sealed = (
                f'{{"at":"{line.at}","body":"{line.body_digest}","kind":"{line.kind}","previous":"{line.previous}",'
                f'"seq":{line.seq}}}'
            )
            body = line.text or json.dumps(line.body, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
            gone = f',"withheld":{json.dumps(line.withheld, separators=(",", ":"))}' if line.withheld else ""
            file.write(f'{{"digest":"{line.digest}","sealed":{sealed},"body":{body}{gone}}}\n')


_SEQ = Field("seq", "integer", "number of the entry")
_AT = Field("at", "datetime", "when it was entered, local time with offset")
_STRUCK = Field("struck_by", "integer", "the entry that struck it out; empty when it still counts")


def _text(*names: str, **what: str) -> tuple[Field, ...]:
    return tuple(Field(name, "string", what.get(name, name.replace("_", " "))) for name in names)


_READINGS = (
    _SEQ, _AT, *_text("sheet", "characteristic", "position"),
    Field("value", "number", "as entered, in the unit beside it"), Field("unit", "string", "unit as entered"),
    Field("ucum", "string", "the same unit in UCUM notation"), Field("typed", "string", "the text that was typed"),
    Field("resolution", "number", "smallest step, in the unit"), *_text("instrument", "occasion"),
    Field("temperature", "number", "of the part, in Cel (UCUM)"), Field("note", "string", "note"), _STRUCK,
)  # fmt: skip
_VERDICTS = (
    *_text("subsystem", "sheet", "standing", "state", "characteristic", "what", "position",
           standing="where the sheet stands, in one word", state="whether the sheet's filed result is current"),
    Field("value", "number", "in force, in the unit beside it"), Field("U", "number", "expanded uncertainty"),
    Field("k", "number", "coverage factor"), Field("unit", "string", "unit"), Field("ucum", "string", "UCUM code"),
    Field("lower", "number", "lower limit"), Field("upper", "number", "upper limit"),
    Field("wear_limit", "number", "wear limit"), Field("verdict", "string", "the verdict"),
    Field("word", "string", "the verdict as far as it may be relied on: 'measure again' or 'in doubt' where it may not"),
    Field("doubt", "string", "why it was in doubt when it was filed"),
    Field("worn_in", "number", "% of the way from the new to the wear limit"),
    Field("safety", "boolean", "marked safety in the spec book"),
    *_text("settle", "source", settle="what would settle it"), Field("seq", "integer", "entry of the reading"),
)  # fmt: skip
_SPECS = (
    *_text("subsystem", "sheet", "characteristic", "what", "positions"), Field("nominal", "number", "nominal"),
    Field("lower", "number", "lower limit"), Field("upper", "number", "upper limit"),
    Field("wear_limit", "number", "wear limit"), Field("unit", "string", "unit"),
    Field("ucum", "string", "UCUM code"), Field("safety", "boolean", "marked safety"), *_text("source"),
)  # fmt: skip
_FASTENERS = (
    _SEQ, _AT, *_text("joint", "state", "why", "label", "waiting", "until", "wrench", "accepted", "position",
                      wrench="what it was tightened with", accepted="why it is accepted as it is"),
    Field("torque", "number", "applied, in the unit beside it"), Field("unit", "string", "unit"),
    Field("ucum", "string", "UCUM code"), *_text("treatment", "stage"), Field("new", "boolean", "a new fastener"),
    _STRUCK,
)  # fmt: skip
_DISTURBS = (_SEQ, _AT, *_text("joint", "what", "why"), _STRUCK)
_PARTS = (
    _SEQ, _AT, *_text("what", "thread", "length", "class"), Field("quantity", "number", "how many"),
    *_text("state"), Field("cost", "number", "cost, where it was asked for"), *_text("currency", "joint", "note"),
    _STRUCK,
)  # fmt: skip
_WORK = (
    _SEQ, _AT, *_text("what", "who", "where", "state"), Field("hours", "number", "hours"),
    Field("cost", "number", "cost, where it was asked for"), *_text("currency", "sheet", "joint", "note"), _STRUCK,
)  # fmt: skip
_RUNS = (
    _SEQ, _AT, *_text("template", "sheet", "subsystem", "state", "reason", "folder", "template_digest"),
    Field("saw", "integer", "the newest entry that it could see"), Field("seconds", "number", "s (UCUM)"),
)  # fmt: skip
_CHECKS = (_SEQ, _AT, *_text("instrument"), Field("good", "boolean", "whether it passed"), *_text("against", "note"),
           _STRUCK)  # fmt: skip
_PHOTOS = (
    _SEQ, _AT, *_text("file", "caption", "sheet", "position", file="copy in this package, '' if there is none"),
    Field("sha256", "string", "of the copy"), Field("original_sha256", "string", "of the original, as recorded"),
    *_text("fault"), _STRUCK,
)  # fmt: skip


def write_tables(facts: Facts, folder: Path, photos: dict[int, dict[str, Any]]) -> None:
    """Every table as CSV, and datapackage.json that describes them. `photos` is what is known of each copy."""
    folder.mkdir()
    tables: dict[str, tuple[str, tuple[Field, ...], Iterator[dict[str, Any]]]] = {
        "readings.csv": ("every reading", _READINGS, _readings(facts)),
        "verdicts.csv": ("every position with its verdict, as it stands", _VERDICTS, _verdicts(facts)),
        "spec_book.csv": ("every characteristic with its limits and their source", _SPECS, _specs(facts)),
        "joints.csv": ("every state that a joint was put into, one row per fastener", _FASTENERS, _fasteners(facts)),
        "disturbances.csv": ("every joint that was taken apart again", _DISTURBS, _plain_rows(facts, "disturb")),
        "parts.csv": ("parts", _PARTS, _plain_rows(facts, "part")),
        "work.csv": ("work done here and outside", _WORK, _plain_rows(facts, "work")),
        "runs.csv": ("templates executed and filed", _RUNS, _runs(facts)),
        "instrument_checks.csv": ("checks of instruments", _CHECKS, _plain_rows(facts, "check")),
        "photos.csv": ("photographs", _PHOTOS, _photos(facts, photos)),
    }
    for name, (_, columns, rows) in tables.items():
        write_table(folder / name, columns, rows)
    described = {name: (what, columns) for name, (what, columns, _) in tables.items()}
    (folder / "datapackage.json").write_text(describe(described, "restoration-record"), encoding="utf-8")


def _standard(facts: Facts, line: Line) -> dict[str, Any]:
    struck = facts.struck.get(line.seq)
    return {"seq": line.seq, "at": line.at, "struck_by": struck.seq if struck else None}


def _plain_rows(facts: Facts, kind: str) -> Iterator[dict[str, Any]]:
    for line in lines(facts.record, facts.upto, facts.include, (kind,)):
        yield {**line.body, **_standard(facts, line)}


def _readings(facts: Facts) -> Iterator[dict[str, Any]]:
    for row in _plain_rows(facts, "reading"):
        yield {**row, "ucum": _ucum(row["unit"])}


def _verdicts(facts: Facts) -> Iterator[dict[str, Any]]:
    for sheet, stands in facts.sheets.items():
        for row in facts.verdicts(sheet):
            yield {
                **row, "sheet": sheet, "subsystem": facts.subsystem(sheet), "ucum": _ucum(row["unit"]),
                "standing": stands.word if stands else "in doubt", "state": stands.state if stands else "in doubt",
            }  # fmt: skip


def _specs(facts: Facts) -> Iterator[dict[str, Any]]:
    for one in facts.build.specs:
        yield {
            "subsystem": one.subsystem, "sheet": one.sheet, "characteristic": one.key, "what": one.what,
            "positions": one.positions, "nominal": one.nominal, "lower": one.lower, "upper": one.upper,
            "wear_limit": one.wear_limit, "unit": one.unit, "ucum": _ucum(one.unit), "safety": one.safety,
            "source": one.source,
        }  # fmt: skip


def _fasteners(facts: Facts) -> Iterator[dict[str, Any]]:
    for row in _plain_rows(facts, "joint"):
        fasteners: list[dict[str, Any]] = row["fasteners"] or [{}]
        for fastener in fasteners:
            unit = fastener.get("unit") or ""
            yield {**row, **fastener, "ucum": _ucum(unit) if unit else ""}


def _runs(facts: Facts) -> Iterator[dict[str, Any]]:
    for run in facts.runs:
        yield {
            "seq": run.seq, "at": run.at, "template": run.template, "sheet": run.sheet,
            "subsystem": run.subsystem, "state": run.state, "reason": run.reason, "folder": run.folder,
            "template_digest": run.template_digest, "saw": run.saw, "seconds": run.seconds,
        }  # fmt: skip


def _photos(facts: Facts, photos: dict[int, dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for row in _plain_rows(facts, "photo"):
        yield {**row, "original_sha256": row["sha256"], "file": "", "sha256": "", **photos.get(row["seq"], {})}


def _ucum(unit: str) -> str:
    try:
        return quantity.unit(unit).ucum
    except QuantityError:
        return ""
