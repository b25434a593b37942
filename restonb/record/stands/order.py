"""In which order joints can be closed and sheets measured: what carries first, and measured as soon as it can be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from restonb.errors import RecordError
from restonb.record._journal import AsOf, Record
from restonb.record.views import joint_states

if TYPE_CHECKING:
    from restonb.record.stands.whole import Standing
    from restonb.stated import Build

__all__ = ["ClosingStep", "closing_order", "steps"]


class ClosingStep(NamedTuple):
    """One step: `what` is 'close' (a joint) or 'measure' (a sheet).

    `open` are the joints that are still open then: for a joint, those that cannot be closed before it; for a
    sheet, those that rest on what it relies on, better left open until its result is good.
    """

    what: str
    name: str
    open: tuple[str, ...] = ()


def closing_order(
    record: Record, build: Build, opened: Iterable[str] = (), as_of: AsOf = None, found: Standing | None = None
) -> tuple[ClosingStep, ...]:
    """The steps from how things stand now to everything closed and measured.

    Joints that are apart, dry-fitted or temporary are to be closed; so are those in `opened` (about to be), and
    everything that rests on what is apart or in `opened`. Sheets that rely on any of these, or that must be
    measured again, are to be measured. `found` is the standing as of then, where it is known already. Raises BuildError for an unknown joint, RecordError where joints rest
    on each other in a ring.
    """
    from restonb.record.stands.whole import standing

    opened = [build.joints.get(key).key for key in opened]
    states = joint_states(record, build.joints, as_of)
    known = build.joints.joints
    wanted = {key for key in known if states[key].state and not states[key].closed} | set(opened)
    for key in [k for k in known if states[k].state == "apart"] + opened:
        wanted |= set(build.joints.resting_on(key))
    found = found or standing(record, build, as_of)
    sheets: dict[str, tuple[str, ...]] = {}
    for name, sheet in found.sheets.items():
        if set(build.joints.relied_on(name)) & wanted or sheet.state == "measure again":
            sheets[name] = build.joints.sheets.get(name, ())
    rests = {key: joint.rests_on for key, joint in known.items()}
    return steps([key for key in known if key in wanted], rests, sheets)


def steps(
    joints: Sequence[str], rests_on: Mapping[str, Sequence[str]], sheets: Mapping[str, Sequence[str]]
) -> tuple[ClosingStep, ...]:
    """An order of closing `joints` and measuring `sheets` (sheet -> joints that it relies on).

    A joint comes after everything that it rests on, directly or through joints that stay closed. A sheet comes
    at once when the last joint that it relies on is closed, so that a result outside its limits opens as
    little as possible again; the sheet that needs the fewest more joints is led up to first. Ties stay in the
    order given. Raises RecordError where joints rest on each other in a ring.
    """
    among = set(joints)
    reach = {name: _reach(name, rests_on) for name in {*joints, *(j for on in sheets.values() for j in on)}}
    below = {joint: reach[joint] & among for joint in joints}
    needs = {name: {j for on in relied for j in (on, *reach[on])} & among for name, relied in sheets.items()}
    closed: set[str] = set()
    found: list[ClosingStep] = []
    waiting = dict.fromkeys(sheets)

    def close(joint: str) -> None:
        still = tuple(other for other in joints if other not in closed and joint in below[other])
        closed.add(joint)
        found.append(ClosingStep("close", joint, still))
        measure()

    def measure() -> None:
        for name in [n for n in waiting if needs[n] <= closed]:
            del waiting[name]
            on = set(sheets[name])
            still = tuple(o for o in joints if o not in closed and on & reach[o])
            found.append(ClosingStep("measure", name, still))

    measure()
    while waiting:
        nearest = min(waiting, key=lambda name: len(needs[name] - closed))
        close(next(j for j in joints if j in needs[nearest] - closed and below[j] <= closed))
    while len(closed) < len(joints):
        close(next(j for j in joints if j not in closed and below[j] <= closed))
    return tuple(found)


def _reach(joint: str, rests_on: Mapping[str, Sequence[str]]) -> set[str]:
    """Everything that a joint rests on, directly or through others."""
    seen: set[str] = set()
    stack = list(rests_on.get(joint, ()))
    while stack:
        other = stack.pop()
        if other not in seen:
            seen.add(other)
            stack.extend(rests_on.get(other, ()))
    if joint in seen:
        raise RecordError(f"{joint} rests on itself through others: correct rests_on in joints.toml")
    return seen
