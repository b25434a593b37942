"""Measure: the grid to enter readings into, and the values in force."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from restonb.bench import _tables
from restonb.bench._live import Several
from restonb.bench._look import Shown, bullets, joined
from restonb.bench._values import Known, Values
from restonb.bench.basis import Basis
from restonb.bench.entry import entry_grid
from restonb.decisions import NotYet
from restonb.measure import Reading, derived, expand
from restonb.quantity import Quantity

__all__ = ["Measuring"]


class Measuring(Basis):
    """What is measured on a sheet."""

    def measure(self, characteristic: str, occasion: str = "as found", only: bool = False) -> Any:
        """The grid to enter readings into; the readings in force, as a table, where nothing can be entered.

        With `only`, both show the readings of that occasion alone, for what is measured twice on one sheet.
        """
        row = self.rows.get(characteristic)
        if row is None:
            return self._no_row(characteristic)
        grid = None if self.static else entry_grid(self, characteristic, occasion, only)
        if grid is not None:
            return grid
        found, spoiled = self.evidence.standing(characteristic, occasion if only else None)
        return _tables.measured(row, found, spoiled, self.build, occasion)

    def measure_each(self, occasion: str = "as found", of: Iterable[str] = ()) -> Any:
        """The same for every row of the sheet that is measured, one below the other; with `of`, for these rows."""
        asked = tuple(of) or [key for key, row in self.rows.items() if derived(row.positions) is None]
        parts = [self.measure(key, occasion) for key in asked]
        if not parts:
            self._filing.no_row(self.key)
            return bullets(
                [f"the spec book has no row for sheet '{self.key}': write what is measured into specs/"], "todo"
            )
        if all(isinstance(part, Shown) for part in parts):
            return joined(parts)
        return Several(parts)

    def values(self, characteristic: str, occasion: str | None = None) -> Values:
        """Position -> quantity in force, None where nothing is measured, or must be measured again."""
        row = self.rows.get(characteristic)
        if row is None:
            what = self.expected.get(characteristic, (characteristic,))[0]
            return Values(what, {}, f"{what} (no row in the spec book)")
        found, _ = self.evidence.standing(characteristic, occasion)
        self._filing.used(found)
        at = {r.position: Quantity(r.value, r.unit, r.typed, r.resolution) for r in found}
        return Values(row.what or row.key, {p: at.get(p) for p in expand(row.positions)})

    def value(
        self, characteristic: str, unit: str, position: str | None = None, occasion: str | None = None
    ) -> Known | NotYet:
        """One value with its standard uncertainty: at a position, of repeats, or of a row that is worked out.

        Without a position, the mean over all of them; it is not taken to be more certain than each of them.
        """
        from restonb.quantity import convert, convert_difference

        row = self.rows.get(characteristic)
        if row is None:
            return NotYet(self.values(characteristic).missing)
        found = [v for v in self._judged(row, occasion) if position in (None, v.position)]
        gone = [v.position for v in found if v.value is None]
        if gone or not found:
            at = "" if gone == ["once"] else f" ({', '.join(gone or [str(position)])})"
            return NotYet((f"{row.what or row.key}{at}",))
        mean = sum(v.value for v in found if v.value is not None) / len(found)
        u = max(v.u or 0.0 for v in found)
        return Known(float(convert(mean, row.unit, unit)), float(convert_difference(u, row.unit, unit)), unit)

    def limits(self, characteristic: str, unit: str) -> tuple[float, float] | NotYet:
        """Lower and upper limit in that unit; NotYet where the spec book lacks one of them."""
        from restonb.quantity import convert

        row = self.rows.get(characteristic)
        if row is None or row.lower is None or row.upper is None:
            what = row.what if row else self.expected.get(characteristic, (characteristic,))[0]
            return NotYet((f"lower and upper limit of the {what or characteristic}, in the spec book",))
        return float(convert(row.lower, row.unit, unit)), float(convert(row.upper, row.unit, unit))

    def stated(self, characteristic: str, field: str) -> Quantity | NotYet:
        """What the spec row states: `field` is nominal, lower, upper or wear_limit; NotYet where it states none."""
        row = self.rows.get(characteristic)
        value = getattr(row, field) if row else None
        if row is None or value is None:
            what = row.what if row else self.expected.get(characteristic, (characteristic,))[0]
            return NotYet((f"{what}: its {field.replace('_', ' ')}, to be written into the spec book",))
        return Quantity(value, row.unit)

    def source(self, characteristic: str) -> str:
        """The source of its limits; '' where the spec book says nothing."""
        row = self.rows.get(characteristic)
        return row.source if row else ""

    def uncertainty(self, characteristic: str, unit: str, occasion: str | None = None) -> float:
        """The largest standard uncertainty of its values in that unit; 0 where nothing is measured."""
        from restonb.quantity import convert_difference

        row = self.rows.get(characteristic)
        us = [v.u for v in self._judged(row, occasion) if v.u is not None] if row else []
        return float(convert_difference(max(us), row.unit, unit)) if row and us else 0.0

    def uses(self, readings: Iterable[Reading]) -> None:
        """Readings of another sheet that this result rests on: once they are newer, it is out of date."""
        self._filing.used(readings)

    def history(self, characteristic: str) -> Shown:
        """Every reading that was not struck, oldest first."""
        row = self.rows.get(characteristic)
        return _tables.history(row, self.evidence.all(characteristic)) if row else self._no_row(characteristic)

    def trend(self, characteristic: str, unit: str, usage_unit: str = "mile") -> list[tuple[float, float]]:
        """Usage and value of every reading since it was last 'as left', oldest first: how it has worn since.

        The usage is the one last entered before the reading; a reading before any usage is left out.
        """
        from restonb.quantity import convert

        taken = self.evidence.all(characteristic)
        starts = [n for n, r in enumerate(taken) if r.occasion == "as left"]
        since = taken[starts[-1] :] if starts else taken
        driven = self.evidence.usage(usage_unit)
        found = []
        for reading in since:
            before = [value for seq, value in driven if seq < reading.seq]
            if before:
                found.append((before[-1], float(convert(reading.value, reading.unit, unit))))
        return found

    def last_day(self, characteristic: str) -> str:
        """The day of its newest reading, for a chart; '' where there is none."""
        return max((r.at[:10] for r in self.evidence.all(characteristic)), default="")
