"""Verdicts as a small table: rows to read, to chart, to file and to show."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from restonb.errors import MeasureError
from restonb.measure.budget import Budget
from restonb.measure.decision import worst
from restonb.measure.limits import limits_of
from restonb.measure.model import Characteristic, Reading
from restonb.measure.positions import derived
from restonb.measure.settle import what_settles

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Verdict", "Verdicts", "without_raw"]

_MARKS = {
    "inside": "✓",
    "outside": "✗",
    "too close to call": "≈",
    "in doubt": "?",
    "not measured": "–",
    "no limit": "·",
}


@dataclass(frozen=True)
class Verdict:
    """What one position comes to. Numbers are in `unit`; None is 'not measured' or 'does not apply'.

    `u` standard and `U` expanded uncertainty (U = k u, about 95 %), `p_conform` the probability that the true value is
    within the limits, `worn_in` in %, `settle` what would settle a verdict that is too close to call, `note`
    what else the reader must know.
    """

    characteristic: Characteristic
    position: str
    verdict: str
    value: float | None = None
    u: float | None = None
    U: float | None = None
    k: float | None = None
    dof: float | None = None
    worn_in: float | None = None
    p_conform: float | None = None
    settle: str = ""
    note: str = ""
    readings: tuple[Reading, ...] = ()
    """Every reading that the value comes from, in order of entry."""
    budget: Budget | None = None
    doubt: str = ""
    """Why the reading cannot be relied on, such as a gauge that failed its check; '' where nothing speaks against it."""

    @property
    def word(self) -> str:
        """The verdict as far as it may be relied on: what is in doubt is neither inside nor too close, only outside."""
        return (
            "in doubt" if self.doubt and self.verdict in ("inside", "too close to call", "no limit") else self.verdict
        )

    @property
    def side(self) -> str:
        """'above' or 'below' the limit that it is outside of; '' where it is not outside."""
        if self.verdict != "outside" or self.value is None:
            return ""
        upper = limits_of(self.characteristic, self.value).upper
        return "above" if upper is not None and self.value > upper else "below"

    @property
    def unit(self) -> str:
        return self.characteristic.unit

    @property
    def lower(self) -> float | None:
        return self.characteristic.lower

    @property
    def upper(self) -> float | None:
        return self.characteristic.upper

    @property
    def wear_limit(self) -> float | None:
        return self.characteristic.wear_limit

    @property
    def reading(self) -> Reading | None:
        """The reading, or the newest of several."""
        return max(self.readings, key=lambda r: r.seq, default=None)

    def as_data(self) -> dict[str, Any]:
        """JSON-ready: every number finite or None."""
        c, newest = self.characteristic, self.reading
        return {
            "sheet": c.sheet,
            "characteristic": c.key,
            "what": c.what,
            "position": self.position,
            "value": self.value,
            "unit": self.unit,
            "u": self.u,
            "U": self.U,
            "k": self.k,
            "dof": None if self.dof is None or math.isinf(self.dof) else self.dof,
            "lower": self.lower,
            "upper": self.upper,
            "wear_limit": self.wear_limit,
            "verdict": self.verdict,
            "side": self.side,
            "doubt": self.doubt,
            "worn_in": self.worn_in,
            "p_conform": self.p_conform,
            "settle": self.settle,
            "note": self.note,
            "occasion": newest.occasion if newest else "",
            "typed": "; ".join(r.typed for r in self.readings),
            "seq": newest.seq if newest else None,
            "seqs": [r.seq for r in self.readings],
            "source": c.source,
            "safety": c.safety,
        }

    def to(self, unit: str) -> Verdict:
        """The same verdict with its numbers in another unit of the same kind."""
        if unit == self.unit:
            return self
        from restonb.quantity import convert, convert_difference

        def moved(value: float | None) -> float | None:
            return None if value is None else convert(value, self.unit, unit)

        def scaled(value: float | None) -> float | None:
            return None if value is None else abs(convert_difference(value, self.unit, unit))

        c = self.characteristic
        spec = c._replace(
            unit=unit,
            nominal=moved(c.nominal),
            lower=moved(c.lower),
            upper=moved(c.upper),
            wear_limit=moved(c.wear_limit),
        )
        factor = abs(convert_difference(1.0, self.unit, unit))
        budget = None if self.budget is None else self.budget.in_unit(unit, factor)
        value, settle = moved(self.value), self.settle
        if settle and value is not None and budget is not None:
            settle = what_settles(value, budget, limits_of(spec, value), unit, len(self.readings))
        return replace(
            self,
            characteristic=spec,
            value=value,
            u=scaled(self.u),
            U=scaled(self.U),
            settle=settle,
            budget=budget,
        )


@dataclass(frozen=True)
class Verdicts:
    """Verdicts in order. Add two tables to join them; iterate or index for single rows."""

    rows: tuple[Verdict, ...] = ()

    def __iter__(self) -> Iterator[Verdict]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    def __getitem__(self, i: int) -> Verdict:
        return self.rows[i]

    def __add__(self, other: Verdicts) -> Verdicts:
        return Verdicts(self.rows + other.rows)

    @property
    def word(self) -> str:
        """The worst word of all: outside, too close to call, in doubt, not measured, no limit, inside, in this order.

        A row without a limit that another is worked out from is settled by that one, and does not count.
        """
        return worst(r.word for r in without_raw(self.rows))

    def at(self, position: str, characteristic: str | None = None) -> Verdict:
        """The row of that position. Raises MeasureError if there is none."""
        for row in self.rows:
            if row.position == position and characteristic in (None, row.characteristic.key):
                return row
        there = ", ".join(dict.fromkeys(r.position for r in self.rows)) or "none"
        raise MeasureError(f"no verdict at '{position}'; there is {there}")

    def budget(self, position: str | None = None, characteristic: str | None = None) -> Budget:
        """The budget of that position, or of the least certain row. Raises MeasureError if nothing is measured."""
        rows = self.rows if position is None else (self.at(position, characteristic),)
        known = [r for r in rows if r.budget is not None and characteristic in (None, r.characteristic.key)]
        if not known:
            raise MeasureError("nothing is measured here; enter a reading first")
        least = max(known, key=lambda r: r.U or 0.0)
        assert least.budget is not None
        return least.budget

    def to(self, units: Mapping[str, str]) -> Verdicts:
        """The same verdicts in the person's units; `units` maps a kind of quantity to the unit to show."""
        from restonb.quantity import unit_to_show

        return Verdicts(tuple(r.to(unit_to_show(r.unit, dict(units))) for r in self.rows))

    def as_data(self) -> list[dict[str, Any]]:
        """One dictionary per row, JSON-ready."""
        return [r.as_data() for r in self.rows]

    def frame(self) -> pd.DataFrame:
        """The rows as a pandas table, one column per name of `as_data`."""
        import pandas as pd

        columns = list(Verdict(_NOTHING, "", "not measured").as_data())
        return pd.DataFrame(self.as_data(), columns=columns)

    def __str__(self) -> str:
        wide = [max(map(len, column)) for column in zip(*(_cells(r) for r in self.rows), strict=True)]
        return "\n".join(
            "  ".join(cell.ljust(w) for cell, w in zip(_cells(r), wide, strict=True)).rstrip() for r in self.rows
        )

    def _repr_html_(self) -> str:
        from html import escape

        head = "".join(f'<th scope="col">{h}</th>' for h in _HEADINGS)
        body = []
        for r in self.rows:
            cells = "".join(f"<td>{escape(c)}</td>" for c in _cells(r))
            kind = r.word.replace(" ", "-")
            body.append(f'<tr class="restonb-{kind}">{cells}</tr>')
        specs = dict.fromkeys(r.characteristic for r in self.rows)
        foot = "<br>".join(escape(f"{c.what or c.key}: {c.source or 'no source given'}") for c in specs)
        return (
            f'<table class="restonb-verdicts"><caption>{escape(self.word)}</caption>'
            f"<thead><tr>{head}</tr></thead><tbody>{''.join(body)}</tbody></table>"
            f'<p class="restonb-sources">{foot}</p>'
        )


def without_raw(rows: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
    """The rows, less those that have no limit and from which another of them, with a limit, is worked out.

    Also where it is worked out in several steps: a raw row, a spread of it without a limit, and what a formula makes of that.
    A row whose readings are in doubt stays.
    """
    of = {_key(row): [(row.characteristic.sheet, key) for key in d.of]
          for row in rows if (d := derived(row.characteristic.positions))}  # fmt: skip
    made: set[tuple[str, str]] = set()
    todo = [raw for row in rows if row.verdict != "no limit" for raw in of.get(_key(row), ())]
    while todo:
        raw = todo.pop()
        if raw not in made:
            made.add(raw)
            todo += of.get(raw, ())
    return tuple(r for r in rows if not (r.verdict == "no limit" and not r.doubt and _key(r) in made))


def _key(row: Verdict) -> tuple[str, str]:
    return row.characteristic.sheet, row.characteristic.key


_HEADINGS = ("characteristic", "position", "value", "± U", "limits", "verdict", "worn in", "remarks")
_NOTHING = Characteristic("", "", "", "once", "1")


def _cells(r: Verdict) -> tuple[str, ...]:
    worn = "" if r.worn_in is None else f"{r.worn_in:.0f} %"
    remarks = "; ".join(t for t in (r.doubt, r.settle, r.note) if t)
    mark = f"{_MARKS[r.word]} {r.word}"
    what = r.characteristic.what or r.characteristic.key
    return what, r.position, value_text(r), uncertainty_text(r), limits_text(r), mark, worn, remarks


def value_text(r: Verdict) -> str:
    """The value with the digits that its uncertainty deserves."""
    from restonb.quantity import write

    return "" if r.value is None else write(r.value, r.unit, r.U or None, _typed_step(r))


def uncertainty_text(r: Verdict) -> str:
    """U to two significant digits, with its unit."""
    from restonb.quantity import unit_of_difference, write

    return "" if not r.U else write(r.U, unit_of_difference(r.unit), r.U)


def limits_text(r: Verdict) -> str:
    """'0 to 0.25 mm; wear limit 0.4 mm'."""
    from restonb.quantity import write, write_number

    def short(value: float) -> float:
        # six figures are a limit in another unit than it was written in: those below what the reading can tell are noise
        digits = len(write_number(value).replace(".", "").lstrip("-0"))
        return round(value, 1 - math.floor(math.log10(r.U))) if r.U and digits > 5 else value

    def w(value: float) -> str:
        return write(short(value), r.unit)

    if r.lower is not None and r.upper is not None:
        text = f"{write_number(short(r.lower))} to {w(r.upper)}"
    elif r.upper is not None:
        text = f"at most {w(r.upper)}"
    elif r.lower is not None:
        text = f"at least {w(r.lower)}"
    else:
        text = "" if r.wear_limit is not None else "none"
    if r.wear_limit is not None:
        text += f"{'; ' if text else ''}wear limit {w(r.wear_limit)}"
    return text


def _typed_step(r: Verdict) -> float | None:
    steps = [s.resolution for s in r.readings if s.resolution is not None and s.unit == r.unit]
    return min(steps, default=None)
