"""All runs of a sheet side by side, and what was done between them."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import asdict

from restonb.cli.common import print_json
from restonb.errors import RestonbError
from restonb.record import Entry, Record, Rounds, compare_runs, runs
from restonb.stated import Build
from restonb.words import did_you_mean

__all__ = ["answer", "lines"]

LONG = 120
"""Characters of a note that are shown here; the whole of it stays in the record."""


def answer(build: Build, record: Record, sheet: str, as_of: str | None, as_json: bool, full: bool = False) -> int:
    """Print the rounds of a sheet."""
    known = list(dict.fromkeys((*build.specs.sheets, *build.joints.sheets, *(r.sheet for r in runs(record)))))
    if sheet not in known:
        raise RestonbError(f"no sheet '{sheet}': {did_you_mean(sheet, known)}")
    found = compare_runs(record, build, sheet, as_of=as_of)
    if as_json:
        print_json(_data(found))
    elif not found.rounds:
        print(f"{sheet}: it was never run")
    else:
        print("\n".join(lines(found, None if full else _screen())))
    return 0


def _screen() -> int | None:
    """The width of the screen, None where nobody sits at one."""
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns
    except (OSError, ValueError):
        return None


def lines(found: Rounds, wide: int | None = None) -> Iterator[str]:
    """A table of values and verdicts, one column a round, then what was done before each.

    A round like the one before it has no column, and of more than fit on the screen the newest are shown.
    """
    heads = [f"{r.run.at[:10]} #{r.run.seq}" for r in found.rounds]
    rows = [
        [_place(row.characteristic, row.position), *_cells(row.values, row.verdicts, row.U, row.unit)]
        for row in found.rows
    ]
    none = (None,) * len(heads)
    rows += [[_what(found, name), *_cells(values, none, none, unit)] for name, (unit, values) in found.numbers.items()]
    columns = list(zip([found.sheet, *heads], *rows, strict=True))
    alike = [i for i in range(2, len(columns)) if columns[i][1:] == columns[i - 1][1:] and len(columns[i]) > 1]
    shown = [i for i in range(1, len(columns)) if i not in alike]
    widths = [max(map(len, column)) for column in columns]
    left = 0
    while wide and len(shown) > 1 and widths[0] + sum(widths[i] + 2 for i in shown) > wide:
        shown, left = shown[1:], left + 1
    for line in range(len(columns[0])):
        yield "  ".join(f"{columns[i][line]:<{widths[i]}}" for i in (0, *shown)).rstrip()
    if left:
        earlier = "1 earlier round does" if left == 1 else f"{left} earlier rounds do"
        yield f"{earlier} not fit on the screen; with --all every one is shown"
    if alike:
        yield f"nothing changed in: {', '.join(heads[i - 1] for i in alike)}"
    for r in found.rounds:
        if r.before:
            yield f"\nbefore the run of {r.run.at[:10]} (entry {r.run.seq}):"
            yield from (f"  {entry.at[:10]}  {entry_text(entry)}" for entry in r.before)


def _place(characteristic: str, position: str) -> str:
    return characteristic if position == "once" else f"{characteristic} {position}"


def _what(found: Rounds, name: str) -> str:
    """A result in the words of the newest round that has it."""
    numbers = [(r.run.filed.get("numbers") or {}).get(name) or {} for r in found.rounds]
    return next((str(n["what"]) for n in reversed(numbers) if n.get("what")), name)


def entry_text(entry: Entry) -> str:
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
        shown = ("" if verdict else "-") if value is None else _value_text(value, spread, unit)
        cells.append(f"{shown} {verdict or ''}".strip())
    return cells


def _value_text(value: float, spread: float | None, unit: str) -> str:
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
