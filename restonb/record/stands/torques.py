"""Whether joints are tightened to their plan, and with a wrench that was good: what is off it is an open end.

Over-torque is not undone by a smaller figure: the bolt was stretched. It stands until the joint was slackened and the
fastener entered again within its plan, as a new one where it was far over; then it stays in view, and blocks nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sized
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.record._journal import Entry, Record
from restonb.record.against_plan import Off, off_plan, runs_down_hard
from restonb.record.views import JointState, unstruck
from restonb.words import fold

if TYPE_CHECKING:
    from restonb.record.stands.open_ends import OpenEnd
    from restonb.stated import Build, Joint

__all__ = ["OverTorque", "TorqueStanding", "torque_ends", "torque_standing"]

_CLOSED = {"apart": 0, "dry-fitted": 1, "temporary": 1, "tightened": 2, "final": 3}


class OverTorque(NamedTuple):
    """A fastener that was taken over its plan: when, how far, and what was done about it."""

    off: Off
    seq: int
    at: str
    slackened: bool = False
    """The joint was opened after it."""
    settled: str = ""
    """How it was put right, with the date; '' where it was not."""
    accepted: str = ""
    """Why it was accepted as it is."""


class TorqueStanding(NamedTuple):
    """How one joint stands against its plan."""

    joint: str
    off: tuple[Off, ...] = ()
    """What is under, missing or unmatched now."""
    over: tuple[OverTorque, ...] = ()
    """Every fastener that was ever taken over its plan, put right or not."""
    reached: tuple[Mapping[str, Any], ...] = ()
    """What each fastener was last taken to since the joint was opened: position, torque, unit, new, wrench, seq, at."""
    accepted: str = ""
    """Why what is off is accepted, since the joint was last opened."""
    accepted_by: int = 0
    """The entry that says so."""

    def accepts(self, off: Off) -> bool:
        """Whether the acceptance speaks of that: a figure that was entered after it is not accepted."""
        entered = (int(row["entered"]) for row in self.reached if row["position"] == off.position)
        return bool(self.accepted) and self.accepted_by >= max(entered, default=0)


def torque_standing(record: Record, build: Build, as_of: int | None = None) -> dict[str, TorqueStanding]:
    """Of every joint that was entered and that joints.toml has."""
    upto = record.upto(as_of)
    events = sorted((*unstruck(record, "joint", upto), *unstruck(record, "disturb", upto)), key=lambda e: e.seq)
    by_joint: dict[str, list[Entry]] = defaultdict(list)
    for entry in events:
        by_joint[entry.body["joint"]].append(entry)
    return {
        key: _followed(joint, by_joint[key], build)
        for key, joint in build.joints.joints.items()
        if key in by_joint and any(e.kind == "joint" for e in by_joint[key])
    }


def torque_ends(record: Record, build: Build, states: Mapping[str, JointState], upto: int) -> Iterator[OpenEnd]:
    """The open ends that torques leave: kind 'torque' for what is off its plan, 'doubt' for a wrench that failed its check."""
    found = torque_standing(record, build, upto)
    checks: dict[str, list[Entry]] = defaultdict(list)
    if any(row.get("wrench") for stands in found.values() for row in stands.reached):
        for check in unstruck(record, "check", upto):
            checks[check.body["instrument"]].append(check)
    for key, stands in found.items():
        joint, state = build.joints.joints[key], states[key]
        yield from _over(joint, stands, state)
        yield from _now(joint, stands, state)
        yield from _doubted(joint, stands, state, checks)


# -- following one joint through its entries


def _followed(joint: Joint, entries: Iterable[Entry], build: Build) -> TorqueStanding:
    reached: dict[str, dict[str, Any]] = {}
    over: dict[str, list[OverTorque]] = {}
    accepted, accepted_by, level = "", 0, -1
    for entry in entries:
        body = entry.body
        now = 0 if entry.kind == "disturb" else _CLOSED[body["state"]]
        if entry.kind == "disturb" or now < level:
            reached, accepted, accepted_by = {}, "", 0
            over = {name: [o._replace(slackened=True) for o in found] for name, found in over.items()}
        level = now
        if entry.kind == "disturb":
            continue
        rows = [_row(row, entry, reached, joint) for row in body["fasteners"]]
        reached |= {row["position"]: row for row in rows if row["torque"] or row["position"] not in reached}
        _count_over(joint, rows, entry, over, build)
        if why := body.get("accepted"):
            accepted, accepted_by = why, entry.seq
            over = {n: [o if o.settled else o._replace(accepted=why) for o in found] for n, found in over.items()}
    rows = list(reached.values())
    off = [o for o in off_plan(joint, rows, level >= 2, build.instruments) if o.word != "over"]
    flat = sorted((o for found in over.values() for o in found), key=lambda o: o.seq)
    return TorqueStanding(joint.key, tuple(off), tuple(flat), tuple(rows), accepted, accepted_by)


def _row(row: Mapping[str, Any], entry: Entry, before: Mapping[str, Mapping[str, Any]], joint: Joint) -> dict[str, Any]:
    """What was entered for one fastener. A wrench that is not said again is still the one of the last tightening."""
    said = str(row.get("position") or "")
    name = joint.find(said) or said
    wrench = entry.body.get("wrench") or ""
    earlier = before.get(name, {})
    kept = {"wrench": wrench, "seq": entry.seq, "at": entry.at}
    if not wrench and earlier.get("wrench"):
        kept = {key: earlier[key] for key in kept}
    return {**row, "position": name, **kept, "entered": entry.seq}


def _count_over(
    joint: Joint, rows: Iterable[Mapping[str, Any]], entry: Entry, over: dict[str, list[OverTorque]], build: Build
) -> None:
    """New over-torques, and older ones that this entry puts right."""
    rows = list(rows)
    closed = _CLOSED[entry.body["state"]] >= 2
    off = {o.position: o for o in off_plan(joint, rows, closed, build.instruments) if o.word != "missing"}
    for row in rows:
        name = str(row["position"])
        now = off.get(name)
        if now and now.word == "over":
            past = [o for o in over.get(name, []) if o.settled]
            same = [o for o in over.get(name, []) if not o.settled and o.off.entered == now.entered and not o.slackened]
            over[name] = [*past, *(same or [OverTorque(now, entry.seq, entry.at)])]
        elif name in over and row["torque"] and not now and closed:
            over[name] = [_put_right(o, row, entry) for o in over[name]]


def _put_right(found: OverTorque, row: Mapping[str, Any], entry: Entry) -> OverTorque:
    """Slackened, and tightened again to the plan: with a new fastener where it had been far over."""
    if found.settled or not found.slackened or (found.off.far and not row.get("new")):
        return found
    how = "a new one fitted and tightened to the plan" if row.get("new") else "slackened and tightened to the plan"
    return found._replace(settled=f"{how} on {entry.at[:10]} (entry {entry.seq})")


# -- what is open


def _over(joint: Joint, stands: TorqueStanding, state: JointState) -> Iterator[OpenEnd]:
    alike: dict[tuple[str, ...], list[OverTorque]] = defaultdict(list)
    for one in stands.over:
        alike[str(one.seq), one.off.entered, one.settled, one.accepted, str(one.slackened)].append(one)
    for group in alike.values():
        one = group[0]
        at = _named(joint, (o.off.position for o in group))
        band = "" if one.off.far else f" ({one.off.why})"
        said = (
            f"{stands.joint}: {at} {_was(group)} taken to {one.off.entered} on {one.at[:10]} (entry {one.seq}), over the "
            f"{one.off.plan} of joints.toml{band}"
        )
        if one.settled:
            text = f"{said}; {one.settled}"
        elif one.accepted:
            text = f"{said}; accepted: {one.accepted}"
        else:
            nut = " (the run-down torque of a self-locking nut in the figure? accept it with that reason)"
            text = f"{said}: {_advice(one)}" + (nut if runs_down_hard(joint, one.off.position) else "")
        yield _end("torque", stands.joint, text, state, one.at, one.seq, bool(one.settled or one.accepted))


def _advice(one: OverTorque) -> str:
    if not one.slackened and one.off.far:
        return "slacken it, look at bolt and thread, fit a new one, and enter it as new with its torque"
    if not one.slackened:
        return "slacken it, look at bolt and thread, tighten it to the plan, and enter it again"
    if one.off.far:
        return "it was slackened since: look at bolt and thread, fit a new one, and enter it as new with its torque"
    return "it was slackened since: look at bolt and thread, tighten it to the plan, and enter it"


_NOW = {
    "under": ("short of the plan", "tighten to the plan, and enter it"),
    "missing": ("no torque is entered", "enter what each was taken to"),
    "unmatched": (
        "fits no fastener of the plan",
        "enter it under the name that joints.toml has, or put joints.toml right",
    ),
}


def _now(joint: Joint, stands: TorqueStanding, state: JointState) -> Iterator[OpenEnd]:
    alike: dict[tuple[str, ...], list[Off]] = defaultdict(list)
    for off in stands.off:
        if off.word in _NOW:
            alike[off.word, off.entered, off.plan, off.why].append(off)
    for (word, entered, plan, why), group in alike.items():
        at = _named(joint, (off.position for off in group))
        what, do = _NOW[word]
        amount = f"{entered}, " if entered else ""
        beside = f" ({plan}{f'; {why}' if why else ''})" if plan else ""
        fine = all(stands.accepts(off) for off in group)
        text = f"{stands.joint} is {state.state}: {at}: {amount}{what}{beside}"
        text += f"; accepted: {stands.accepted}" if fine else f": {do}"
        yield _end("torque", stands.joint, text, state, state.at, state.seq, fine)


def _doubted(
    joint: Joint, stands: TorqueStanding, state: JointState, checks: Mapping[str, list[Entry]]
) -> Iterator[OpenEnd]:
    """Fasteners that were tightened with a wrench that failed its check, by the rule that holds for readings too."""
    if not state.closed or not checks:
        return
    from restonb.measure import Reading
    from restonb.record.stands.spoils import Doubt, doubt_of

    doubted: dict[Doubt, list[Mapping[str, Any]]] = defaultdict(list)
    for row in stands.reached:
        if not row["torque"]:
            continue
        where = (stands.joint, "torque", str(row["position"]), float(row["torque"]), str(row["unit"]))
        found = doubt_of(Reading(*where, instrument=row["wrench"] or None, seq=row["seq"]), checks)
        if found:
            doubted[found].append(row)
    for doubt, rows in sorted(doubted.items()):
        fine = bool(stands.accepted) and stands.accepted_by > max(doubt.seq, *(int(row["seq"]) for row in rows))
        text = f"{stands.joint}: {_named(joint, (str(row['position']) for row in rows))} {_was(rows)} tightened with a wrench in doubt: {doubt}"
        text += f"; accepted: {stands.accepted}" if fine else ". Tighten it again with a good one, and enter it"
        yield _end("doubt", stands.joint, text, state, doubt.on, doubt.seq, fine)


def _named(joint: Joint, positions: Iterable[str]) -> str:
    """'foot nut 1 ... 4': bare numbers with what they count."""
    names = list(positions)
    planned = joint.planned
    if len(joint.fasteners) == 1 and all(name in planned for name in names):
        what = joint.fasteners[0].what
        return what if len(planned) == 1 else f"{what} {fold(names)}"
    return fold(names)


def _was(some: Sized) -> str:
    return "was" if len(some) == 1 else "were"


def _end(kind: str, joint: str, text: str, state: JointState, at: str, seq: int, fine: bool) -> OpenEnd:
    from restonb.record.stands.open_ends import OpenEnd

    return OpenEnd(kind, joint, text, at, seq, state.label, joint, due=not fine, blocks=False if fine else None)
