"""Rows of the spec book that are worked out from the readings of other rows, each with its uncertainty.

Written in the `positions` column: 'ovality of bore_diameter', 'run-out of rim_side', 'difference of bore and piston'.

    ovality        largest less smallest across the axes, at each depth
    taper          largest less smallest along the depth, on each axis
    run-out        largest less smallest round the clock
    eccentricity   first harmonic round the clock: how far the centre is off (run-out from it alone is twice this)
    form           what remains of the run-out when the eccentricity is taken out
    twist          how far one of four feet is off the plane of the others
    spread, mean, largest, smallest     over all positions
    difference, sum                     of two rows, position by position, or of one row and a single reading
    age                                 from a date of making to the day on which it is asked, position by position

A row that says 'worked out' is left to the sheet whose formula gives the number (`verdicts.verdict_on`).

Each result is linear in the readings, near enough, so that its uncertainty follows from theirs. What several
readings owe to the error of one gauge is counted as shared or as not, whichever is worse (`Budget`).
A largest-less-smallest of readings that hardly differ comes out somewhat too large, never too small, by their scatter.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from restonb.errors import MeasureError
from restonb.measure.budget import Budget, component
from restonb.measure.model import Characteristic, Instrument, Reading
from restonb.measure.positions import WORKED_OUT, Derived, derived, places_of
from restonb.measure.reading_budget import Expansion, Measured, measure
from restonb.measure.rows import rows_of
from restonb.measure.shape import weights_of_eccentricity, weights_of_form
from restonb.quantity import convert, convert_difference, days_of, span_of, write
from restonb.words import clock_degrees

__all__ = ["Result", "derive"]


class Result(NamedTuple):
    """One row that was worked out; `measured` is None, and `note` says why, where readings are missing."""

    position: str
    measured: Measured | None
    note: str = ""


class _Row(NamedTuple):
    parts: tuple[str, ...]
    measured: Measured | None


_Weighed = tuple[float, list[float]]


def derive(
    characteristic: Characteristic,
    readings: Sequence[Reading],
    instruments: Mapping[str, Instrument],
    *,
    base: Sequence[Characteristic] = (),
    expansion: Expansion = None,
    today: date | None = None,
) -> list[Result]:
    """What a worked-out row comes to, in its own unit: one result per depth, axis or position, or one for all.

    `base`: the rows of the spec book that it names; without them the positions are those that were read.
    A place that was not read leaves its result open rather than too small, and so does an age without `today`.
    Raises MeasureError if the row is not worked out, or if the pattern of its base cannot give it.
    """
    wanted = derived(characteristic.positions)
    if wanted is None:
        raise MeasureError(f"{characteristic.key} is measured, not worked out; write '... of ...' as its positions")
    if wanted.what == WORKED_OUT:
        note = "worked out by the sheet when it runs"
        return [Result(place, None, note) for place in places_of(wanted) or ("once",)]
    if wanted.what == "age":
        made = _rows(characteristic._replace(unit="date"), wanted.of[0], readings, instruments, base, expansion)
        return [_age(characteristic, " / ".join(row.parts), row.measured, wanted.of[0], today) for row in made]
    sources = [_rows(characteristic, key, readings, instruments, base, expansion) for key in wanted.of]
    if len(sources) == 2:
        return _pairwise(characteristic, wanted, *sources)
    groups = _groups(wanted.what, wanted.of[0], sources[0])
    return [_result(characteristic, wanted, position, rows) for position, rows in groups.items()]


def _rows(
    characteristic: Characteristic,
    key: str,
    readings: Sequence[Reading],
    instruments: Mapping[str, Instrument],
    base: Sequence[Characteristic],
    expansion: Expansion,
) -> list[_Row]:
    """The places of one base row, with what each measures in the unit of the worked-out row."""
    own = [r for r in readings if (r.sheet, r.characteristic) == (characteristic.sheet, key)]
    known = next((c for c in base if (c.sheet, c.key) == (characteristic.sheet, key)), None)
    if known is None:
        spec = characteristic._replace(key=key, positions="", instrument=None)
        newest = {r.position: r for r in own}
        found: list[tuple[str, tuple[Reading, ...]]] = [
            (name, (newest[name],)) for name in dict.fromkeys(r.position for r in own)
        ]
    else:
        spec = known._replace(unit=characteristic.unit)
        found = [(name, taken) for name, _, taken in rows_of(known, own)]
    return [
        _Row(tuple(name.split(" / ")), measure(spec, taken, instruments, expansion) if taken else None)
        for name, taken in found
    ]


def _groups(what: str, key: str, rows: list[_Row]) -> dict[str, list[_Row]]:
    """The rows that go into one result, by the position of the result."""
    if not rows:
        return {"once": []}
    across = _across(what, rows)
    if across is None:
        if what in ("run-out", "eccentricity", "form") and len(rows[0].parts) > 1:
            raise MeasureError(
                f"{what} of {key} needs readings round the clock; write 'clock 8 x ...' as its positions"
            )
        return {"once": rows}
    groups: dict[str, list[_Row]] = {}
    for row in rows:
        rest = row.parts[:across] + row.parts[across + 1 :]
        groups.setdefault(" / ".join(rest) or "once", []).append(row)
    return groups


def _across(what: str, rows: list[_Row]) -> int | None:
    """Which part of the positions the result goes across: the axes, the depth, the clock; None for all parts at once."""
    parts = rows[0].parts
    if len(parts) == 1 or what not in ("ovality", "taper", "run-out", "eccentricity", "form"):
        return None
    for i, part in enumerate(parts):
        word = "clock" if clock_degrees(part) is not None else part.split()[0].casefold()
        if word in {"ovality": ("axis", "clock"), "taper": ("depth", "height")}.get(what, ("clock",)):
            return i
    return {"ovality": len(parts) - 1, "taper": 0}.get(what)


def _result(c: Characteristic, wanted: Derived, position: str, rows: list[_Row]) -> Result:
    least = {"mean": 1, "largest": 1, "smallest": 1, "twist": 4, "eccentricity": 4, "form": 5}.get(wanted.what, 2)
    there = [r.measured for r in rows if r.measured is not None]
    missing = [" / ".join(r.parts) for r in rows if r.measured is None]
    if missing or not rows:
        return Result(position, None, f"not read yet: {', '.join(missing) or wanted.of[0]}")
    if len(there) < least or (wanted.what == "twist" and len(there) != 4):
        exactly = "exactly" if wanted.what == "twist" else "at least"
        raise MeasureError(
            f"{c.key}: {wanted.what} needs {exactly} {least} readings, {wanted.of[0]} gives {len(there)}"
        )
    y = [m.value for m in there]
    value, weights = _weigh(wanted.what)(y, _angles(rows))
    return Result(position, _combined(c.unit, value, weights, there, [" / ".join(r.parts) for r in rows]))


def _angles(rows: list[_Row]) -> list[float]:
    """Clockwise from 12:00 by the name of the position; equally spaced in order if they are not clock times."""
    named = [next((a for p in r.parts if (a := clock_degrees(p)) is not None), None) for r in rows]
    known = [a for a in named if a is not None]
    return (
        [math.radians(a) for a in known]
        if len(known) == len(rows)
        else [2 * math.pi * i / len(rows) for i in range(len(rows))]
    )


def _weigh(what: str) -> Callable[[list[float], list[float]], _Weighed]:
    """The function that gives the result and its change per unit of each reading."""
    return {
        "eccentricity": weights_of_eccentricity,
        "form": weights_of_form,
        "largest": lambda y, _: _one_of(y, y.index(max(y))),
        "mean": lambda y, _: (math.fsum(y) / len(y), [1 / len(y)] * len(y)),
        "smallest": lambda y, _: _one_of(y, y.index(min(y))),
        "twist": lambda y, _: _twist(y),
    }.get(what, lambda y, _: _spread(y))


def _one_of(y: list[float], i: int) -> _Weighed:
    return y[i], [float(j == i) for j in range(len(y))]


def _spread(y: list[float]) -> _Weighed:
    high, low = y.index(max(y)), len(y) - 1 - y[::-1].index(min(y))
    return y[high] - y[low], [float(i == high) - float(i == low) for i in range(len(y))]


def _twist(y: list[float]) -> _Weighed:
    signs = [1.0, -1.0, 1.0, -1.0]
    off = math.fsum(s * v for s, v in zip(signs, y, strict=True))
    return abs(off), [math.copysign(s, s * off) for s in signs]


def _pairwise(c: Characteristic, wanted: Derived, first: list[_Row], second: list[_Row]) -> list[Result]:
    """Position by position; a row with one place only goes with every place of the other."""
    sign = -1.0 if wanted.what == "difference" else 1.0
    names_a, names_b = ([" / ".join(r.parts) for r in rows] for rows in (first, second))
    if len(second) == 1:
        pairs = [(n, a, second[0]) for n, a in zip(names_a, first, strict=True)]
    elif len(first) == 1:
        pairs = [(n, first[0], b) for n, b in zip(names_b, second, strict=True)]
    elif names_a == names_b:
        pairs = list(zip(names_a, first, second, strict=True))
    else:
        raise MeasureError(
            f"{c.key}: {wanted.of[0]} and {wanted.of[1]} have different positions; write the same for both"
        )
    results = []
    for name, a, b in pairs:
        if a.measured is None or b.measured is None:
            missing = [k for k, row in zip(wanted.of, (a, b), strict=True) if row.measured is None]
            results.append(Result(name, None, f"not read yet: {' and '.join(missing)}"))
            continue
        value = a.measured.value + sign * b.measured.value
        parts = [a.measured, b.measured]
        results.append(Result(name, _combined(c.unit, value, [1.0, sign], parts, list(wanted.of))))
    return results


def _age(c: Characteristic, position: str, made: Measured | None, key: str, today: date | None) -> Result:
    """What the mark leaves open is cut off where it would lie ahead of the day: nothing is made later than it is seen."""
    if made is None:
        return Result(position, None, f"not read yet: {key}")
    if today is None:
        return Result(position, None, "an age is taken on a day, and none is given")
    first, last = span_of(made.value, max((r.resolution or 1.0 for r in made.readings), default=1.0))
    now = days_of(today) + 1
    if first >= now:
        what = write(made.value, "date", resolution=last - first)
        return Result(position, None, f"the date of making, {what}, is ahead of {today}: strike it, and enter it again")
    last = min(last, float(now))
    span = convert_difference(last - first, "d", c.unit)
    budget = Budget((component("what the mark leaves open", span, "resolution", cause="date"),), c.unit)
    days = max(0.0, now - 0.5 - (first + last) / 2)
    return Result(position, Measured(convert(days, "d", c.unit), budget, made.readings, made.notes))


def _combined(
    unit: str, value: float, weights: Sequence[float], parts: Sequence[Measured], names: Sequence[str]
) -> Measured:
    """A value with the budgets of what it was worked out from, each weighed by how far it moves the value."""
    components = tuple(
        replace(part, sensitivity=part.sensitivity * w, at=name)
        for w, m, name in zip(weights, parts, names, strict=True)
        for part in m.budget.components
        if w
    )
    terms = [abs(w * m.value) for w, m in zip(weights, parts, strict=True)]
    value = _without_dust(value, max(terms, default=0.0))
    readings = {r.seq or id(r): r for m in parts for r in m.readings}
    notes = dict.fromkeys(n for m in parts for n in m.notes)
    return Measured(value, Budget(components, unit), tuple(readings.values()), tuple(notes))


def _without_dust(value: float, largest: float) -> float:
    """0.55 + 0.30 - 0.70 is 0.15, and 0.3 - 0.1 - 0.2 is nothing: what floats add lies beyond 12 digits of the largest term."""
    return round(value, 12 - math.ceil(math.log10(largest))) + 0.0 if 0 < largest < math.inf else value
