"""Everything that a standing is worked out from, read from the record once for all sheets."""

from __future__ import annotations

import json
from collections import defaultdict
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from restonb.measure import Reading
from restonb.record._journal import AsOf, Entry, Record
from restonb.record.views import JointState, Run, in_force, joint_states, newest, struck, unstruck

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["Evidence", "Key", "checks_of", "day_of_view", "gather", "with_run"]

Key = tuple[str, str, str]
"""Sheet, characteristic, position."""


class Evidence(NamedTuple):
    """The record up to entry `upto`, on the day `today`, as far as it bears on what stands."""

    upto: int
    today: date
    good: dict[str, Run]
    failed: dict[str, Run]
    force: dict[str, dict[Key, Reading]]
    """Readings in force, by sheet."""
    used: dict[int, Key]
    """Where the readings that a run used were taken."""
    struck: dict[int, int]
    joints: dict[str, JointState]
    causes: dict[str, Entry]
    """The entry that disturbed each joint last."""
    checks: dict[str, list[Entry]]
    """Checks by instrument, in order."""

    def reading(self, key: Key) -> Reading | None:
        return self.force.get(key[0], {}).get(key)


def gather(record: Record, build: Build, as_of: AsOf = None) -> Evidence:
    """Reads it; a handful of queries, each on an index."""
    upto = record.upto(as_of)
    good = newest(record, "good", upto)
    force: dict[str, dict[Key, Reading]] = defaultdict(dict)
    for reading in in_force(record, as_of=upto):
        force[reading.sheet][reading.sheet, reading.characteristic, reading.position] = reading
    joints = joint_states(record, build.joints, upto)
    return Evidence(
        upto=upto,
        today=day_of_view(record, as_of),
        good=good,
        failed=newest(record, "failed", upto),
        force=dict(force),
        used=_places(record, {seq for run in good.values() for seq in run.used}),
        struck=struck(record, upto),
        joints=joints,
        causes={
            key: found for key, state in joints.items() if state.disturbed and (found := record.entry(state.disturbed))
        },
        checks=checks_of(record, upto),
    )


def checks_of(record: Record, as_of: AsOf = None) -> dict[str, list[Entry]]:
    """The checks of each instrument, oldest first."""
    found: dict[str, list[Entry]] = {}
    for check in unstruck(record, "check", as_of):
        found.setdefault(check.body["instrument"], []).append(check)
    return found


def with_run(record: Record, evidence: Evidence, run: Run) -> Evidence:
    """The same as if that run had been filed."""
    used = evidence.used | _places(record, set(run.used) - evidence.used.keys())
    return evidence._replace(good={**evidence.good, run.sheet: run}, used=used)


def day_of_view(record: Record, as_of: AsOf) -> date:
    """The day that is meant: the clock's, or for an earlier view that of its last entry or date."""
    if as_of is None:
        return record.clock().date()
    if isinstance(as_of, date):
        return date(as_of.year, as_of.month, as_of.day)
    if isinstance(as_of, str) and not as_of.strip().isdigit():
        record.upto(as_of)  # refuses what is not a date
        return date.fromisoformat(as_of.strip()[:10])
    last = record.entry(record.upto(as_of))
    return date.fromisoformat(last.at[:10]) if last else record.clock().date()


def _places(record: Record, seqs: set[int]) -> dict[int, Key]:
    rows = record.rows(
        "SELECT seq, sheet, characteristic, position FROM said"
        " WHERE seq IN (SELECT value FROM json_each(?)) AND kind = 'reading'",
        (json.dumps(sorted(seqs)),),
    )
    return {seq: (sheet, characteristic, position) for seq, sheet, characteristic, position in rows}
