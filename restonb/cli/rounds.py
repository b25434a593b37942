"""All runs of a sheet side by side, and what was done between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict

from restonb.build import Build
from restonb.cli.common import meant, print_json
from restonb.errors import RestonbError
from restonb.record import Entry, Record, Rounds, compare_runs, runs

__all__ = ["answer", "lines"]

LONG = 120
"""Characters of a note that are shown here; the whole of it stays in the record."""


def answer(build: Build, record: Record, sheet: str, as_of: str | None, as_json: bool) -> int:
    """Print the rounds of a sheet."""
    known = list(dict.fromkeys((*build.specs.sheets, *build.joints.sheets, *(r.sheet for r in runs(record)))))
    if sheet not in known:
        raise RestonbError(f"no sheet '{sheet}': {meant(sheet, known)}")
    found = compare_runs(record, build, sheet, as_of=as_of)
    if as_json:
        print_json(_data(found))
    elif not found.rounds:
        print(f"{sheet}: it was never run")
    else:
        print("\n".join(lines(found)))
    return 0


def lines(found: Rounds) -> Iterator[str]:
    """A table of values and verdicts, one column a round, then what was done before each."""
    heads = [f"{r.run.at[:10]} #{r.run.seq}" for r in found.rounds]
    rows = [
        [f"{row.characteristic} {row.position}", *_cells(row.values, row.verdicts, row.U, row.unit)]
        for row in found.rows
    ]
    none = (None,) * len(heads)
    rows += [[name, *_cells(values, none, none, unit)] for name, (unit, values) in found.numbers.items()]
    table = [[found.sheet, *heads], *rows]
    widths = [max(len(line[i]) for line in table) for i in range(len(heads) + 1)]
    for line in table:
        yield "  ".join(f"{cell:<{width}}" for cell, width in zip(line, widths, strict=True)).rstrip()
    for r in found.rounds:
        if r.before:
            yield f"\nbefore the run of {r.run.at[:10]} (entry {r.run.seq}):"
            yield from (f"  {entry.at[:10]}  {told(entry)}" for entry in r.before)


def told(entry: Entry) -> str:
    """An entry in a few words."""
    body = entry.body
    match entry.kind:
        case "disturb":
            return f"{body['joint']} {body['what']}" + (f": {body['why']}" if body["why"] else "")
        case "joint":
            return f"{body['joint']} {body['state']}" + (f": {body['why']}" if body["why"] else "")
        case "part":
            return f"part {body['state']}: {body['quantity']} x {body['what']}"
        case "work":
            state = f" {body['state']}" if body["state"] else ""
            to = "to" if body["state"] in ("sent", "sent back") else "by"
            return f"work{state}{f' {to} ' + body['who'] if body['who'] else ''}: {body['what']}"
        case "strike":
            return f"entry {body['seq']} struck out: {body['why']}"
        case "usage":
            return f"the meter shows {body['value']} {body['unit']}"
        case "photo":
            return f"photo kept as {body['file']}" + (f": {body['caption']}" if body["caption"] else "")
        case "check":
            return f"{body['instrument']} checked: {'good' if body['good'] else 'not good'}"
        case _:
            text = str(body.get("text", ""))
            return f"{entry.kind}: {text if len(text) <= LONG else text[: LONG - 4].rstrip() + ' ...'}"


def _cells(
    values: tuple[float | None, ...], verdicts: tuple[str | None, ...], spreads: tuple[float | None, ...], unit: str
) -> list[str]:
    """What a person reads: the value where there is one, and the verdict."""
    cells = []
    for value, verdict, spread in zip(values, verdicts, spreads, strict=True):
        shown = ("" if verdict else "-") if value is None else _shown(value, spread, unit)
        cells.append(f"{shown} {verdict or ''}".strip())
    return cells


def _shown(value: float, spread: float | None, unit: str) -> str:
    """With the digits that its uncertainty deserves; where none is known, four figures, and a whole number whole."""
    from restonb.quantity import write

    if spread:
        return write(value, unit, spread)
    return write(value if value == round(value) else float(f"{value:.4g}"), unit)


def _data(found: Rounds) -> dict[str, object]:
    return {
        "sheet": found.sheet,
        "rounds": [
            {
                "entry": r.run.seq,
                "at": r.run.at,
                "before": [{"entry": e.seq, "kind": e.kind, **e.body} for e in r.before],
            }
            for r in found.rounds
        ],
        "rows": [asdict(row) for row in found.rows],
        "numbers": {name: {"unit": unit, "values": values} for name, (unit, values) in found.numbers.items()},
    }
