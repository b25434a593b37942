"""Why a filed result can no longer be relied on: nothing that it rests on may have changed after its readings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from restonb.measure import Characteristic, Reading
from restonb.record.filed import has_steps
from restonb.record.stands.basis import edits
from restonb.record.stands.evidence import Evidence, Key
from restonb.record.stands.spoils import (
    Disturbance,
    Doubt,
    disturbances_under,
    doubt_of,
    is_repeated,
    replaced,
    spoiled_by,
)
from restonb.record.views import Run
from restonb.words import listed_places as listed

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["STATES", "Reason", "marks_of", "readings_of", "reasons_of", "spec_edits", "state_of"]

OLD = "filed by an older restonb, which kept only sentences: run it again"

STATES = ("current", "out of date", "in doubt", "measure again", "failed", "not run")
"""What the filed result of a sheet can be, best first: whether it still says what the record and the files say."""


class Reason(NamedTuple):
    """One reason, in words. `state` is what it makes of the result; `seq` the entry that caused it, if one did."""

    state: str
    text: str
    seq: int = 0
    places: tuple[tuple[str, str], ...] = ()
    """The characteristics and positions that it concerns."""
    chain: tuple[str, ...] = ()
    """From the joint that the sheet relies on, to the one that was disturbed."""
    short: str = ""
    """The text without the places, where it names some."""


def reasons_of(
    evidence: Evidence,
    build: Build,
    sheet: str,
    rows: tuple[Characteristic, ...],
    keys: Mapping[Key, Reading],
    run: Run | None,
    failed: Run | None,
) -> list[Reason]:
    """Every reason why the result of a sheet is not current; `keys` are its readings that count now."""
    reasons = [*_disturbed(evidence, build, sheet, keys, run), *_doubted(evidence, sheet, keys)]
    if run:
        reasons += [*_newer(evidence, sheet, keys, run), *_struck(evidence, run), *spec_edits(build, run, rows)]
        reasons += [Reason("out of date", text) for text in edits(build, run)]
        if not has_steps(run.filed):
            reasons.append(Reason("out of date", OLD))
    elif failed:
        where = f" in cell {failed.cell}" if failed.cell is not None else ""
        why = f": {failed.reason}" if failed.reason else ""
        reasons.insert(0, Reason("failed", f"the run on {failed.at[:10]} failed{where}{why}", failed.seq))
    else:
        reasons.insert(0, Reason("not run", "it was never run"))
    return reasons


def state_of(reasons: Iterable[Reason], run: Run | None, failed: Run | None) -> str:
    """Whether the filed result is current, in one word of STATES."""
    if not run:
        return "failed" if failed else "not run"
    return max((reason.state for reason in reasons), key=STATES.index, default="current")


def readings_of(
    evidence: Evidence, build: Build, sheet: str, rows: tuple[Characteristic, ...], run: Run | None
) -> dict[Key, Reading]:
    """The readings that count now: those in force for this sheet, and at the places that its run looked at."""
    known = {row.key for row in rows}
    keys = {key: r for key, r in evidence.force.get(sheet, {}).items() if not rows or key[1] in known}
    for seq in run.used if run else ():
        key = evidence.used.get(seq)
        if key and key not in keys and (reading := evidence.reading(key)):
            keys[key] = reading
    patterns = {row.key: row.positions for row in rows if is_repeated(row.positions)}
    mine = [r for key, r in keys.items() if key[0] == sheet and key[1] in patterns]
    if not mine:
        return keys
    causes = disturbances_under(build.joints, sheet, evidence.causes)
    spoiled = [r for r in mine if spoiled_by(r, causes)]
    gone = replaced(spoiled, [r for r in mine if r not in spoiled], patterns)
    return {key: reading for key, reading in keys.items() if reading.seq not in gone}


def marks_of(
    evidence: Evidence, build: Build, sheet: str, keys: Mapping[Key, Reading], run: Run | None
) -> dict[Key, str]:
    """Where a reading may not be relied on as it was filed: 'measure again', 'in doubt' or 'out of date', by place."""
    reach = _reach(evidence, build, sheet, keys)
    found = {
        evidence.used[seq]: "out of date"
        for seq in (run.used if run else ())
        if seq in evidence.struck and seq in evidence.used
    }
    for key, reading in keys.items():
        if spoiled_by(reading, reach[key[0]]):
            found[key] = "measure again"
        elif doubt_of(reading, evidence.checks):
            found[key] = "in doubt"
        elif run and reading.seq > run.saw:
            found[key] = "out of date"
    return found


def _reach(evidence: Evidence, build: Build, sheet: str, keys: Iterable[Key]) -> dict[str, list[Disturbance]]:
    """For the readings of each sheet that this one stands on, what disturbed them: its own joints, and theirs."""
    own = disturbances_under(build.joints, sheet, evidence.causes)
    found = {sheet: own}
    for other in {key[0] for key in keys} - {sheet}:
        theirs = disturbances_under(build.joints, other, evidence.causes)
        found[other] = own + [d for d in theirs if d.joint not in {mine.joint for mine in own}]
    return found


def _disturbed(
    evidence: Evidence, build: Build, sheet: str, keys: Mapping[Key, Reading], run: Run | None
) -> Iterator[Reason]:
    """Per joint: it was disturbed after the readings that are in force at these places."""
    reach = _reach(evidence, build, sheet, keys)
    for one in dict.fromkeys(d for group in reach.values() for d in group):
        places = [key for key, reading in keys.items() if one in reach[key[0]] and spoiled_by(reading, [one])]
        said = f"{one.what} on {one.on} (entry {one.seq})"
        if places:
            text = f"{said}, after {_places_text(sheet, places)} {_was(places)} measured{one.because}"
            yield Reason("measure again", text, one.seq, _places(places), one.chain, said)
        elif not keys and run and run.saw < one.seq:
            yield Reason("out of date", f"{said}, after the run{one.because}", one.seq, (), one.chain, said)


def _doubted(evidence: Evidence, sheet: str, keys: Mapping[Key, Reading]) -> Iterator[Reason]:
    """A gauge failed its check: what was measured with it."""
    doubted: dict[Doubt, list[Key]] = defaultdict(list)
    for key, reading in keys.items():
        if doubt := doubt_of(reading, evidence.checks):
            doubted[doubt].append(key)
    for doubt, places in sorted(doubted.items(), key=lambda item: item[0].seq):
        text = f"{doubt}: {_places_text(sheet, places)} {_was(places)} measured with it"
        yield Reason("in doubt", text, doubt.seq, _places(places), (), str(doubt))


def _newer(evidence: Evidence, sheet: str, keys: Mapping[Key, Reading], run: Run) -> Iterator[Reason]:
    places = [key for key, reading in keys.items() if reading.seq > run.saw]
    if places:
        first = min(keys[key].seq for key in places)
        text = f"newer readings: {_places_text(sheet, places)}"
        yield Reason("out of date", text, first, _places(places), (), "newer readings")


def _struck(evidence: Evidence, run: Run) -> Iterator[Reason]:
    gone = [seq for seq in run.used if seq in evidence.struck]
    if gone:
        places = [evidence.used[seq] for seq in gone if seq in evidence.used]
        short = "readings that it used were struck"
        first = min(evidence.struck[seq] for seq in gone)
        yield Reason("out of date", f"{short}: {_places_text(run.sheet, places)}", first, _places(places), (), short)


def spec_edits(build: Build, run: Run, rows: tuple[Characteristic, ...]) -> Iterator[Reason]:
    """Rows of the spec book that say something else than when the template ran."""
    if not run.spec and not has_steps(run.filed):
        return  # it did not keep what it saw
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


def _places(keys: Iterable[Key]) -> tuple[tuple[str, str], ...]:
    return tuple(dict.fromkeys((characteristic, position) for _, characteristic, position in keys))


def _places_text(sheet: str, keys: Iterable[Key]) -> str:
    """Places in one line, with the sheet where it is another."""
    return listed((what if other == sheet else f"{other} {what}", position) for other, what, position in keys)


def _was(keys: Iterable[Key]) -> str:
    return "was" if len(list(keys)) == 1 else "were"
