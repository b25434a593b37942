"""restonb status: in one screen what is good, what must be done again and why, and what is open."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from restonb.build import Build
from restonb.cli.common import add_as_of, add_build, add_json, build_of, print_json
from restonb.record import Gate, OpenEnd, Record, SheetStanding, Standing, closing_order, standing

EXAMPLE = """examples:
  restonb status
  restonb status --tree                           what rests on what
  restonb status --as-of 2026-03-14
Answers 0 when nothing marked safety is left open, else 1.
"""

MARKS = {"good": "+", "out of date": "~", "in doubt": "?", "measure again": "!", "failed": "x", "not run": "-"}
"""A shape beside each word, so that a narrow glance finds what matters."""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("--tree", action="store_true", help="the joints, what rests on what, and their states")
    command.add_argument("--all", action="store_true", help="every line, also of what is long")
    add_as_of(command)
    add_build(command)
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    build = build_of(args)
    with Record.open(build) as record:
        found = standing(record, build, args.as_of)
        if args.json:
            print_json(found.as_data())
        elif args.tree:
            print("\n".join(tree(build, found)))
        else:
            print("\n".join(screen(build, record, found, None if args.all else 8, args.as_of)))
    return 0 if found.gate.ready else 1


def screen(build: Build, record: Record, found: Standing, most: int | None, as_of: str | None) -> Iterator[str]:
    """The whole of it; lists longer than `most` are cut and say so."""
    yield f"{build.name}, on {found.on}, entry {found.seq}"
    for state in ("good", "out of date", "measure again", "in doubt", "failed", "not run"):
        sheets = found.in_state(state)
        if sheets:
            yield f"\n{MARKS[state]} {state}: " + (
                ", ".join(s.sheet for s in sheets) if state in ("good", "not run") else ""
            )
        if state not in ("good", "not run"):
            for sheet in sheets:
                yield from _reasons(sheet, most)
    yield from _listed("outside limits", [_places(s, "outside") for s in found.sheets.values()], most)
    yield from _listed("too close to call", [_places(s, "too close to call") for s in found.sheets.values()], most)
    yield from _listed("not measured", [_unmeasured(s) for s in found.sheets.values()], most)
    if found.open_ends:
        yield "\nopen ends, oldest first:"
        yield from _cut([f"  since {end.at[:10]}: {_labelled(end)}" for end in found.open_ends], most)
    if found.in_state("measure again"):
        steps = closing_order(record, build, as_of=as_of)
        if steps:
            yield "\nin this order: " + "; ".join(f"{step.what} {step.name}" for step in steps)
    yield from _gate(found, most)


def _labelled(end: OpenEnd) -> str:
    """What is open, with the label tied on it."""
    return f"{end.text} (label: {end.label})" if end.label and end.label not in end.text else end.text


def _reasons(sheet: SheetStanding, most: int | None) -> Iterator[str]:
    yield f"  {sheet.sheet}"
    yield from _cut([f"    {reason.text}" for reason in sheet.reasons], most)


def _places(sheet: SheetStanding, verdict: str) -> str:
    return _by_characteristic(sheet.sheet, sheet.with_verdict(verdict))


def _unmeasured(sheet: SheetStanding) -> str:
    return _by_characteristic(sheet.sheet, sheet.not_measured)


def _by_characteristic(sheet: str, places: tuple[tuple[str, str], ...]) -> str:
    groups: dict[str, list[str]] = {}
    for characteristic, position in places:
        groups.setdefault(characteristic, []).append(position)
    named = [f"{key} ({', '.join(p for p in at if p != 'once') or 'once'})" for key, at in groups.items()]
    return f"{sheet}: {', '.join(named)}" if named else ""


def _listed(title: str, lines: list[str], most: int | None) -> Iterator[str]:
    lines = [f"  {line}" for line in lines if line]
    if lines:
        yield f"\n{title}:"
        yield from _cut(lines, most)


def _cut(lines: list[str], most: int | None) -> Iterator[str]:
    yield from lines[:most]
    if most is not None and len(lines) > most:
        yield f"{' ' * (len(lines[0]) - len(lines[0].lstrip()))}and {len(lines) - most} more; 'restonb status --all' lists them"


def _gate(found: Standing, most: int | None) -> Iterator[str]:
    yield "\nready for the road: " + ("nothing marked safety is left open" if found.gate.ready else "no")
    for name, gate in found.gates.items():
        yield f"  {name}: {_word(gate)}"
        yield from _cut([f"    {line}" for line in gate.blocking], most)
    yield f"  {found.gate.statement}"


def _word(gate: Gate) -> str:
    if not gate.marked:
        return "nothing is marked safety"
    return "yes" if gate.ready else f"no, {len(gate.blocking)} left"


def tree(build: Build, found: Standing) -> Iterator[str]:
    """Every joint below what it rests on; a joint that rests on several stands below each."""
    joints = build.joints.joints
    above: dict[str, list[str]] = {key: [] for key in joints}
    for key, joint in joints.items():
        for below in joint.rests_on:
            above[below].append(key)
    sheets: dict[str, list[str]] = {key: [] for key in joints}
    for sheet, relied in build.joints.sheets.items():
        for key in relied:
            sheets[key].append(sheet)
    for key, joint in joints.items():
        if not joint.rests_on:
            yield from _branch(key, "", "", above, sheets, found)


def _branch(
    key: str, lead: str, next_lead: str, above: dict[str, list[str]], sheets: dict[str, list[str]], found: Standing
) -> Iterator[str]:
    state = found.joints[key].state or "no state entered"
    standing_of = [
        f"{MARKS[found.sheets[s].state]} {s} ({found.sheets[s].state})" for s in sheets[key] if s in found.sheets
    ]
    yield f"{lead}{key}: {state}" + (f"   {', '.join(standing_of)}" if standing_of else "")
    for i, child in enumerate(above[key]):
        last = i == len(above[key]) - 1
        yield from _branch(
            child, next_lead + ("└─ " if last else "├─ "), next_lead + ("   " if last else "│  "), above, sheets, found
        )
