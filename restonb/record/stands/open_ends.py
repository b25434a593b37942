"""What is only loosely, temporarily or not yet in place, oldest first."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from restonb.record._journal import AsOf, Entry, Record
from restonb.record.jobs import Job, job_of
from restonb.record.meters import usage_totals
from restonb.record.stands.evidence import day_of_view
from restonb.record.stands.torques import torque_ends
from restonb.record.views import UNSTRUCK, JointState, joint_states, unstruck

if TYPE_CHECKING:
    from restonb.quantity import Quantity
    from restonb.stated import Build

__all__ = ["OpenEnd", "ends_of", "open_ends", "open_torques"]


class OpenEnd(NamedTuple):
    """One thing that is not finished. `kind`: joint, waiting, retighten, torque, doubt, part or work.

    `due` says that it could be seen to now: the cure is over, the distance is run. `until` is a date where one
    was given. `blocks`: whether it keeps the machine off the road; None is 'as what it belongs to': where its joint
    or its sheet is about safety.
    """

    kind: str
    what: str
    text: str
    at: str
    seq: int
    label: str = ""
    joint: str | None = None
    sheet: str | None = None
    until: str | None = None
    due: bool = True
    blocks: bool | None = None


def open_ends(record: Record, build: Build, as_of: AsOf = None) -> tuple[OpenEnd, ...]:
    """Everything dry-fitted, temporary or apart; waiting for a part or a cure; off its planned torque, or tightened with a
    wrench in doubt; to be tightened again; parts not fitted; work not accepted. Oldest first.
    """
    upto = record.upto(as_of)
    return ends_of(record, build, joint_states(record, build.joints, upto), upto, day_of_view(record, as_of))


def open_torques(record: Record, build: Build, as_of: AsOf = None) -> tuple[OpenEnd, ...]:
    """What torques leave open, or left open once: kinds 'torque' and 'doubt'. What was put right or accepted is not due."""
    upto = record.upto(as_of)
    ends = torque_ends(record, build, joint_states(record, build.joints, upto), upto)
    return tuple(sorted(ends, key=lambda end: (end.seq, end.kind)))


def ends_of(record: Record, build: Build, states: dict[str, JointState], upto: int, day: date) -> tuple[OpenEnd, ...]:
    """The same, where the joint states are worked out already."""
    ends = [
        *_joints(states, day),
        *_undone(record, build, states, upto),
        *torque_ends(record, build, states, upto),
        *_retightening(record, build, states, upto, day),
        *_parts(record, upto),
        *_work(record, upto),
    ]
    return tuple(sorted(ends, key=lambda end: (end.seq, end.kind)))


def _joints(states: dict[str, JointState], day: date) -> Iterator[OpenEnd]:
    for state in states.values():
        if state.waiting:
            over = state.until is not None and state.until <= day.isoformat()
            yield OpenEnd(
                "waiting",
                state.joint,
                f"{state.joint} ({state.state}) {_waiting(state, over)}",
                state.at,
                state.seq,
                state.label,
                state.joint,
                until=state.until,
                due=over,
            )
        elif state.state and not state.closed:
            text = f"{state.joint} has been {state.state} since {state.at[:10]}"
            yield OpenEnd(
                "joint",
                state.joint,
                text + (f": {state.why}" if state.why else ""),
                state.at,
                state.seq,
                state.label,
                state.joint,
                until=state.until,
            )


def _waiting(state: JointState, over: bool) -> str:
    if over:
        ended = "was waiting for a part that was due" if state.waiting == "part" else "had a cure time that ended"
        return f"{ended} on {state.until}"
    word = "is waiting for a part" if state.waiting == "part" else "is curing"
    return word + (f" until {state.until}" if state.until else "")


def _undone(record: Record, build: Build, states: dict[str, JointState], upto: int) -> Iterator[OpenEnd]:
    """Joints entered as closed before something that they rest on came off: they cannot have stayed closed."""
    rows = record.rows(
        f"""
        SELECT joint, max(seq) FROM said WHERE kind <> 'reading' AND kind IN ('joint', 'disturb')
          AND (state = 'apart' OR (kind = 'disturb' AND json_extract(body, '$.what') <> 'loosened'))
          AND {UNSTRUCK} GROUP BY joint
        """,
        {"upto": upto},
    )
    off = dict(rows)
    for lower in [key for key in build.joints.joints if key in off]:
        for key in build.joints.resting_on(lower):
            state = states[key]
            if state.closed and state.seq < off[lower]:
                yield OpenEnd(
                    "joint",
                    key,
                    f"{key} is entered as {state.state}, but {lower}, which it rests on, came off "
                    f"after that (entry {off[lower]}): enter how it is now",
                    state.at,
                    state.seq,
                    state.label,
                    key,
                )


def _parts(record: Record, upto: int) -> Iterator[OpenEnd]:
    newest: dict[tuple[str | None, ...], Entry] = {}
    for part in unstruck(record, "part", upto):
        body = part.body
        newest[tuple(body[k] for k in ("what", "thread", "length", "class", "joint"))] = part
    for part in newest.values():
        body = part.body
        if body["state"] != "fitted":
            size = " ".join(body[k] for k in ("thread", "length", "class") if body[k])
            name = f"{body['quantity']} x {body['what']}" + (f" {size}" if size else "")
            yield OpenEnd(
                "part",
                body["what"],
                f"{name}: {body['state']} on {part.at[:10]}",
                part.at,
                part.seq,
                joint=body["joint"],
            )


def _work(record: Record, upto: int) -> Iterator[OpenEnd]:
    newest: dict[Job, Entry] = {}
    for work in unstruck(record, "work", upto):
        body = work.body
        if body["state"]:
            newest[job_of(body, newest)] = work
    for (_, place, sheet, joint), work in newest.items():
        body = work.body
        if body["state"] != "accepted":
            where = f" ({place})" if place else ""
            still = {"sent": "sent out", "returned": "returned, not yet accepted", "sent back": "sent back"}
            yield OpenEnd(
                "work",
                body["what"],
                f"{body['what']}{where}: {still[body['state']]} on {work.at[:10]}",
                work.at,
                work.seq,
                joint=joint,
                sheet=sheet,
                due=body["state"] == "returned",
            )


# -- tightening again --------------------------------------------------------------------------------------


def _retightening(
    record: Record, build: Build, states: dict[str, JointState], upto: int, day: date
) -> Iterator[OpenEnd]:
    """Joints whose plan says to tighten again after a distance, running hours or a time.

    It is done when the joint is entered as tightened once more after the machine was used, or when a fastener
    of such an entry says so in its stage.
    """
    planned = {
        key: plans
        for key, joint in build.joints.joints.items()
        if states[key].closed
        and (plans := [p for p in (joint.retighten, *(f.retighten for f in joint.fasteners)) if p is not None])
    }
    if not planned:
        return
    usage = unstruck(record, "usage", upto)
    closings: dict[str, list[Entry]] = {key: [] for key in planned}
    for entry in unstruck(record, "joint", upto):
        key = entry.body["joint"]
        if key in closings and entry.seq >= states[key].disturbed and entry.body["state"] in ("tightened", "final"):
            closings[key].append(entry)
    for key, plans in planned.items():
        first, *later = closings[key]
        if any(_says_so(entry) for entry in later) or any(_used_between(usage, first, e) for e in later):
            continue
        # Of several plans the first to come due counts.
        part, plan, done = max(
            (_share(plan, _done(plan, first, usage, day)) for plan in plans), key=lambda found: found[0]
        )
        so_far = "nothing entered to count from" if done is None else f"{_number_text(done)} {plan.unit} so far"
        yield OpenEnd(
            "retighten",
            key,
            f"{key}: tighten again after {_number_text(plan.value)} {plan.unit} ({so_far})"
            + (", which is due" if part >= 1 else ""),
            first.at,
            first.seq,
            states[key].label,
            key,
            due=part >= 1,
        )


def _share(plan: Quantity, done: float | None) -> tuple[float, Quantity, float | None]:
    """How much of the plan is used up, 1 is 'due'."""
    if done is None:
        return -1.0, plan, None
    return (done / plan.value if plan.value > 0 else 1.0), plan, done


def _done(plan: Quantity, first: Entry, usage: list[Entry], day: date) -> float | None:
    """How much of the plan's unit has gone by since an entry; None where nothing is entered to tell."""
    from restonb.quantity import convert

    running = plan.kind == "time" and any(u.body["unit"] == "h" for u in usage)
    if plan.kind == "time" and not running:  # no hour meter: the calendar
        past = (day - date.fromisoformat(first.at[:10])).days
        return float(convert(float(past), "d", plan.unit))
    meter = usage_totals(usage, "h" if running else "mile")
    if not meter:
        return None
    start = next((total for seq, total in reversed(meter) if seq < first.seq), meter[0][1])
    return float(convert(meter[-1][1] - start, "h" if running else "mile", plan.unit))


def _says_so(entry: Entry) -> bool:
    return any(
        "again" in s or "retight" in s or "re-tight" in s
        for f in entry.body["fasteners"]
        if (s := str(f["stage"]).lower())
    )


def _used_between(usage: list[Entry], first: Entry, later: Entry) -> bool:
    """The odometer or the hour meter moved on between the two."""
    for unit in ("mile", "h"):
        meter = usage_totals(usage, unit)
        between = [total for seq, total in meter if first.seq < seq < later.seq]
        start = [total for seq, total in meter if seq < first.seq][-1:] or between[:1]
        if any(total > before for before in start for total in between):
            return True
    return False


def _number_text(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 10 or value == int(value) else f"{value:.1f}"
