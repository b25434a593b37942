"""Why a filed result can no longer be relied on: nothing that it rests on may have changed after its readings."""

from __future__ import annotations

from bisect import bisect
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.measure.model import Characteristic, Reading
from restonb.record._journal import Entry
from restonb.record.stands.basis import edits
from restonb.record.stands.evidence import Evidence, Key
from restonb.record.views import Run
from restonb.words import listed_places as listed

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["STATES", "Reason", "SheetStanding", "judge_sheet", "spec_edits"]

STATES = ("good", "out of date", "in doubt", "measure again", "failed", "not run")
"""What a sheet's result can be, best first."""


class Reason(NamedTuple):
    """One reason, in words. `state` is what it makes of the result; `seq` the entry that caused it, if one did."""

    state: str
    text: str
    seq: int = 0
    places: tuple[tuple[str, str], ...] = ()
    """The characteristics and positions that it concerns."""
    chain: tuple[str, ...] = ()
    """From the joint that the sheet relies on, to the one that was disturbed."""


class SheetStanding(NamedTuple):
    """Where one sheet stands. `run` is its newest good run, `failed` a run that failed after that."""

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
    """The filed verdict rows, as filed."""
    judged: tuple[dict[str, Any], ...] = ()
    """Rows of the spec book that the filed result is silent about: judged now, from the readings in force."""
    not_measured: tuple[tuple[str, str], ...] = ()
    """Places of the spec book that have no reading in force."""
    read_since: tuple[tuple[str, str], ...] = ()
    """Places that the filed result calls 'not measured', and that were read after it."""

    @property
    def left_open(self) -> tuple[str, ...]:
        """What the filed result itself says is still to do."""
        return tuple(str(text) for text in self.run.filed.get("open") or ()) if self.run else ()

    @property
    def nothing_measured(self) -> bool:
        """It ran on nothing: no place that it looks at has a reading, and nothing else of the sheet has one."""
        if not self.run or self.judged or any(row.get("verdict") != "not measured" for row in self.settled):
            return False
        return bool(self.settled) or bool(self.run.spec) or any("has no row for it" in text for text in self.left_open)

    def with_verdict(self, word: str) -> tuple[tuple[str, str], ...]:
        """The places whose verdict is that word: as filed, else as judged now."""
        return tuple(
            (str(row.get("characteristic", "")), str(row.get("position", "")))
            for row in (*self.settled, *self.judged)
            if row.get("verdict") == word
        )


def judge_sheet(evidence: Evidence, build: Build, sheet: str, rows: Iterable[Characteristic]) -> SheetStanding:
    """Where one sheet stands, with every reason; `rows` are its rows of the spec book."""
    rows = tuple(rows)
    run = evidence.good.get(sheet)
    failed = evidence.failed.get(sheet)
    if run and failed and failed.seq < run.seq:
        failed = None
    keys = _keys(evidence, sheet, rows, run)
    reasons = [*_disturbed(evidence, build, sheet, keys, run), *_doubted(evidence, sheet, keys)]
    if run:
        reasons += [*_newer(evidence, sheet, keys, run), *_struck(evidence, run), *spec_edits(build, run, rows)]
        reasons += [Reason("out of date", text) for text in edits(build, run)]
    elif failed:
        where = f" in cell {failed.cell}" if failed.cell is not None else ""
        why = f": {failed.reason}" if failed.reason else ""
        reasons.insert(0, Reason("failed", f"the run on {failed.at[:10]} failed{where}{why}", failed.seq))
    else:
        reasons.insert(0, Reason("not run", "it was never run"))
    if not run:
        state = "failed" if failed else "not run"
    else:
        state = max((r.state for r in reasons), key=STATES.index, default="good")
    settled = tuple(run.verdicts) if run else ()
    counts: dict[str, int] = defaultdict(int)
    for row in settled:
        counts[str(row.get("verdict", ""))] += 1
    subsystem = rows[0].subsystem if rows else run.subsystem if run else failed.subsystem if failed else ""
    return SheetStanding(
        sheet,
        subsystem,
        state,
        tuple(reasons),
        run,
        failed,
        safety=any(row.safety for row in rows) or bool(run and run.filed.get("safety")),
        verdicts=dict(counts),
        settled=settled,
        judged=tuple(_judged(evidence, build, sheet, rows, settled)),
        not_measured=tuple(_missing(evidence, sheet, rows)),
        read_since=tuple(_read_since(evidence, run, rows)) if run else (),
    )


def _keys(evidence: Evidence, sheet: str, rows: tuple[Characteristic, ...], run: Run | None) -> dict[Key, Reading]:
    """The readings that count now: those in force for this sheet, and at the places that its run looked at."""
    known = {row.key for row in rows}
    keys = {key: r for key, r in evidence.force.get(sheet, {}).items() if not rows or key[1] in known}
    for seq in run.used if run else ():
        key = evidence.used.get(seq)
        if key and key not in keys and (reading := evidence.reading(key)):
            keys[key] = reading
    return keys


def _disturbed(
    evidence: Evidence, build: Build, sheet: str, keys: Mapping[Key, Reading], run: Run | None
) -> Iterator[Reason]:
    """Per position: a joint relied on was disturbed after the reading that is in force there."""
    chains = {sheet: build.joints.relied_on(sheet)}
    for other in {key[0] for key in keys} - {sheet}:
        chains[other] = build.joints.relied_on(other)
    joints: dict[str, tuple[str, ...]] = {}
    for reach in chains.values():
        joints = {**reach, **joints}
    for joint, chain in joints.items():
        state = evidence.joints.get(joint)
        if state is None or not state.disturbed:
            continue
        places = [
            key
            for key, reading in keys.items()
            if reading.seq < state.disturbed and (joint in chains[sheet] or joint in chains[key[0]])
        ]
        cause = evidence.causes[state.disturbed]
        said = f"{_what_happened(cause)} on {cause.at[:10]} (entry {cause.seq})"
        if places:
            text = f"{said}, after {_listed(sheet, places)} {_was(places)} measured{_because(chain)}"
            yield Reason("measure again", text, cause.seq, _places(places), chain)
        elif not keys and run and run.saw < state.disturbed:
            yield Reason("out of date", f"{said}, after the run{_because(chain)}", cause.seq, (), chain)


def _doubted(evidence: Evidence, sheet: str, keys: Mapping[Key, Reading]) -> Iterator[Reason]:
    """The check next after a reading, or the one last before it, found the instrument bad."""
    doubted: dict[int, list[Key]] = defaultdict(list)
    bad: dict[int, Entry] = {}
    for key, reading in keys.items():
        checks = evidence.checks.get(reading.instrument or "", [])
        after = bisect(checks, reading.seq, key=lambda check: check.seq)
        for check in checks[max(0, after - 1) : after + 1]:
            if not check.body["good"]:
                doubted[check.seq].append(key)
                bad[check.seq] = check
                break
    for seq, places in sorted(doubted.items()):
        check = bad[seq]
        instrument = check.body["instrument"]
        passed = [c for c in evidence.checks[instrument] if c.body["good"] and c.seq < seq]
        since = f"its last good check was on {passed[-1].at[:10]}" if passed else "no good check before it is recorded"
        yield Reason(
            "in doubt",
            f"{instrument} failed its check on {check.at[:10]} (entry {seq}; {since}): "
            f"{_listed(sheet, places)} {_was(places)} measured with it",
            seq,
            _places(places),
        )


def _newer(evidence: Evidence, sheet: str, keys: Mapping[Key, Reading], run: Run) -> Iterator[Reason]:
    places = [key for key, reading in keys.items() if reading.seq > run.saw]
    if places:
        first = min(keys[key].seq for key in places)
        yield Reason("out of date", f"newer readings: {_listed(sheet, places)}", first, _places(places))


def _struck(evidence: Evidence, run: Run) -> Iterator[Reason]:
    gone = [seq for seq in run.used if seq in evidence.struck]
    if gone:
        places = [evidence.used[seq] for seq in gone if seq in evidence.used]
        yield Reason(
            "out of date",
            f"readings that it used were struck: {_listed(run.sheet, places)}",
            min(evidence.struck[seq] for seq in gone),
            _places(places),
        )


def spec_edits(build: Build, run: Run, rows: tuple[Characteristic, ...]) -> Iterator[Reason]:
    """Rows of the spec book that say something else than when the template ran."""
    if not run.spec:
        return
    now = {row.key: row for row in rows}
    edited = [k for k, row in now.items() if k in run.spec and build.specs.digest(row) != run.spec[k]]
    for word, keys in (
        ("edited", edited),
        ("added", [k for k in now if k not in run.spec]),
        ("taken out", [k for k in run.spec if k not in now]),
    ):
        if keys:
            text = f"the spec book was changed: {', '.join(keys)} {word}"
            yield Reason("out of date", text, 0, tuple((k, "") for k in keys))


def _judged(
    evidence: Evidence, build: Build, sheet: str, rows: tuple[Characteristic, ...], settled: tuple[dict[str, Any], ...]
) -> Iterator[dict[str, Any]]:
    """Verdicts on what was read and never filed: a sheet that was not run, or a row that no template looks at."""
    filed = {row.get("characteristic") for row in settled}
    unfiled = [row for row in rows if row.key not in filed and _has_limit(row)]
    given = sorted(evidence.force.get(sheet, {}).values(), key=lambda reading: reading.seq)
    if not unfiled or all(reading.characteristic in filed for reading in given):
        return
    from restonb.errors import RestonbError
    from restonb.measure.verdicts import check

    for row in unfiled:
        with suppress(RestonbError):  # a row that was changed under its readings: running the sheet says so
            found = check(row, given, build.instruments, build.rule, base=rows).as_data()
            yield from (verdict for verdict in found if verdict["value"] is not None)


def _has_limit(row: Characteristic) -> bool:
    return not (row.lower is None and row.upper is None and row.wear_limit is None)


def _missing(evidence: Evidence, sheet: str, rows: tuple[Characteristic, ...]) -> Iterator[tuple[str, str]]:
    from restonb.errors import PositionError
    from restonb.measure.positions import expand

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
    from restonb.measure.positions import derived

    places = {(r.characteristic, r.position) for r in later}
    keys = {r.characteristic for r in later}
    patterns = {row.key: row.positions for row in rows}
    for verdict in run.verdicts:
        key, position = str(verdict.get("characteristic", "")), str(verdict.get("position", ""))
        if verdict.get("verdict") != "not measured":
            continue
        made = derived(patterns.get(key, ""))
        repeated = patterns.get(key, "").startswith("repeat")
        if (key, position) in places or (repeated and key in keys) or (made is not None and keys.issuperset(made.of)):
            yield key, position


def _what_happened(cause: Entry) -> str:
    joint = cause.body["joint"]
    if cause.kind == "disturb":
        return f"{joint} was {cause.body['what']}"
    return f"{joint} went back to {cause.body['state']}"


def _because(chain: tuple[str, ...]) -> str:
    return f": it relies on {', which rests on '.join(chain)}" if len(chain) > 1 else ""


def _places(keys: Iterable[Key]) -> tuple[tuple[str, str], ...]:
    return tuple(dict.fromkeys((characteristic, position) for _, characteristic, position in keys))


def _listed(sheet: str, keys: Iterable[Key]) -> str:
    """Places in one line, with the sheet where it is another."""
    return listed((what if other == sheet else f"{other} {what}", position) for other, what, position in keys)


def _was(keys: Iterable[Key]) -> str:
    return "was" if len(list(keys)) == 1 else "were"
