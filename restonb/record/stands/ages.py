"""Ages go on after a run is filed: a hose that was inside then may be too old today."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from restonb.errors import RestonbError
from restonb.measure import Characteristic, derived
from restonb.record.filed import verdict_word
from restonb.record.stands.evidence import Evidence
from restonb.record.stands.stale import Reason
from restonb.words import listed_places

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["ages_today"]


def ages_today(
    evidence: Evidence, build: Build, sheet: str, rows: Sequence[Characteristic], filed: Sequence[dict[str, Any]]
) -> tuple[tuple[dict[str, Any], ...], tuple[Reason, ...]]:
    """The filed verdict rows with each age as it is on the day of `evidence`, and why the result is no longer current.

    Only ages whose readings are still in force are taken anew: of any other row its places say what became of it.
    """
    aged = {row.key: row for row in rows if _is_age(row)}
    if not aged or not filed:
        return tuple(filed), ()
    given = sorted(evidence.force.get(sheet, {}).values(), key=lambda reading: reading.seq)
    in_force = {reading.seq for reading in given}
    found: dict[tuple[str, str], dict[str, Any]] = {}
    for row in aged.values():
        with suppress(RestonbError):  # a row that was changed under its readings: the spec book's edit says so
            found |= {_place(v): v for v in _judged(row, rows, given, build, evidence)}
    now: list[dict[str, Any]] = []
    other: list[dict[str, Any]] = []
    for was in filed:
        new = found.get(_place(was))
        seqs = set(was.get("seqs") or ())
        if new is None or not seqs or not seqs <= in_force or not _later(new, was):
            now.append(was)
            continue
        if verdict_word(new) != verdict_word(was):
            other.append(new)
        now.append({**new, "doubt": was.get("doubt", "")})
    return tuple(now), tuple(_reasons(other, evidence))


def _later(new: Mapping[str, Any], filed: Mapping[str, Any]) -> bool:
    """Nothing grows younger: seen as of a day before the run, what was filed counts."""
    value, was = new.get("value"), filed.get("value")
    return value is not None and (was is None or value > was)


def _is_age(row: Characteristic) -> bool:
    asked = derived(row.positions)
    return asked is not None and asked.what == "age"


def _judged(
    row: Characteristic, rows: Sequence[Characteristic], given: Sequence[Any], build: Build, evidence: Evidence
) -> list[dict[str, Any]]:
    from restonb.measure import check

    return check(row, given, build.instruments, build.rule, base=rows, today=evidence.today).as_data()


def _reasons(changed: Iterable[Mapping[str, Any]], evidence: Evidence) -> Iterable[Reason]:
    """One for each verdict that an age has today and had not when it was filed."""
    by_word: dict[str, list[tuple[str, str]]] = {}
    for row in changed:
        by_word.setdefault(str(row["verdict"]), []).append(_place(row))
    for word, places in by_word.items():
        text = f"by {evidence.today} the age has moved on: {listed_places(places)} {'is' if len(places) == 1 else 'are'} {word}"
        yield Reason("out of date", text, 0, tuple(places))


def _place(row: Mapping[str, Any]) -> tuple[str, str]:
    return str(row.get("characteristic", "")), str(row.get("position", ""))
