"""What disturbing a joint will cost, told before it is done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from restonb.errors import RecordError
from restonb.measure import Reading
from restonb.record._journal import AsOf, Record
from restonb.record.bodies import DISTURBANCES, what_to_write
from restonb.record.views import in_force, joint_states, newest

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["Impact", "SheetImpact", "ToBuy", "ToTighten", "impact"]


@dataclass(frozen=True, slots=True)
class SheetImpact:
    """A sheet whose readings the disturbance spoils, and how long it took last time.

    `run_seconds` is the template's own time, None where it never ran well; `bench_seconds` the time from the
    first to the last of its readings in force taken on their newest day, None where that says nothing.
    """

    sheet: str
    characteristics: tuple[str, ...]
    readings: int
    chain: tuple[str, ...]
    run_seconds: float | None = None
    bench_seconds: float | None = None


@dataclass(frozen=True, slots=True)
class ToTighten:
    """A group of fasteners that must be tightened again. `torque` is as planned, '' where no plan says."""

    joint: str
    what: str
    count: int
    torque: str
    treatment: str


@dataclass(frozen=True, slots=True)
class ToBuy:
    """What does not go back in. `count` is 0 where the plan does not say how many."""

    joint: str
    what: str
    count: int = 0
    thread: str = ""


@dataclass(frozen=True, slots=True)
class Impact:
    """What it means to disturb a joint: nothing of this has happened yet."""

    joint: str
    what: str
    opened: tuple[str, ...]
    """The joint, and those that rest on it and must come off first; in the order of opening."""
    measure_again: tuple[SheetImpact, ...]
    tighten: tuple[ToTighten, ...]
    buy: tuple[ToBuy, ...]

    @property
    def seconds(self) -> float:
        """The time that its sheets took last time, bench and run together, as far as known."""
        return sum((s.run_seconds or 0.0) + (s.bench_seconds or 0.0) for s in self.measure_again)


def impact(record: Record, build: Build, joint: str, what: str, as_of: AsOf = None) -> Impact:
    """What is spoiled and what must be redone if `joint` is loosened, removed or replaced.

    To remove or replace it, everything that rests on it comes off first (what the record has as apart is off
    already); to loosen it, only its own fasteners are touched. Readings taken over it are spoiled either way,
    and so are those over every other joint that must be opened for it.
    Raises BuildError for an unknown joint, RecordError for an unknown `what`.
    """
    if what not in DISTURBANCES:
        raise RecordError(f"a joint is not {what!r}: {what_to_write(what, DISTURBANCES)}")
    known = build.joints
    key = known.get(joint).key
    upto = record.upto(as_of)
    states = joint_states(record, known, upto)
    opened = [key]
    if what != "loosened":
        opened += [other for other in known.resting_on(key) if states[other].state != "apart"]
    opened.reverse()  # what was closed last comes off first
    tighten, buy = [], []
    for name in reversed(opened):
        entry = known.joints[name]
        for group in entry.fasteners:
            torque = group.torque.write() if group.torque else ""
            tighten.append(ToTighten(name, group.what, group.count, torque, group.treatment or entry.treatment))
            if group.replace_on_removal:  # used once: slackened is spoiled, whether it comes out or not
                buy.append(ToBuy(name, group.what, group.count, group.thread))
        if what != "loosened":
            buy += [ToBuy(name, part) for part in entry.replace_on_removal]
    chains: dict[str, tuple[str, ...]] = {}
    for name in reversed(opened):
        chains = {**known.relying_on(name), **chains}
    runs = newest(record, "good", upto)
    sheets = []
    for sheet, chain in chains.items():
        readings = in_force(record, sheet, as_of=upto)
        if readings or sheet in runs:
            run = runs.get(sheet)
            sheets.append(
                SheetImpact(
                    sheet,
                    tuple(dict.fromkeys(r.characteristic for r in readings)),
                    len(readings),
                    chain,
                    run.seconds if run else None,
                    _bench_seconds(readings),
                )
            )
    return Impact(key, what, tuple(opened), tuple(sheets), tuple(tighten), tuple(buy))


def _bench_seconds(readings: list[Reading]) -> float | None:
    if not readings:
        return None
    times = [datetime.fromisoformat(r.at) for r in readings if r.at[:10] == readings[-1].at[:10]]
    spread = (max(times) - min(times)).total_seconds()
    return spread or None
