"""restonb status: in one screen what is settled, what must be done again and why, and what is open."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator
from pathlib import Path

from restonb.cli import since, tree
from restonb.cli.common import add_as_of, add_build, add_json, build_of, print_json, record_of
from restonb.record import Gate, OpenEnd, Reason, Record, SheetStanding, Standing, closing_order, standing
from restonb.stated import Build

SHOWN = (
    "stop",
    "outside",
    "failed",
    "measure again",
    "in doubt",
    "out of date",
    "not known",
    "to do",
    "not run",
    "settled",
)
"""The words of a sheet in the order in which a person wants to read them."""

EXAMPLE = """examples:
  restonb status
  restonb status --why                            with every reason against the road
  restonb status --tree                           what rests on what
  restonb status --draw joints.svg                the same, drawn
  restonb status --rounds gearbox_mounting        all runs of a sheet side by side
  restonb status --as-of 2026-03-14
Answers 0 when something is marked safety and all of it is settled, else 1.
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("--tree", action="store_true", help="the joints, what rests on what, and their states")
    command.add_argument("--draw", type=Path, metavar="FILE.svg", help="draw the joints and their states into a file")
    command.add_argument(
        "--rounds", metavar="SHEET", help="all runs of a sheet side by side, and what was done between"
    )
    command.add_argument("--why", action="store_true", help="every reason why it is not ready for the road")
    command.add_argument("--all", action="store_true", help="every line, also of what is long")
    add_as_of(command)
    add_build(command)
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    build = build_of(args)
    with record_of(build) as record:
        if args.rounds:
            from restonb.cli import rounds

            return rounds.answer(build, record, args.rounds, args.as_of, args.json, args.all)
        found = standing(record, build, args.as_of)
        if args.json:
            print_json(found.as_data() | since.data(build, record, args.as_of, found))
        elif args.draw:
            print(tree.draw(build, found, args.draw))
        elif args.tree:
            print(
                "\n".join(tree.lines(build, found)) or f"no joints yet; write them into {build.folder / 'joints.toml'}"
            )
        else:
            most = None if args.all or args.why else 8
            print("\n".join(screen(build, record, found, most, args.as_of, args.why, args.all)))
    return 0 if found.gate.ready else 1


def screen(
    build: Build, record: Record, found: Standing, most: int | None, as_of: str | None, why: bool, full: bool = False
) -> Iterator[str]:
    """The whole of it; lists longer than `most` are cut and say so. With `full` every place is named."""
    yield f"{build.name}, on {found.on}, entry {found.seq}"
    yield from since.lines(build, record, as_of, found)
    if not record.upto(None) and any(build.log.glob("*/*/")):
        yield f"the record is empty, though {build.log} holds runs: put back the record.sqlite that belongs to them"
    if not found.sheets:
        yield f"\nno sheets yet; copy limits from your manual into the files of {build.folder / 'specs'}"
    for word in SHOWN:
        yield from _standing(word, found.with_word(word), most, full)
    yield from _titled_lines("outside limits", [_places(s, "outside") for s in found.sheets.values()], most)
    yield from _titled_lines(
        "too close to call", [_places(s, "too close to call") for s in found.sheets.values()], most
    )
    yield from _titled_lines("not measured", [_unmeasured(s) for s in found.sheets.values()], most)
    if found.open_ends:
        yield "\nopen ends, oldest first:"
        yield from _cut([f"  since {end.at[:10]}: {_labelled(end)}" for end in found.open_ends], most)
    if found.in_state("measure again"):
        steps = closing_order(record, build, as_of=as_of, found=found)
        if steps:
            yield "\nin this order: " + "; ".join(f"{step.what} {step.name}" for step in steps)
    yield from _remarks(build, most)
    yield from _gate(found, most if why else 0, full)


def _standing(word: str, sheets: tuple[SheetStanding, ...], most: int | None, full: bool) -> Iterator[str]:
    """The sheets that stand at one word, and why where that is not told in a list of its own."""
    empty = [s for s in sheets if s.nothing_measured]
    others = [s for s in sheets if not s.nothing_measured]
    details = {s.sheet: lines for s in others if (lines := list(_why(s, most, full)))}
    if others:
        names = ", ".join(_sheet_text(s) for s in others if s.sheet not in details)
        yield f"\n{tree.MARKS[word]} {word}: {names}".rstrip()
    for sheet in others:
        if sheet.sheet in details:
            yield f"  {_sheet_text(sheet)}"
            yield from details[sheet.sheet]
    if others and word == "in doubt":
        yield "  settled by measuring again with a good gauge"
    if empty:
        yield f"\n{tree.MARKS[word]} {word}, was run but nothing is measured yet: {', '.join(s.sheet for s in empty)}"
        if any(not s.not_measured for s in empty):  # the spec book has no rows either
            yield "  if this machine has no such part, name the sheet in build.toml: not_fitted = [...]"


def _sheet_text(sheet: SheetStanding) -> str:
    """'wheels (1 outside, 2 to do)'; the name alone where its word says all."""
    words = [one.word for one in sheet.left]
    counts = {word: words.count(word) for word in SHOWN if word in words}
    if sheet.word in ("settled", "not run") or set(words) == {sheet.word}:
        return sheet.sheet
    return f"{sheet.sheet} ({', '.join(f'{n} {word}' for word, n in counts.items())})"


def _labelled(end: OpenEnd) -> str:
    """What is open, with the label tied on it."""
    return f"{end.text} (label: {end.label})" if end.label and end.label not in end.text else end.text


def _why(sheet: SheetStanding, most: int | None, full: bool) -> Iterator[str]:
    """Why its result is not current, a line for each reason, and what its decision says not to go on with."""
    told = [reason for reason in sheet.reasons if reason.state != "not run"]
    lines = [("" if r.state == sheet.word else f"{r.state}: ") + _reason_text(r, full) for r in told]
    lines += [f"stop: {one.text}" for one in sheet.left if one.word == "stop"]
    if sheet.run and sheet.failed:
        lines.append(f"a later run on {sheet.failed.at[:10]} failed: {sheet.failed.reason}")
    yield from _cut([f"    {line}" for line in lines], most)


def _reason_text(reason: Reason, full: bool = False) -> str:
    """'engine_plates was removed on 2026-05-16 (entry 423), through gearbox_mounting: 12 places': what a joint spoils
    is counted, or named in full."""
    if not reason.chain:
        return f"{reason.short}: {_places_text(reason.places)}" if full and reason.short else reason.text
    text = reason.short
    text += f", through {', '.join(reason.chain[:-1])}" if len(reason.chain) > 1 else ""
    if full and reason.places:
        return f"{text}: {_places_text(reason.places)}"
    several = f": {len(reason.places)} places" if len(reason.places) > 1 else ""
    return text + (several or "".join(f": {_places_text([place])}" for place in reason.places))


def _places_text(places: Iterable[tuple[str, str]]) -> str:
    from restonb.words import listed_places as listed

    return listed(places, None)


def _places(sheet: SheetStanding, verdict: str) -> str:
    return _by_characteristic(sheet.sheet, sheet.with_word(verdict))


def _unmeasured(sheet: SheetStanding) -> str:
    return _by_characteristic(sheet.sheet, sheet.not_measured)


def _by_characteristic(sheet: str, places: tuple[tuple[str, str], ...]) -> str:
    return f"{sheet}: {_places_text(places)}" if places else ""


def _titled_lines(title: str, lines: list[str], most: int | None) -> Iterator[str]:
    lines = [f"  {line}" for line in lines if line]
    if lines:
        yield f"\n{title}:"
        yield from _cut(lines, most)


def _cut(lines: list[str], most: int | None) -> Iterator[str]:
    if not lines:
        return
    yield from lines[:most]
    if most is not None and len(lines) > most:
        yield f"{' ' * (len(lines[0]) - len(lines[0].lstrip()))}and {len(lines) - most} more; 'restonb status --all' lists them"


def _remarks(build: Build, most: int | None) -> Iterator[str]:
    """What the files say that is accepted but worth a look."""
    remarks = [f"  {remark}" for remark in build.warnings]
    if remarks:
        yield "\nworth a look in your files:"
        yield from _cut(remarks, most)


def _gate(found: Standing, most: int | None, full: bool) -> Iterator[str]:
    """The gate of each subsystem; with `most` other than 0 the reasons too."""
    yield f"\nready for the road: {_answer(found.gate)}"
    short = {
        f"{s.sheet}: {r.state}: {r.text}": f"{s.sheet}: {r.state}: {_reason_text(r, full)}"
        for s, r in _each_reason(found)
    }
    for name, gate in found.gates.items():
        yield f"  {name}: {_word(gate)}"
        if most != 0:
            yield from _cut([f"    {short.get(line, line)}" for line in gate.blocking], most)
    if most == 0 and not found.gate.ready:
        yield "  'restonb status --why' gives every reason"
    yield f"  {found.gate.statement}"


def _answer(gate: Gate) -> str:
    if gate.ready:
        return "everything marked safety is settled"
    return "no" if gate.marked else "nothing here says so: no row, template or joint is marked safety"


def _each_reason(found: Standing) -> Iterator[tuple[SheetStanding, Reason]]:
    for sheet in found.sheets.values():
        yield from ((sheet, reason) for reason in sheet.reasons)


def _word(gate: Gate) -> str:
    if not gate.marked:
        return "nothing here says so: nothing is marked safety"
    if gate.ready:
        others = len(gate.others)
        left = f"; {others} other{'s' if others > 1 else ''} {'are' if others > 1 else 'is'}" if others else ""
        return f"nothing marked safety is left open{left}"
    return f"no, {len(gate.blocking)} left"
