"""All runs of a sheet side by side, and what was done between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict

from restonb.build import Build
from restonb.cli.common import print_json
from restonb.errors import RestonbError
from restonb.record import Entry, Record, Rounds, compare_runs

__all__ = ["answer", "lines"]


def answer(build: Build, record: Record, sheet: str, as_of: str | None, as_json: bool) -> int:
    """Print the rounds of a sheet."""
    known = list(dict.fromkeys((*build.specs.sheets, *build.joints.sheets)))
    if sheet not in known:
        raise RestonbError(f"no sheet '{sheet}'; write one of {', '.join(known)}")
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
    rows = [[f"{row.characteristic} {row.position}", *_cells(row.values, row.verdicts, row.unit)] for row in found.rows]
    rows += [[name, *_cells(values, (None,) * len(values), unit)] for name, (unit, values) in found.numbers.items()]
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
            return f"work{' by ' + body['who'] if body['who'] else ''}: {body['what']}"
        case "strike":
            return f"entry {body['seq']} struck out: {body['why']}"
        case "check":
            return f"{body['instrument']} checked: {'good' if body['good'] else 'not good'}"
        case _:
            return f"{entry.kind}: {body.get('text', '')}"


def _cells(values: tuple[float | None, ...], verdicts: tuple[str | None, ...], unit: str) -> list[str]:
    from restonb.quantity import write

    shown = ["-" if v is None else write(v, unit) for v in values]
    return [f"{v} {word}" if word else v for v, word in zip(shown, verdicts, strict=True)]


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
