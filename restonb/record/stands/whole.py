"""Everything that `status` shows, in one value."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.record._journal import AsOf, Record
from restonb.record.stands.evidence import gather
from restonb.record.stands.gate import Gate, gates
from restonb.record.stands.open_ends import OpenEnd, ends_of
from restonb.record.stands.stale import SheetStanding, judge_sheet
from restonb.record.views import JointState

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["Standing", "standing"]


class Standing(NamedTuple):
    """Where the build stands as of entry `seq`, on the day `on`: sheets in the order of the spec book."""

    seq: int
    on: str
    sheets: dict[str, SheetStanding]
    joints: dict[str, JointState]
    open_ends: tuple[OpenEnd, ...]
    gate: Gate
    """Of the whole machine."""
    gates: dict[str, Gate]
    """Of each subsystem."""

    def in_state(self, state: str) -> tuple[SheetStanding, ...]:
        """The sheets in that state: 'good', 'out of date', 'in doubt', 'measure again', 'failed', 'not run'."""
        return tuple(sheet for sheet in self.sheets.values() if sheet.state == state)

    def as_data(self) -> dict[str, Any]:
        """JSON-ready, without the bodies of the runs."""
        return {
            "seq": self.seq,
            "on": self.on,
            "sheets": [
                {
                    "sheet": s.sheet,
                    "subsystem": s.subsystem,
                    "state": s.state,
                    "safety": s.safety,
                    "reasons": [r._asdict() for r in s.reasons],
                    "run": s.run.seq if s.run else None,
                    "run_at": s.run.at if s.run else None,
                    "folder": s.run.folder if s.run else None,
                    "failed_later": s.failed.seq if s.failed else None,
                    "verdicts": dict(s.verdicts),
                    "outside": s.with_verdict("outside"),
                    "too_close_to_call": s.with_verdict("too close to call"),
                    "not_measured": s.not_measured,
                    "left_open": s.left_open,
                }
                for s in self.sheets.values()
            ],
            "joints": [j._asdict() for j in self.joints.values()],
            "open_ends": [e._asdict() for e in self.open_ends],
            "gate": self.gate._asdict(),
            "gates": {name: g._asdict() for name, g in self.gates.items()},
        }


def standing(record: Record, build: Build, as_of: AsOf = None) -> Standing:
    """What is good, what must be run or measured again and why, what is open, and whether safety is settled.

    The record is seen as of that date; spec book, joints and instruments are always today's, since files keep
    no history.
    """
    evidence = gather(record, build, as_of)
    book: dict[str, list[Any]] = {}
    for row in build.specs:
        book.setdefault(row.sheet, []).append(row)
    names = dict.fromkeys((*book, *build.joints.sheets, *evidence.good, *evidence.failed))
    names = {name: None for name in names if name in book or name not in build.not_fitted}
    sheets = {name: judge_sheet(evidence, build, name, book.get(name, ())) for name in names}
    ends = ends_of(record, build, evidence.joints, evidence.upto, evidence.today)
    whole, each = gates(build, sheets, evidence.joints, ends)
    return Standing(evidence.upto, evidence.today.isoformat(), sheets, evidence.joints, ends, whole, each)
