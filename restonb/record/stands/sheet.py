"""Where one sheet stands: whether its filed result is current, every row's word, and all that keeps it from settled."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.measure import Characteristic, derived
from restonb.record.filed import open_lines, verdict_word
from restonb.record.stands.ages import ages_today
from restonb.record.stands.evidence import Evidence, Key
from restonb.record.stands.left import Left, Place, left_of, worst_word
from restonb.record.stands.open_ends import OpenEnd
from restonb.record.stands.spoils import is_repeated, one_place
from restonb.record.stands.stale import Reason, marks_of, readings_of, reasons_of, state_of
from restonb.record.views import Run

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["SheetStanding", "is_safety", "judge_sheet"]


class SheetStanding(NamedTuple):
    """Where one sheet stands. `run` is its newest good run, `failed` a run that failed after that.

    `word` is the one word for it, of STANDINGS, the same wherever it is shown; `left` is everything that keeps it from
    'settled'. `state` says only whether the filed result is current.
    """

    sheet: str
    subsystem: str
    state: str
    reasons: tuple[Reason, ...] = ()
    run: Run | None = None
    failed: Run | None = None
    safety: bool = False
    verdicts: Mapping[str, int] = MappingProxyType({})
    """How many rows of the filed result have each verdict word."""
    settled: tuple[dict[str, Any], ...] = ()
    """The filed verdict rows, as filed; ages as they are today."""
    judged: tuple[dict[str, Any], ...] = ()
    """Rows of the spec book that the filed result is silent about: judged now, from the readings in force."""
    not_measured: tuple[Place, ...] = ()
    """Places of the spec book that have no reading in force."""
    read_since: tuple[Place, ...] = ()
    """Places that the filed result calls 'not measured', and that were read after it."""
    word: str = "settled"
    left: tuple[Left, ...] = ()
    marks: Mapping[Place, str] = MappingProxyType({})
    """The verdict rows that may not be shown as they were filed: 'measure again', 'in doubt' or 'out of date'."""
    behind: Mapping[Place, frozenset[Place]] = MappingProxyType({})
    """The places whose readings each verdict row comes from."""

    def row_word(self, characteristic: str, position: str, verdict: str = "") -> str:
        """The word to show for one row: 'measure again' or 'in doubt' where its readings are, else its verdict.

        `verdict` is that of the row as it is shown, where it was judged anew; without it the filed one counts, which is
        'out of date' where its place was read since. What is in doubt and outside stays outside. '' is 'no such row'.
        """
        mark = self.marks.get((characteristic, position), "")
        if mark == "measure again":
            return mark
        shown = verdict or self._filed_verdict(characteristic, position)
        if mark == "in doubt" and shown not in ("outside", "not measured", ""):
            return mark
        return mark if mark == "out of date" and not verdict else shown

    def is_newer(self, characteristic: str, position: str) -> bool:
        """Whether the readings of that row are not those that the filed result took."""
        return self.marks.get((characteristic, position)) == "out of date"

    def _filed_verdict(self, characteristic: str, position: str) -> str:
        for row in (*self.settled, *self.judged):
            if (row.get("characteristic"), row.get("position")) == (characteristic, position):
                return verdict_word(row)
        return ""

    def rows_of(self, places: Iterable[Place]) -> tuple[Place, ...]:
        """The verdict rows that come from the readings at these places."""
        wanted = set(places)
        return tuple(row for row, behind in self.behind.items() if behind & wanted)

    @property
    def left_open(self) -> tuple[str, ...]:
        """What the filed result itself says is still to do, in sentences to be shown."""
        return tuple(open_lines(self.run.filed)) if self.run else ()

    @property
    def nothing_measured(self) -> bool:
        """It ran on nothing: no place that it looks at has a reading, and nothing else of the sheet has one."""
        if not self.run or self.judged or any(row.get("verdict") != "not measured" for row in self.settled):
            return False
        return bool(self.settled or self.run.spec or self.run.filed.get("rows_missing"))

    def with_word(self, word: str) -> tuple[Place, ...]:
        """The places whose row has that word now."""
        return tuple(
            (key, position)
            for row in (*self.settled, *self.judged)
            for key, position in [(str(row.get("characteristic", "")), str(row.get("position", "")))]
            if self.row_word(key, position) == word
        )


def judge_sheet(
    evidence: Evidence,
    build: Build,
    sheet: str,
    rows: Iterable[Characteristic],
    ends: Iterable[OpenEnd] = (),
    safe_joints: Iterable[str] = (),
) -> SheetStanding:
    """Where one sheet stands, with every reason; `rows` are its rows of the spec book, `ends` what is open at its joints,
    `safe_joints` the joints that are about safety.
    """
    rows = tuple(rows)
    run = evidence.good.get(sheet)
    failed = evidence.failed.get(sheet)
    if run and failed and failed.seq < run.seq:
        failed = None
    keys = readings_of(evidence, build, sheet, rows, run)
    reasons = reasons_of(evidence, build, sheet, rows, keys, run, failed)
    settled, aged = ages_today(evidence, build, sheet, rows, run.verdicts if run else ())
    reasons += aged
    counts: dict[str, int] = defaultdict(int)
    for row in settled:
        counts[verdict_word(row)] += 1
    judged = tuple(_judged(evidence, build, sheet, rows, settled))
    behind = {_place(row): _behind(evidence, sheet, rows, keys, row) for row in (*settled, *judged)}
    said = marks_of(evidence, build, sheet, keys, run)
    subsystem = rows[0].subsystem if rows else run.subsystem if run else failed.subsystem if failed else ""
    found = SheetStanding(
        sheet,
        subsystem,
        state_of(reasons, run, failed),
        tuple(reasons),
        run,
        failed,
        safety=is_safety(rows, run, failed),
        verdicts=dict(counts),
        settled=settled,
        judged=judged,
        not_measured=tuple(_missing(evidence, sheet, rows)),
        read_since=tuple(_read_since(evidence, run, rows)) if run else (),
        marks={place: word for place, of in behind.items() if (word := _worst_mark(said, of))},
        behind={place: frozenset(key[1:] for key in of) for place, of in behind.items()},
    )
    left = left_of(found, {row.key: row for row in rows}, ends, safe_joints)
    return found._replace(left=left, word=worst_word(left))


def is_safety(rows: Iterable[Characteristic], *runs: Run | None) -> bool:
    """A row is marked, the template says so, or one of its steps does."""
    filed = [run.filed for run in runs if run]
    return (
        any(row.safety for row in rows)
        or any(one.get("safety") for one in filed)
        or any(step.get("safety") for one in filed for step in one.get("steps") or ())
    )


def _place(row: Mapping[str, Any]) -> Place:
    return str(row.get("characteristic", "")), str(row.get("position", ""))


_GRAVITY = ("out of date", "in doubt", "measure again")


def _worst_mark(said: Mapping[Key, str], places: Iterable[Key]) -> str:
    return max((said[key] for key in places if key in said), key=_GRAVITY.index, default="")


def _behind(
    evidence: Evidence,
    sheet: str,
    rows: Iterable[Characteristic],
    keys: Iterable[Key],
    verdict: Mapping[str, Any],
) -> set[Key]:
    """The places that a verdict comes from: its own, those of its readings, those of the rows that it is worked out of."""
    key, position = _place(verdict)
    owner = str(verdict.get("sheet") or sheet)
    patterns = {row.key: row.positions for row in rows}
    pattern = patterns.get(key, "")
    found = {(owner, key, position)}
    found |= {evidence.used[seq] for seq in verdict.get("seqs") or () if seq in evidence.used}
    made = derived(pattern)
    if made is not None and len(found) == 1:  # nothing of it was measured then
        found |= {one for one in keys if one[0] == owner and one[1] in made.of}
    if is_repeated(pattern):
        same = one_place(pattern, position)
        found |= {one for one in keys if one[:2] == (owner, key) and one_place(pattern, one[2]) == same}
    return found


def _judged(
    evidence: Evidence, build: Build, sheet: str, rows: tuple[Characteristic, ...], settled: tuple[dict[str, Any], ...]
) -> Iterator[dict[str, Any]]:
    """Verdicts on what was read and never filed: a sheet that was not run, or a row that no template looks at."""
    filed = {row.get("characteristic") for row in settled}
    unfiled = [row for row in rows if row.key not in filed and _has_limit(row)]
    given = sorted(evidence.force.get(sheet, {}).values(), key=lambda reading: reading.seq)
    sources = {row.key for row in unfiled} | {raw for row in unfiled if (d := derived(row.positions)) for raw in d.of}
    if not any(reading.characteristic in sources for reading in given):
        return
    from restonb.errors import RestonbError
    from restonb.measure import check

    for row in unfiled:
        with suppress(RestonbError):  # a row that was changed under its readings: running the sheet says so
            found = check(row, given, build.instruments, build.rule, base=rows, today=evidence.today).as_data()
            yield from (verdict for verdict in found if verdict["value"] is not None)


def _has_limit(row: Characteristic) -> bool:
    return not (row.lower is None and row.upper is None and row.wear_limit is None)


def _missing(evidence: Evidence, sheet: str, rows: tuple[Characteristic, ...]) -> Iterator[tuple[str, str]]:
    from restonb.errors import PositionError
    from restonb.measure import expand

    force = evidence.force.get(sheet, {})
    for row in rows:
        try:
            positions = expand(row.positions)
        except PositionError:  # worked out from other rows: nothing is measured
            continue
        without = [position for position in positions if (sheet, row.key, position) not in force]
        if row.positions.startswith("repeat") and len(without) < len(positions):
            continue  # one place, measured several times: fewer times than planned is measured all the same
        yield from ((row.key, position) for position in without)


def _read_since(evidence: Evidence, run: Run, rows: tuple[Characteristic, ...]) -> Iterator[tuple[str, str]]:
    """A repeated place is told by any of its readings, what is worked out by those of the row that it is made from."""
    later = [r for r in evidence.force.get(run.sheet, {}).values() if r.seq > run.saw]
    if not later:
        return
    places = {(r.characteristic, r.position) for r in later}
    keys = {r.characteristic for r in later}
    patterns = {row.key: row.positions for row in rows}
    for verdict in run.verdicts:
        key, position = str(verdict.get("characteristic", "")), str(verdict.get("position", ""))
        if verdict.get("verdict") != "not measured":
            continue
        made = derived(patterns.get(key, ""))
        repeated = patterns.get(key, "").startswith("repeat")
        if (key, position) in places or (repeated and key in keys) or (made and made.of and keys.issuperset(made.of)):
            yield key, position
