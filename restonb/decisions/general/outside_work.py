"""Work that leaves the house: what to ask of the shop, what came back, and whether it is accepted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeAlias

from restonb.decisions.steps import Step, judged, not_known, settled, to_do
from restonb.measure import (
    WORKED_OUT,
    Characteristic,
    Instrument,
    Reading,
    Verdict,
    Verdicts,
    check,
    derived,
    expand,
    limits_text,
    value_text,
    without_raw,
)
from restonb.record import Entry, doubt_of, job_of
from restonb.words import counted, listed_places

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["CLOSING", "Job", "Round", "charted", "compared", "demands", "jobs", "next_steps", "open_jobs", "timeline"]

CLOSING = "Everything that went out is back, was measured here, and is accepted."

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


def jobs(
    entries: Iterable[Entry], readings: Sequence[Reading], build: Build, name: str = "",
    checks: Mapping[str, Sequence[Entry]] | None = None,
) -> list[Job]:  # fmt: skip
    """Work that was sent out, oldest first; with a `name`, those whose description holds it.

    `entries`: the work entries of the record; `readings`: all that were not struck; `checks`: the checks of each gauge, since
    what one measured that failed afterwards is in doubt.
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
            rounds = _rounds(steps, rows, mine, _Judge(build.instruments, build.rule, checks or {}))
            found.append(Job(what, sheet or "", tuple(steps), rows, rounds))
    return found


def _rows(rows: Sequence[Characteristic], readings: Sequence[Reading]) -> tuple[Characteristic, ...]:
    """Rows that bear on the part: those that were read and those worked out from them; all, where none was read yet."""
    read = {r.characteristic for r in readings}
    kept = [
        row for row in rows if row.key in read or ((d := derived(row.positions)) and d.of and read.issuperset(d.of))
    ]
    return tuple(kept or rows)


def _rounds(
    steps: Sequence[Entry], rows: Sequence[Characteristic], readings: Sequence[Reading], judge: _Judge
) -> tuple[Round, ...]:
    """Cut the readings at its journeys: before it left, and after each return."""
    left = next((s.seq for s in steps if s.body["state"] == "sent"), steps[0].seq)
    returns = [s for s in steps if s.body["state"] == "returned"]
    if not returns and steps[-1].body["state"] != "sent":  # back and accepted in one entry
        returns = [steps[-1]] if left != steps[-1].seq else []
    ends = [*(s.seq for s in returns[1:]), None][: len(returns)]
    found = [Round("before it left", judge(rows, [r for r in readings if r.seq < left]))]
    for step, end in zip(returns, ends, strict=True):
        again = [r for r in readings if r.seq > step.seq and (end is None or r.seq < end)]
        accepted = next((s.seq for s in steps if s.seq > step.seq and s.body["state"] == "accepted"), None)
        inspected = [r for r in again if accepted is None or r.seq < accepted]
        found.append(Round(f"back {step.at[:10]}", judge(rows, inspected)))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Judge:
    """Verdicts on what readings hold; a row without any of them is left out, and one of which a part was not read."""

    instruments: Mapping[str, Instrument]
    rule: str
    checks: Mapping[str, Sequence[Entry]]

    def __call__(self, rows: Sequence[Characteristic], readings: Sequence[Reading]) -> Verdicts:
        found: list[Verdict] = []
        by_key = {row.key: row for row in rows}
        read = {r.characteristic for r in readings}
        for row in rows:
            asked = derived(row.positions)
            keys = asked.of if asked else (row.key,)
            if not keys or not read.issuperset(keys) or (asked and asked.what == WORKED_OUT):
                continue
            mine = [r for r in readings if r.characteristic in keys]
            base = tuple(by_key[k] for k in (asked.of if asked else ()) if k in by_key)
            found += [self._doubted(v) for v in check(row, mine, self.instruments, self.rule, base=base)]
        return Verdicts(tuple(found))

    def _doubted(self, verdict: Verdict) -> Verdict:
        doubt = next((d for r in verdict.readings if (d := doubt_of(r, self.checks))), None)
        return replace(verdict, doubt=str(doubt)) if doubt else verdict


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
    return f"{value_text(verdict)} {verdict.word}".strip() if verdict else "not measured"


def charted(job: Job) -> tuple[list[Verdicts], list[str]]:
    """Rounds that can be drawn beside each other, and their names: those in which something was measured."""
    drawn = [r for r in job.rounds if any(v.value is not None for v in r.verdicts)]
    return ([r.verdicts for r in drawn], [r.name for r in drawn]) if len(drawn) > 1 else ([], [])


def open_jobs(found: Iterable[Job]) -> list[Job]:
    """Those that are not accepted."""
    return [job for job in found if job.state != "accepted"]


def next_steps(found: Sequence[Job]) -> list[Step]:
    """Job by job: accept it, send it back, or measure it first. What was not measured here is not accepted as good."""
    if not found:
        says = "No work is entered as sent out. Before a part leaves, measure it, agree the limits in writing, and enter it as sent."
        return [to_do("work.none", says)]
    return [step for job in found for step in _steps(job)]


def _steps(job: Job) -> list[Step]:
    named: dict[str, Any] = {"job": job.what, "on": job.on}
    if job.state == "sent":
        known = "it was measured before it left" if any(v.value is not None for v in job.before) else (
            "it was not measured before it left, so there is nothing to compare")  # fmt: skip
        return [to_do("work.away", f"{{Job}}: away since {{on}}; {known}.", **named)]
    if job.state == "sent back":
        return [to_do("work.sent_back", "{Job}: sent back on {on}; measure it again when it returns.", **named)]
    if not job.sheet:
        return [not_known("work.no_sheet", (
            "{Job}: {state} on {on}. It names no sheet, so nothing was checked against a limit: enter it again with the sheet that has "
            "its limits, or measure it and write down what it was checked against."
        ), **named, state=job.state)]  # fmt: skip
    if not any(v.value is not None for v in job.back):
        accepted = "accepted on {on} without a reading of ours" if job.state == "accepted" else "back since {on}"
        return [to_do("work.measure", (
            f"{{Job}}: {accepted}. Clean it, let it come to room temperature, and measure it before it is paid in full or fitted, "
            "with the occasion 'back from outside work'."
        ), **named)]  # fmt: skip
    return _measured(job, named) + _forgotten(job, named)


def _measured(job: Job, named: Mapping[str, Any]) -> list[Step]:
    """What the readings since it came back say."""
    accepted = job.state == "accepted"
    back = Verdicts(without_raw(tuple(job.back)))
    if back.word == "inside" and accepted:
        says = f"{{Job}}: accepted on {{on}}, with {counted(len(back), 'value')} of ours inside."
        return [settled("work.accepted", says, back, **named)]
    if back.word == "inside":
        says = f"{{Job}}: accept it, with {counted(len(back), 'value')} of ours inside. Enter it as accepted."
        return [to_do("work.accept", says, back, **named)]
    although = "It was accepted on {on} even so: put that right with the shop. " if accepted else ""
    steps = judged(
        back, "work", "what came back",
        measure=f"{{Job}}: measure what is left: {{at}}. {although}",
        inside="{Job}: what was measured is inside.",
        outside=f"{{Job}}: send it back, outside at {{at}}. {although}Send the table of readings along.",
        close=f"{{Job}}: do not accept it yet, too close to call at {{at}}. {although}Compare gauges with the shop, or use one with "
        "a smaller error.",
        no_limit="{Job}: no limit is given for what was measured, so it cannot be judged: write what was agreed into the spec "
        "book.",
        **named,
    )  # fmt: skip
    return [step for step in steps if step.state != "settled"]


def _forgotten(job: Job, named: Mapping[str, Any]) -> list[Step]:
    """What was outside or too close before it left, the reason for sending it, and was not measured since."""
    again = {(v.characteristic.key, v.position) for v in job.back if v.value is not None}
    gone = [v for v in without_raw(tuple(job.before)) if v.word in ("outside", "too close to call")
            and (v.characteristic.key, v.position) not in again]  # fmt: skip
    if not gone:
        return []
    says = "{Job}: not measured since it came back, and not inside before it left: {places}. Measure it before it is fitted."
    places = listed_places((v.characteristic.what or v.characteristic.key, v.position) for v in gone)
    return [to_do("work.forgotten", says, gone, **named, places=places)]
