"""Everything that `status` shows, in one value."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.record._journal import AsOf, Record
from restonb.record.stands.evidence import Evidence, gather, with_run
from restonb.record.stands.gate import Gate, gates, safety_joints
from restonb.record.stands.open_ends import OpenEnd, ends_of
from restonb.record.stands.sheet import SheetStanding, is_safety, judge_sheet
from restonb.record.views import JointState, Run

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["Standing", "standing", "standing_if_filed"]


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
        """The sheets whose filed result is 'current', 'out of date', 'in doubt', 'measure again', 'failed' or 'not run'."""
        return tuple(sheet for sheet in self.sheets.values() if sheet.state == state)

    def with_word(self, word: str) -> tuple[SheetStanding, ...]:
        """The sheets that stand at that word of STANDINGS."""
        return tuple(sheet for sheet in self.sheets.values() if sheet.word == word)

    def as_data(self) -> dict[str, Any]:
        """JSON-ready, without the bodies of the runs."""
        return {
            "seq": self.seq,
            "on": self.on,
            "sheets": [
                {
                    "sheet": s.sheet,
                    "subsystem": s.subsystem,
                    "word": s.word,
                    "state": s.state,
                    "safety": s.safety,
                    "reasons": [r._asdict() for r in s.reasons],
                    "run": s.run.seq if s.run else None,
                    "run_at": s.run.at if s.run else None,
                    "folder": s.run.folder if s.run else None,
                    "failed_later": s.failed.seq if s.failed else None,
                    "verdicts": dict(s.verdicts),
                    "left": [one._asdict() for one in s.left],
                    "outside": s.with_word("outside"),
                    "too_close_to_call": s.with_word("too close to call"),
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
    """What is settled, what must be run or measured again and why, what is open, and whether safety is settled.

    The record is seen as of that date; spec book, joints and instruments are always today's, since files keep
    no history.
    """
    evidence = gather(record, build, as_of)
    book = _book(build)
    names = dict.fromkeys((*book, *build.joints.sheets, *evidence.good, *evidence.failed))
    names = {name: None for name in names if name in book or name not in build.not_fitted}
    ends, open_now, safe = _ends(record, build, evidence, book)
    sheets = {name: _judge(evidence, build, name, book, open_now, safe) for name in names}
    whole, each = gates(build, sheets, open_now, safe)
    return Standing(evidence.upto, evidence.today.isoformat(), sheets, evidence.joints, ends, whole, each)


def standing_if_filed(
    record: Record, build: Build, sheet: str, filed: Mapping[str, Any], as_of: AsOf = None
) -> SheetStanding:
    """Where a sheet would stand if `filed` were its result, filed now from the record as of then.

    `filed` is what `sheet.file()` hands over; `filed["safety"]`, which the template says, is taken from the result before
    it where it is not given.
    """
    evidence = gather(record, build, as_of)
    before = evidence.good.get(sheet)
    if before and "safety" not in filed and before.filed.get("safety"):
        filed = {**filed, "safety": True}
    book = _book(build)
    rows = book.get(sheet, [])
    run = Run(
        seq=evidence.upto + 1,
        at=evidence.today.isoformat(),
        template=before.template if before else "",
        sheet=sheet,
        subsystem=rows[0].subsystem if rows else before.subsystem if before else "",
        state="good",
        head={"seq": evidence.upto},
        filed=filed,
        spec={row.key: build.specs.digest(row) for row in rows},
    )
    evidence = with_run(record, evidence, run)
    _, open_now, safe = _ends(record, build, evidence, book)
    return _judge(evidence, build, sheet, book, open_now, safe)


def _book(build: Build) -> dict[str, list[Any]]:
    """The rows of the spec book by sheet."""
    book: dict[str, list[Any]] = {}
    for row in build.specs:
        book.setdefault(row.sheet, []).append(row)
    return book


def _ends(
    record: Record, build: Build, evidence: Evidence, book: Mapping[str, list[Any]]
) -> tuple[tuple[OpenEnd, ...], tuple[OpenEnd, ...], set[str]]:
    """What is open at joints; the same with the safety joints of which nothing was ever entered; and the safety joints."""
    ends = ends_of(record, build, evidence.joints, evidence.upto, evidence.today)
    names = dict.fromkeys((*book, *evidence.good, *evidence.failed))
    about_safety = [
        name for name in names if is_safety(book.get(name, ()), evidence.good.get(name), evidence.failed.get(name))
    ]
    silent = tuple(
        OpenEnd("joint", key, f"{key}: no state was ever entered", "", 0, joint=key, blocks=True)
        for key, joint in build.joints.joints.items()
        if joint.safety and not evidence.joints[key].state
    )
    return ends, (*ends, *silent), safety_joints(build, about_safety)


def _judge(
    evidence: Evidence,
    build: Build,
    sheet: str,
    book: Mapping[str, list[Any]],
    ends: Iterable[OpenEnd],
    safe: set[str],
) -> SheetStanding:
    """With what is open at the joints that the sheet relies on; a part to be bought, or work, only where it names the sheet."""
    relied = set(build.joints.relied_on(sheet))
    mine = [end for end in ends if end.sheet == sheet or (end.joint in relied and end.kind not in ("part", "work"))]
    return judge_sheet(evidence, build, sheet, book.get(sheet, ()), mine, safe)
