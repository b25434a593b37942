"""Ready for the road? What the record leaves open for anything marked safety; a statement, never a certificate."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, NamedTuple

from restonb.record.stands.open_ends import OpenEnd
from restonb.record.stands.sheet import SheetStanding

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["NOTHING_SAYS_SO", "STATEMENT", "Gate", "gates", "safety_joints"]

STATEMENT = (
    "This is a statement about what the record holds, not a certificate of roadworthiness. The maker's manual, "
    "local codes and licensed practice decide."
)
NOTHING_SAYS_SO = (
    "nothing here says so: no row of the spec book, no template and no joint of joints.toml is marked safety"
)


class Gate(NamedTuple):
    """Whether everything marked safety is settled. `blocking` says what is not; `others` what is open beside that.

    `marked` is False where nothing is marked safety at all: then nothing says that it is ready, and `ready` is False.
    """

    subsystem: str
    """'' is the whole machine."""
    ready: bool
    blocking: tuple[str, ...]
    others: tuple[str, ...]
    marked: bool = True
    statement: str = STATEMENT


def gates(
    build: Build, sheets: Mapping[str, SheetStanding], ends: Iterable[OpenEnd], safe: Iterable[str]
) -> tuple[Gate, dict[str, Gate]]:
    """The gate of the whole machine, and of each subsystem. `ends` is all that is open at joints, `safe` the joints that
    are about safety.
    """
    where, safe = _subsystems(build, sheets), set(safe)
    found: list[tuple[str, bool, str]] = []
    for each in sheets.values():
        found += [(each.subsystem, one.safety, f"{each.sheet}: {one.line}") for one in each.left if one.kind != "end"]
    for end in ends:
        sheet = sheets.get(end.sheet or "")
        blocks = end.joint in safe or (sheet is not None and sheet.safety) if end.blocks is None else end.blocks
        if end.kind == "retighten" and not end.due:
            blocks = False
        subsystems = {sheet.subsystem} if sheet else where.get(end.joint or "", {""})
        found += [(subsystem, blocks, end.text) for subsystem in sorted(subsystems)]
    marked = {s.subsystem for s in sheets.values() if s.safety}
    marked |= {name for k, j in build.joints.joints.items() if j.safety for name in where.get(k, {""})}
    marked |= {name for name, blocks, _ in found if blocks}
    names = sorted({name for name, _, _ in found} | {s.subsystem for s in sheets.values()} | marked - {""})
    each_gate = {name: _gate(name, [f for f in found if f[0] == name], name in marked) for name in names if name}
    return _gate("", found, bool(marked)), each_gate


def _gate(name: str, found: list[tuple[str, bool, str]], marked: bool) -> Gate:
    blocking = tuple(dict.fromkeys(text for _, blocks, text in found if blocks))
    others = tuple(dict.fromkeys(text for _, blocks, text in found if not blocks))
    if not marked and not name:
        blocking = (NOTHING_SAYS_SO, *blocking)
    return Gate(name, marked and not blocking, blocking, others, marked)


def safety_joints(build: Build, sheets: Iterable[str]) -> set[str]:
    """Joints marked safety, what they rest on, and what these sheets, which are about safety, rely on."""
    safe = {key for key, joint in build.joints.joints.items() if joint.safety}
    for sheet in sheets:
        safe |= set(build.joints.relied_on(sheet))
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
