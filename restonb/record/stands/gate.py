"""Ready for the road? What the record leaves open for anything marked safety; a statement, never a certificate."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from restonb.record.stands.open_ends import OpenEnd
from restonb.record.stands.stale import SheetStanding
from restonb.record.views import JointState
from restonb.words import listed_places as listed

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["STATEMENT", "Gate", "gates"]

STATEMENT = (
    "This is a statement about what the record holds, not a certificate of roadworthiness. The maker's manual, "
    "local codes and licensed practice decide."
)
NOTHING_MARKED = "nothing is marked safety in the spec book or in joints.toml, so the record cannot say"


class Gate(NamedTuple):
    """Whether nothing marked safety is left open. `blocking` says what is; `others` what is open beside that.

    `marked` is False where nothing is marked safety at all: then nothing can block a subsystem, and the whole
    machine is never said to be ready.
    """

    subsystem: str
    """'' is the whole machine."""
    ready: bool
    blocking: tuple[str, ...]
    others: tuple[str, ...]
    marked: bool = True
    statement: str = STATEMENT


def gates(
    build: Build, sheets: Mapping[str, SheetStanding], joints: Mapping[str, JointState], ends: Iterable[OpenEnd]
) -> tuple[Gate, dict[str, Gate]]:
    """The gate of the whole machine, and of each subsystem."""
    where = _subsystems(build, sheets)
    safe = _safety_joints(build, sheets)
    found: list[tuple[str, bool, str]] = []
    for each_sheet in sheets.values():
        found += [(each_sheet.subsystem, blocks, text) for blocks, text in _of_sheet(build, each_sheet)]
    for end in ends:
        sheet = sheets.get(end.sheet or "")
        blocks = end.joint in safe or (sheet is not None and sheet.safety)
        if end.kind == "retighten" and not end.due:
            blocks = False
        subsystems = {sheet.subsystem} if sheet else where.get(end.joint or "", {""})
        found += [(subsystem, blocks, end.text) for subsystem in sorted(subsystems)]
    for key, joint_entry in build.joints.joints.items():
        if joint_entry.safety and not joints[key].state:
            found += [(name, True, f"{key}: no state was ever entered") for name in sorted(where.get(key, {""}))]
    marked = {s.subsystem for s in sheets.values() if s.safety}
    marked |= {name for k, j in build.joints.joints.items() if j.safety for name in where.get(k, {""})}
    names = sorted({name for name, _, _ in found} | {s.subsystem for s in sheets.values()} | marked - {""})
    each = {name: _gate(name, [f for f in found if f[0] == name], name in marked) for name in names if name}
    return _gate("", found, bool(marked)), each


def _gate(name: str, found: list[tuple[str, bool, str]], marked: bool) -> Gate:
    blocking = tuple(dict.fromkeys(text for _, blocks, text in found if blocks))
    others = tuple(dict.fromkeys(text for _, blocks, text in found if not blocks))
    if not marked and not name:
        blocking = (NOTHING_MARKED, *blocking)
    return Gate(name, not blocking, blocking, others, marked)


def _of_sheet(build: Build, sheet: SheetStanding) -> Iterator[tuple[bool, str]]:
    """Every reason why a sheet is not settled, and whether it blocks."""
    rows = {row.key: row for row in build.specs if row.sheet == sheet.sheet}
    for reason in sheet.reasons:
        yield sheet.safety, f"{sheet.sheet}: {reason.state}: {reason.text}"
    if sheet.run is None:
        return
    if sheet.failed is not None:
        yield False, f"{sheet.sheet}: a later run on {sheet.failed.at[:10]} failed: {sheet.failed.reason}"
    # A template that is about safety says itself what keeps it open where the spec book has no row that could.
    holds = bool(sheet.run.filed.get("safety")) and not any(row.safety for row in rows.values())
    yield from ((holds, f"{sheet.sheet}: {text}") for text in sheet.left_open)
    judged = set()
    said: dict[tuple[str, str], list[str]] = {}
    for row in sheet.settled:
        key, word = str(row.get("characteristic", "")), str(row.get("verdict", ""))
        judged.add(key)
        if word == "inside" or (word == "not measured" and key not in rows):
            continue
        if (key, row.get("position")) in sheet.read_since:
            word = "read since it was run, so run it again"
        said.setdefault((key, word), []).append(str(row.get("position", "")))
    settled = {(str(r.get("characteristic", "")), str(r.get("position", ""))) for r in sheet.settled}
    for key, position in sheet.not_measured:
        told = (key, position) in settled or (key in judged and rows[key].positions.startswith("repeat"))
        if not told:
            said.setdefault((key, "not measured"), []).append(position)
    filed = {str(row.get("characteristic", "")): bool(row.get("safety")) for row in sheet.settled}
    for (key, word), positions in said.items():
        safety = rows[key].safety if key in rows else filed[key]
        where = f"{sheet.sheet}: {listed(((key, position) for position in positions), None)}"
        if word != "no limit":
            yield safety, f"{where}: {word}"
        elif safety:
            yield False, f"{where}: marked safety, but no limit is given"
    unmeasured = {key for key, word in said if word == "not measured"}
    for key, spec in rows.items():
        if spec.safety and key not in judged and key not in unmeasured:
            yield True, f"{sheet.sheet}: {key}: no verdict was filed"


def _safety_joints(build: Build, sheets: Mapping[str, SheetStanding]) -> set[str]:
    """Joints marked safety, what they rest on, and what sheets with safety rows rely on."""
    safe = {key for key, joint in build.joints.joints.items() if joint.safety}
    for sheet in sheets.values():
        if sheet.safety:
            safe |= set(build.joints.relied_on(sheet.sheet))
    stack = list(safe)
    while stack:
        for other in build.joints.joints[stack.pop()].rests_on:
            if other not in safe:
                safe.add(other)
                stack.append(other)
    return safe


def _subsystems(build: Build, sheets: Mapping[str, SheetStanding]) -> dict[str, set[str]]:
    """The subsystems of each joint: its own, and those of every sheet that relies on it."""
    found = {key: {joint.subsystem} for key, joint in build.joints.joints.items() if joint.subsystem}
    for name in build.joints.sheets:
        subsystem = sheets[name].subsystem if name in sheets else ""
        for key in build.joints.relied_on(name):
            found.setdefault(key, set()).add(subsystem)
    return {key: names - {""} or {""} for key, names in found.items()}
