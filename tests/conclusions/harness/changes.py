"""Everything that can be wrong with a good case: one place, one row, one parameter, one formula at a time, and in pairs."""

from __future__ import annotations

import math
import random
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from itertools import combinations
from pathlib import Path
from typing import NamedTuple

from harness.case import DAY, Case, Place, begin, takes, without
from harness.run import run
from restonb.measure import WORKED_OUT, Characteristic, Reading, check
from restonb.measure.limits import limits_of
from restonb.measure.positions import derived
from restonb.quantity import read
from restonb.record import in_force
from restonb.record.filed import verdict_word
from restonb.stated import Build

__all__ = ["Change", "by_kind", "changed", "changes_of", "pairs"]


@dataclass(frozen=True)
class Change:
    """One thing made bad. `of` is what it is done to (row, parameter, formula), `how` what is done."""

    of: str
    how: str
    typed: dict[Place, str | None] = field(default_factory=dict)
    no_limit: tuple[str, ...] = ()
    no_row: tuple[str, ...] = ()
    doubted: tuple[str, ...] = ()
    """Gauges that fail a check afterwards."""
    no_parameter: tuple[str, ...] = ()
    refuse: int | None = None

    def __str__(self) -> str:
        said = ", ".join(f"{key} {at} = {text or 'not measured'}" for (key, at), text in list(self.typed.items())[:4])
        return f"{self.of}: {self.how}" + (f" ({said}{', ...' if len(self.typed) > 4 else ''})" if said else "")


def changed(case: Case, changes: Iterable[Change]) -> tuple[Case, int | None]:
    """The case with these changes, and the formula that is to refuse."""
    changes = tuple(changes)
    other = without(
        case,
        (key for one in changes for key in one.no_row),
        (key for one in changes for key in one.no_limit),
        (name for one in changes for name in one.no_parameter),
    )
    typed = {place: text for one in changes for place, text in one.typed.items()}
    checks = [{"kind": "check", "instrument": gauge, "good": False} for one in changes for gauge in one.doubted]
    there = {row.get("instrument") or f"of_{row['characteristic']}" for row in other.rows}
    after = (*other.after, *(one for one in checks if one["instrument"] in there))
    refused = [one.refuse for one in changes if one.refuse is not None]
    return replace(other, typed={**case.typed, **typed}, after=after), refused[0] if refused else None


def changes_of(case: Case, folder: Path, formulas: int) -> dict[str, list[Change]]:
    """What can be wrong, by what it is done to. `formulas` is how many the template works out in the good case."""
    if case.template not in _FOUND:
        _FOUND[case.template] = _of_rows(case, folder)
    found = dict(_FOUND[case.template])
    if formulas:
        found["formula"] = [Change(f"formula {n + 1}", "refuses", refuse=n) for n in range(formulas)]
    return found


_FOUND: dict[str, dict[str, list[Change]]] = {}
"""Found once for all tests: a number that a formula gives is only made bad by running the template."""


def _of_rows(case: Case, folder: Path) -> dict[str, list[Change]]:
    build, record = begin(case, folder / "build")
    readings = in_force(record, case.sheet)
    record.close()
    rows = {row.key: row for row in build.specs if row.sheet == case.sheet}
    found = {key: list(_of_row(build, rows, row, readings, case, folder)) for key, row in rows.items()}
    for name in case.needed:
        found[f"parameter {name}"] = [Change(f"parameter {name}", "left out", no_parameter=(name,))]
    return found


def _of_row(
    build: Build,
    rows: dict[str, Characteristic],
    row: Characteristic,
    readings: Sequence[Reading],
    case: Case,
    folder: Path,
) -> Iterator[Change]:
    key, made = row.key, derived(row.positions)
    limited = (row.lower, row.upper, row.wear_limit) != (None, None, None)
    if limited:
        finder = _Derived(build, rows, row, readings, case, folder) if made else _Direct(build, row, readings)
        for how, word, side in (
            ("outside, above", "outside", "above"),
            ("outside, below", "outside", "below"),
            ("too close to call", "too close to call", ""),
        ):
            yield from (Change(key, f"{how}, {where}", typed) for where, typed in finder.found(word, side))
        yield Change(key, "no limit", no_limit=(key,))
    if key not in case.optional:
        yield Change(key, "no row", no_row=(key,))
    if made:
        return
    at = [r.position for r in readings if r.characteristic == key]
    if not at:
        return
    yield Change(key, "nothing measured", typed=dict.fromkeys([(key, p) for p in at], None))
    if len(at) > 1 and not row.positions.startswith("repeat"):
        yield Change(key, f"{at[-1]} not measured", typed={(key, at[-1]): None})
    if row.instrument and row.unit != "count":
        yield Change(key, "its gauge failed a check afterwards", doubted=(row.instrument,))


class _Direct:
    """Texts that put a measured row where it should be for a test."""

    def __init__(self, build: Build, row: Characteristic, readings: Sequence[Reading]) -> None:
        self.build, self.row = build, row
        self.readings = [r for r in readings if r.characteristic == row.key]

    def found(self, word: str, side: str) -> Iterator[tuple[str, dict[Place, str | None]]]:
        places = [r.position for r in self.readings]
        if not places:
            return
        for value in self._candidates(word, side):
            text = _text(round(value, 6), self.row.unit)
            if not takes(self.build, self.row.sheet, self.row.key, places[0], text):
                continue
            now = [r._replace(value=round(value, 6), unit=self.row.unit, typed=text) for r in self.readings]
            verdict = check(self.row, now, self.build.instruments, self.build.rule)[0]
            if verdict.word == word and side in ("", verdict.side):
                if len(places) > 1 and not self.row.positions.startswith("repeat"):
                    yield f"at {places[0]}", {(self.row.key, places[0]): text}
                yield "everywhere" if len(places) > 1 else "there", {(self.row.key, p): text for p in places}
                return

    def _candidates(self, word: str, side: str) -> Iterator[float]:
        limits = limits_of(self.row)
        known = [
            x
            for x in (limits.lower, limits.upper, self.row.lower, self.row.upper, self.row.nominal, self.row.wear_limit)
            if x is not None
        ]
        if word == "too close to call":
            yield from (x for x in (limits.upper, limits.lower) if x is not None)
            return
        span = max(known) - min(known)
        step = 1.0 if self.row.unit == "count" else max(0.1 * span, 0.05 * max(map(abs, known)), 0.01)
        for times in (1, 3, 10, 30):
            yield max(known) + times * step if side == "above" else min(known) - times * step


class _Judged(NamedTuple):
    word: str
    side: str


_Judge = Callable[[Mapping[Place, "str | None"], Sequence[Reading]], _Judged]


class _Derived:
    """Texts of the rows that a row is worked out from, so that it comes out where it should be for a test."""

    def __init__(
        self,
        build: Build,
        rows: dict[str, Characteristic],
        row: Characteristic,
        readings: Sequence[Reading],
        case: Case,
        folder: Path,
    ) -> None:
        self.build, self.row, self.case, self.folder = build, row, case, folder
        asked = derived(row.positions)
        self.base = [rows[key] for key in (asked.of if asked else ()) if key in rows]
        self.readings = [r for r in readings if r.characteristic in {b.key for b in self.base}]
        by_formula = asked is not None and asked.what == WORKED_OUT
        self.judge: _Judge = self._by_running if by_formula else self._by_check
        self.seen: dict[tuple[tuple[Place, str | None], ...], _Judged] = {}
        self.first, self.growth, self.steps = (0.02, 2.0, 8) if by_formula else (1e-4, 1.6, 40)

    def found(self, word: str, side: str) -> Iterator[tuple[str, dict[Place, str | None]]]:
        for base in self.base:
            at = [r.position for r in self.readings if r.characteristic == base.key]
            for moved in (
                (at[:1], at[len(at) // 2 : len(at) // 2 + 1], at)[:: 2 if self.steps < 10 else 1] if at else ()
            ):
                for sign in (1.0, -1.0):
                    typed = self._search(base, moved, sign, word, side)
                    if typed:
                        yield f"by {base.key}", typed
                        return

    def _search(
        self, base: Characteristic, moved: Sequence[str], sign: float, word: str, side: str
    ) -> dict[Place, str | None]:
        step = self.first * max((abs(r.value) for r in self.readings if r.characteristic == base.key), default=0.0)
        last, delta = 0.0, max(step, 1e-4)
        for _ in range(self.steps):
            typed, judged = self._tried(base, moved, sign * delta)
            if judged is None:
                return {}
            if judged.word == word and side in ("", judged.side):
                return typed
            if judged.word == "outside":
                break
            last, delta = delta, delta * self.growth
        if word != "too close to call":
            return {}
        for _ in range(self.steps):  # between what is inside and what is outside
            middle = (last + delta) / 2
            typed, judged = self._tried(base, moved, sign * middle)
            if judged is None or judged.word == word:
                return typed if judged else {}
            last, delta = (last, middle) if judged.word == "outside" else (middle, delta)
        return {}

    def _tried(
        self, base: Characteristic, moved: Sequence[str], by: float
    ) -> tuple[dict[Place, str | None], _Judged | None]:
        """What is typed so, and what the row is then; None where the record would not take it."""
        typed: dict[Place, str | None] = {}
        now: list[Reading] = []
        for r in self.readings:
            if r.characteristic == base.key and r.position in moved:
                text = _text(r.value + by, r.unit)
                if not takes(self.build, base.sheet, base.key, r.position, text):
                    return {}, None
                typed[base.key, r.position] = text
                r = r._replace(value=read(text, r.unit).value, typed=text)
            now.append(r)
        return typed, self.judge(typed, now)

    def _by_check(self, _: object, now: Sequence[Reading]) -> _Judged:
        today = DAY.date()
        found = check(self.row, now, self.build.instruments, self.build.rule, base=self.base, today=today)
        return _worst(_Judged(verdict.word, verdict.side) for verdict in found)

    def _by_running(self, typed: Mapping[Place, str | None], _: object) -> _Judged:
        """By the sheet itself, whose formula gives the number."""
        key = tuple(sorted(typed.items()))
        if key in self.seen:
            return self.seen[key]
        case, _refuse = changed(self.case, [Change(self.row.key, "moved", dict(typed))])
        build, record = begin(case, self.folder / "tried")
        done, _formulas = run(build, record, case.sheet if case.serves else case.template)
        record.close()
        shutil.rmtree(build.folder)
        mine = [row for row in done.filed.get("verdicts", ()) if row["characteristic"] == self.row.key]
        self.seen[key] = _worst(_Judged(verdict_word(row), str(row["side"])) for row in mine)
        return self.seen[key]


def _worst(rows: Iterable[_Judged]) -> _Judged:
    order = ("outside", "too close to call", "in doubt", "not measured", "no limit", "inside")
    return min(rows, key=lambda one: order.index(one.word), default=_Judged("not measured", ""))


def _text(value: float, unit: str) -> str:
    """As a person types it: a date as year, month and day."""
    if unit == "date":
        return (date(1970, 1, 1) + timedelta(days=math.floor(value))).isoformat()
    return f"{value:.6f}".rstrip("0").rstrip(".") + ("" if unit in ("count", "1") else f" {unit}")


def by_kind(found: Iterable[Change]) -> dict[str, list[Change]]:
    """One change of each kind (outside, too close ...) for each thing, not the same of a kind for all of them."""
    kinds: dict[str, dict[str, list[Change]]] = {}
    for change in found:
        what = "formula" if change.refuse is not None else change.of
        kind = "not measured" if change.typed and None in change.typed.values() else change.how.partition(",")[0]
        kinds.setdefault(what, {}).setdefault(str(change.refuse or kind), []).append(change)
    return {what: [of[n % len(of)] for of in each.values()] for n, (what, each) in enumerate(kinds.items())}


def pairs(found: dict[str, list[Change]], most: int = 400) -> list[tuple[Change, ...]]:
    """Sets of changes in which every two that are done to different things stand together at least once.

    Greedy, of twenty random sets at a time the one with the most new pairs; always the same for the same changes.
    """
    rng = random.Random(14)
    factors = [changes for changes in found.values() if changes]
    levels = [[(n, i) for i in range(len(changes))] for n, changes in enumerate(factors)]
    open_pairs = {pair for a, b in combinations(levels, 2) for pair in ((x, y) for x in a for y in b)}
    sets = []
    while open_pairs and len(sets) < most:
        first = min(open_pairs) if rng.random() < 0.5 else rng.choice(sorted(open_pairs))
        best: list[tuple[int, int]] = []
        gain = -1
        for _ in range(20):
            tried = {n: rng.choice(level) for n, level in enumerate(levels) if rng.random() < 0.35}
            tried |= {n: (n, i) for n, i in first}
            chosen = sorted(tried.values())
            new = sum(pair in open_pairs for pair in combinations(chosen, 2))
            if new > gain:
                best, gain = chosen, new
        open_pairs -= set(combinations(best, 2))
        sets.append(tuple(factors[n][i] for n, i in best))
    return sets
