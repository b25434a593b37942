"""Round after round of the same sheet side by side, and who did what between them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from restonb.record._journal import AsOf, Entry, Record
from restonb.record.filed import verdict_word
from restonb.record.views import Run, runs

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["Round", "RoundRow", "Rounds", "compare_runs"]

_BETWEEN = ("part", "work", "disturb", "joint", "strike", "check", "note")


@dataclass(frozen=True, slots=True)
class RoundRow:
    """One characteristic at one position over all rounds, in the newest round's unit; None where a round has
    none."""

    characteristic: str
    position: str
    what: str
    unit: str
    values: tuple[float | None, ...]
    verdicts: tuple[str | None, ...]
    U: tuple[float | None, ...] = ()
    """Expanded uncertainties of the values, in the same unit."""

    @property
    def flipped(self) -> bool:
        """The verdict is not the same in all rounds that have one."""
        return len({v for v in self.verdicts if v is not None}) > 1


@dataclass(frozen=True, slots=True)
class Round:
    """One run, and what was entered about its sheet since the run before."""

    run: Run
    before: tuple[Entry, ...]

    def of(self, kind: str) -> tuple[Entry, ...]:
        return tuple(entry for entry in self.before if entry.kind == kind)


@dataclass(frozen=True, slots=True)
class Rounds:
    """Any number of runs of one sheet, oldest first. `numbers`: name -> (unit, one value for each round)."""

    sheet: str
    rounds: tuple[Round, ...]
    rows: tuple[RoundRow, ...]
    numbers: dict[str, tuple[str, tuple[float | None, ...]]]

    @property
    def flipped(self) -> tuple[RoundRow, ...]:
        return tuple(row for row in self.rows if row.flipped)


def compare_runs(
    record: Record, build: Build, sheet: str, these: Iterable[Run] | None = None, as_of: AsOf = None
) -> Rounds:
    """All good runs of a sheet (or `these`) side by side, with parts, work, joints, strikes and checks between.

    Between two runs stands what names the sheet, a joint that it relies on, a reading of it, or an instrument
    that it used.
    """
    chosen = [r for r in runs(record, sheet, as_of) if r.good] if these is None else list(these)
    chosen.sort(key=lambda run: run.seq)
    last = chosen[-1].seq if chosen else 0
    relied = set(build.joints.relied_on(sheet))
    events = [e for e in record.entries(_BETWEEN, as_of=last) if last and _concerns(record, e, sheet, relied, chosen)]
    rounds, after = [], 0
    for run in chosen:
        rounds.append(Round(run, tuple(e for e in events if after < e.seq < run.seq)))
        after = run.seq
    return Rounds(sheet, tuple(rounds), _rows(chosen), _numbers(chosen))


def _concerns(record: Record, entry: Entry, sheet: str, relied: set[str], chosen: Sequence[Run]) -> bool:
    body = entry.body
    if entry.kind == "strike":
        target = record.entry(body["seq"])
        if target is None:
            return False
        if target.kind == "reading":
            return bool(target.body["sheet"] == sheet)
        return target.kind in _BETWEEN and _concerns(record, target, sheet, relied, chosen)
    if entry.kind == "check":
        return body["instrument"] in {i for run in chosen for i in _instruments(run)}
    return body.get("sheet") == sheet or body.get("joint") in relied


def _instruments(run: Run) -> set[str]:
    found = set()
    for row in run.verdicts:
        reading = row.get("reading")
        for source in (row, reading if isinstance(reading, dict) else {}):
            if isinstance(source.get("instrument"), str):
                found.add(source["instrument"])
    return found


def _rows(chosen: Sequence[Run]) -> tuple[RoundRow, ...]:
    tables = [{(str(v.get("characteristic")), str(v.get("position"))): v for v in run.verdicts} for run in chosen]
    keys = dict.fromkeys(key for table in reversed(tables) for key in table)
    rows = []
    for key in keys:
        found = [table.get(key) for table in tables]
        newest = next(row for row in reversed(found) if row is not None)
        unit = str(newest.get("unit", ""))
        rows.append(
            RoundRow(
                key[0],
                key[1],
                str(newest.get("what", "")),
                unit,
                tuple(_value(row, unit) for row in found),
                tuple(None if row is None else verdict_word(row) for row in found),
                tuple(_uncertainty(row, unit) for row in found),
            )
        )
    return tuple(rows)


def _value(row: dict[str, Any] | None, unit: str) -> float | None:
    """The value in `unit`: the spec row may have been edited to another one between rounds."""
    if row is None or row.get("value") is None:
        return None
    value, was = float(row["value"]), str(row.get("unit", unit))
    if was == unit:
        return value
    from restonb.quantity import convert, same_kind

    return float(convert(value, was, unit)) if same_kind(was, unit) else None


def _uncertainty(row: dict[str, Any] | None, unit: str) -> float | None:
    """Likewise, as a difference."""
    if row is None or row.get("value") is None or not row.get("U"):
        return None
    from restonb.quantity import convert_difference, same_kind

    was = str(row.get("unit", unit))
    return float(convert_difference(float(row["U"]), was, unit)) if same_kind(was, unit) else None


def _numbers(chosen: Sequence[Run]) -> dict[str, tuple[str, tuple[float | None, ...]]]:
    tables = [dict(run.filed.get("numbers") or {}) for run in chosen]
    found = {}
    for name in dict.fromkeys(name for table in reversed(tables) for name in table):
        unit = next(str(table[name].get("unit", "")) for table in reversed(tables) if name in table)
        found[name] = (unit, tuple(_value(table.get(name), unit) for table in tables))
    return found
