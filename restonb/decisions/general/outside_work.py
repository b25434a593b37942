"""Work that leaves the house: what to ask of the shop, what came back, and whether it is accepted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, TypeAlias

from restonb.bench._look import Cell, chip
from restonb.decisions._words import at_places
from restonb.measure import Characteristic, Instrument, Reading, Verdict, Verdicts, check, derived, expand
from restonb.measure.verdict_table import limits_text, value_text
from restonb.record import Entry
from restonb.record.jobs import job_of

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["Job", "Round", "charted", "compared", "demands", "jobs", "next_steps", "open_jobs", "timeline"]

Rows: TypeAlias = list[tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Round:
    """What was measured between two of its journeys: 'before it left', or 'back 2025-11-20'."""

    name: str
    verdicts: Verdicts


@dataclass(frozen=True, slots=True)
class Job:
    """One piece of outside work with its entries, and the readings of its sheet before and after."""

    what: str
    sheet: str
    steps: tuple[Entry, ...]
    rows: tuple[Characteristic, ...]
    rounds: tuple[Round, ...]

    @property
    def state(self) -> str:
        return str(self.steps[-1].body["state"])

    @property
    def on(self) -> str:
        return self.steps[-1].at[:10]

    @property
    def before(self) -> Verdicts:
        return self.rounds[0].verdicts

    @property
    def back(self) -> Verdicts:
        """The readings since it last came back; none where it did not, or was not measured."""
        return self.rounds[-1].verdicts if len(self.rounds) > 1 else Verdicts(())


def jobs(entries: Iterable[Entry], readings: Sequence[Reading], build: Build, name: str = "") -> list[Job]:
    """Work that was sent out, oldest first; with a `name`, those whose description holds it.

    `entries`: the work entries of the record; `readings`: all that were not struck.
    """
    grouped: dict[tuple[str | None, ...], list[Entry]] = {}
    for entry in entries:
        if entry.body["state"]:
            grouped.setdefault(job_of(entry.body, grouped), []).append(entry)
    found = []
    for (what, _, sheet, _), steps in grouped.items():
        if what and name.casefold() in what.casefold():
            mine = [r for r in readings if sheet and r.sheet == sheet]
            rows = _rows(list(build.specs.sheet(sheet)) if sheet in build.specs.sheets else [], mine)
            rounds = _rounds(steps, rows, mine, build.instruments, build.rule)
            found.append(Job(what, sheet or "", tuple(steps), rows, rounds))
    return found


def _rows(rows: Sequence[Characteristic], readings: Sequence[Reading]) -> tuple[Characteristic, ...]:
    """Rows that bear on the part: those that were read and those worked out from them; all, where none was read yet."""
    read = {r.characteristic for r in readings}
    kept = [row for row in rows if row.key in read or ((d := derived(row.positions)) and read.issuperset(d.of))]
    return tuple(kept or rows)


def _rounds(
    steps: Sequence[Entry], rows: Sequence[Characteristic], readings: Sequence[Reading],
    instruments: Mapping[str, Instrument], rule: str,
) -> tuple[Round, ...]:  # fmt: skip
    """Cut the readings at its journeys: before it left, and after each return."""
    left = next((s.seq for s in steps if s.body["state"] == "sent"), steps[0].seq)
    returns = [s for s in steps if s.body["state"] == "returned"]
    if not returns and steps[-1].body["state"] != "sent":  # back and accepted in one entry
        returns = [steps[-1]] if left != steps[-1].seq else []
    ends = [*(s.seq for s in returns[1:]), None][: len(returns)]
    found = [Round("before it left", _judged(rows, [r for r in readings if r.seq < left], instruments, rule))]
    for step, end in zip(returns, ends, strict=True):
        again = [r for r in readings if r.seq > step.seq and (end is None or r.seq < end)]
        accepted = next((s.seq for s in steps if s.seq > step.seq and s.body["state"] == "accepted"), None)
        inspected = [r for r in again if accepted is None or r.seq < accepted]
        found.append(Round(f"back {step.at[:10]}", _judged(rows, inspected, instruments, rule)))
    return tuple(found)


def _judged(
    rows: Sequence[Characteristic], readings: Sequence[Reading], instruments: Mapping[str, Instrument], rule: str
) -> Verdicts:
    """Verdicts on what these readings hold; a row without any of them is left out."""
    found: list[Verdict] = []
    by_key = {row.key: row for row in rows}
    for row in rows:
        asked = derived(row.positions)
        keys = asked.of if asked else (row.key,)
        mine = [r for r in readings if r.characteristic in keys]
        if mine:
            base = tuple(by_key[k] for k in (asked.of if asked else ()) if k in by_key)
            found += check(row, mine, instruments, rule, base=base).rows
    return Verdicts(tuple(found))


def timeline(job: Job) -> Rows:
    """Date, what happened, remark."""
    return [(s.at[:10], s.body["state"], s.body["note"]) for s in job.steps]


def demands(job: Job, instruments: Mapping[str, Instrument]) -> Rows:
    """What is agreed in writing: characteristic, places, limit, measured with, source."""
    rows: Rows = []
    for row in job.rows:
        limit = limits_text(Verdict(row, "", "not measured"))
        if limit == "none":
            continue
        asked = derived(row.positions)
        places = f"worked out: {row.positions}" if asked else f"{len(expand(row.positions))} places: {row.positions}"
        gauge = instruments.get(row.instrument or "")
        rows.append((row.what or row.key, "once" if row.positions == "once" else places, limit,
                     gauge.what if gauge else "", row.source or "no source given"))  # fmt: skip
    return rows


def compared(job: Job) -> list[tuple[str, tuple[str, ...], Rows]]:
    """Caption, heads and rows for each characteristic: position by position, the value and verdict of each round.

    Once something was measured on return, what was not is left out: the shop did not touch it.
    """
    at = [{(v.characteristic.key, v.position): v for v in r.verdicts} for r in job.rounds]
    keys = dict.fromkeys(key for found in (at[1:] if any(at[1:]) else at) for key in found)
    tables: dict[str, tuple[str, tuple[str, ...], Rows]] = {}
    for key in keys:
        told = [found.get(key) for found in at]
        one = next(v for v in told if v is not None)
        heads = ("position", *(r.name for r in job.rounds))
        caption = f"{one.characteristic.what or key[0]}: {limits_text(one)}"
        _, _, rows = tables.setdefault(key[0], (caption, heads, []))
        rows.append(("once" if one.position == "once" else one.position, *(_cell(v) for v in told)))
    return list(tables.values())


def _cell(verdict: Verdict | None) -> str:
    word = chip(verdict.verdict if verdict else "not measured")
    value = value_text(verdict) if verdict else ""
    return Cell(f"{value} {word}".strip(), f"{escape(value)} {word.html}")


def charted(job: Job) -> tuple[list[Verdicts], list[str]]:
    """Rounds that can be drawn beside each other, and their names: those in which something was measured."""
    drawn = [r for r in job.rounds if any(v.value is not None for v in r.verdicts)]
    return ([r.verdicts for r in drawn], [r.name for r in drawn]) if len(drawn) > 1 else ([], [])


def open_jobs(found: Iterable[Job]) -> list[Job]:
    """Those that are not accepted."""
    return [job for job in found if job.state != "accepted"]


def next_steps(found: Sequence[Job]) -> list[str]:
    """Job by job: accept it, send it back, or measure it first."""
    if not found:
        return [
            "No work is entered as sent out. Before a part leaves, measure it, agree the limits in writing, and enter it as sent."
        ]
    return [f"{job.what}: {_decision(job)}" for job in found]


def _decision(job: Job) -> str:
    measured = [v for v in job.back if v.value is not None]
    if job.state == "sent":
        known = "measured before it left" if any(v.value is not None for v in job.before) else (
            "not measured before it left, so that nothing can be compared")  # fmt: skip
        return f"away since {job.on}, {known}."
    if job.state == "sent back":
        return f"sent back on {job.on}, with the readings that it was outside at ({_outside(job)})."
    if not job.sheet:
        what = "accepted" if job.state == "accepted" else "returned"
        return f"{what} on {job.on}; it names no sheet, so nothing was held against a limit."
    if job.state == "accepted":
        if not measured:
            return f"accepted on {job.on} without a reading of ours."
        if job.back.word == "inside":
            return f"accepted on {job.on}: {_all(measured)} inside."
        return f"accepted on {job.on} although {_told(job)}."
    if not measured:
        return (f"back since {job.on}: measure it before it is paid in full or fitted, cleaned, at room temperature, "
                "with the occasion 'back from outside work'.")  # fmt: skip
    if any(v.verdict == "outside" for v in job.back):
        return f"send it back: {_told(job)}. Send the table of readings along."
    if any(v.verdict == "too close to call" for v in job.back):
        return f"do not accept it yet: {_told(job)}; compare gauges with the shop, or use one with a smaller error."
    if any(v.verdict == "not measured" for v in job.back):
        return f"measure what is left: {at_places(job.back, 'not measured')}."
    return f"accept it: {_all(measured)} inside. Enter it as accepted."


def _all(measured: Sequence[object]) -> str:
    return "the one value is" if len(measured) == 1 else f"all {len(measured)} values"


def _outside(job: Job) -> str:
    return at_places(job.back, "outside") or "no reading of ours says where"


def _told(job: Job) -> str:
    words = [f"{_places(job.back, word)} {word}" for word in ("outside", "too close to call", "not measured")
             if any(v.verdict == word for v in job.back)]  # fmt: skip
    return "; ".join(words) or "nothing has a limit"


def _places(rows: Verdicts, word: str) -> str:
    """'bore of the right cylinder (depth 70mm / axis A, ...)': what, and where."""
    at: dict[str, list[str]] = {}
    for v in rows:
        if v.verdict == word:
            at.setdefault(v.characteristic.what or v.characteristic.key, []).append(v.position)
    return "; ".join(what if places == ["once"] else f"{what} ({', '.join(places)})" for what, places in at.items())
