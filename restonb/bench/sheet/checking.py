"""Check: readings against their limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from restonb.bench import _tables
from restonb.bench._look import Shown, bullets
from restonb.bench._verdicts import Checked
from restonb.bench.basis import Basis
from restonb.decisions import NotYet, Step
from restonb.errors import MeasureError
from restonb.measure import WORKED_OUT, Characteristic, Verdict, Verdicts, derived, places_of, verdict_on
from restonb.words import listed

__all__ = ["Checking"]


class Checking(Basis):
    """Verdicts on what was measured."""

    def check(self, *characteristics: str, occasion: str | None = None) -> Checked:
        """Verdicts on these characteristics (all of the sheet, when none is named); they will be filed."""
        keys = characteristics or tuple(self.rows)
        known = [self.rows[key] for key in keys if key in self.rows]
        missing = [self._not_checked(key) for key in keys if key not in self.rows]
        rows = tuple(v for row in known for v in self._judged(row, occasion))
        self._filing.judged(rows)
        todo = Shown("".join(m.html for m in missing), "\n".join(m.text for m in missing)) if missing else None
        return Checked(rows, todo, self.build.units)

    def judge(self, characteristic: str, values: Any) -> Checked:
        """Verdicts on numbers that a formula gave, held against the limits of their row; they will be filed.

        `values`: position -> number with its unit (Known, Amount, Quantity, a formula's result of one number or a part of it), or
        NotYet, which is 'not measured' with the reason as its note; one alone is judged 'once'. Its standard uncertainty
        counts as that of a reading does. The row's positions are 'worked out', with the rows that it comes from if they are to
        count as settled by it: 'worked out from distance and speed at front, rear'.
        Raises MeasureError for a number without a unit, QuantityError for a unit of another kind than the row's.
        """
        row = self.rows.get(characteristic)
        if row is None:
            return Checked((), self._not_checked(characteristic), self.build.units)
        given = values if isinstance(values, Mapping) and not isinstance(values, NotYet) else {"once": values}
        doubt = self._doubt_of_base(row)
        found = []
        for position, value, note in self._places(row, given):
            verdict = _held(row, position, value, self.build.rule, note)
            found.append(replace(verdict, doubt=doubt) if doubt and verdict.value is not None else verdict)
        rows = self._worked[row.key] = tuple(found)
        self._filing.judged_again(row.key, rows)
        return Checked(rows, None, self.build.units)

    def _places(self, row: Characteristic, given: Mapping[str, Any]) -> list[tuple[str, Any, str]]:
        """Position, number and remark, as the row has them. What the row has no place for is left open, never dropped in silence."""
        asked, name = derived(row.positions), row.what or row.key
        if asked is None or asked.what != WORKED_OUT:
            note = f"its row says '{row.positions}', but the sheet works it out; write '{WORKED_OUT}' as its positions"
            return [(position, None, note) for position in given]
        own = places_of(asked)
        extra = [position for position in given if own and position not in own]
        if extra:
            says = "{what} was worked out at {places}, which its row of the spec book does not name: it is not judged there."
            self._filing.leave(
                Step("not known", "judged.no place", says, (), {"what": name, "places": listed(extra)}, row.safety)
            )
        return [(p, given.get(p), "" if p in given else "not worked out here") for p in own or given]

    def _doubt_of_base(self, row: Characteristic) -> str:
        """Why what it comes from cannot be relied on. The readings of those rows are among what the result rests on."""
        asked = derived(row.positions)
        base = [self.rows[key] for key in (asked.of if asked else ()) if key in self.rows]
        return next((v.doubt for one in base for v in self._judged(one, None) if v.doubt), "")

    def _not_checked(self, characteristic: str) -> Shown:
        self._filing.no_row(characteristic)
        text = f"{characteristic} is not checked: the spec book has no row for it."
        return Shown(f'<p class="todo">{text}</p>', text)

    def bars(self, verdicts: Verdicts) -> Shown:
        """Values and uncertainties against their limits; where nothing is measured, a word instead of a chart.

        Dates are left out: their ages are drawn.
        """
        verdicts = Verdicts(tuple(row for row in verdicts if row.unit != "date"))
        if all(row.value is None for row in verdicts):
            return bullets(["nothing to draw: none of this is measured yet"], "todo")
        from restonb.charts import tolerance_bars

        return self.show(tolerance_bars(verdicts.to(self.build.units)))

    def budgets(self, verdicts: Verdicts) -> Shown:
        """What the uncertainty of each characteristic is made of, at its least certain place."""
        return _tables.budgets(verdicts.to(self.build.units))

    def rework(self, *characteristics: str, before: str | None = "as found") -> Shown:
        """The readings of that occasion beside those in force; a word where nothing was measured again.

        With `before` None, each row's own first occasion.
        """
        rows = [self.rows[key] for key in characteristics if key in self.rows]
        then = {
            (v.characteristic.key, v.position): v
            for row in rows
            for v in self._judged(row, before or self.evidence.first_occasion(row))
            if v.readings and v.unit != "date"
        }
        now = [v for row in rows for v in self._judged(row, None)]
        again = [v for v in now if (old := then.get((v.characteristic.key, v.position))) and v.readings
                 and {r.seq for r in v.readings} != {r.seq for r in old.readings}]  # fmt: skip
        if not again:
            return Shown('<p class="small">Nothing was measured again yet.</p>', "Nothing was measured again yet.")
        from restonb.charts import before_after

        first = Verdicts(tuple(then[v.characteristic.key, v.position] for v in again))
        return self.show(before_after(first, Verdicts(tuple(again))))


def _held(row: Characteristic, position: str, given: Any, rule: str, note: str) -> Verdict:
    """One number against its row; 'not measured' where there is none, with the reason."""
    if given is None or isinstance(given, NotYet):
        missing = f"still missing: {'; '.join(given.missing)}" if isinstance(given, NotYet) else ""
        return Verdict(row, position, "not measured", note=note or missing)
    value: Any = getattr(given, "nominal_value", getattr(given, "value", None))
    unit = getattr(given, "unit", None)
    if isinstance(value, bool) or unit is None or not hasattr(type(value), "__float__"):
        raise MeasureError(
            f"{row.key}, {position}: {given!r} is not one number with a unit; give an Amount, a Quantity or one part of a result"
        )
    u = getattr(given, "std_dev", getattr(given, "u", None))
    step = getattr(given, "resolution", None)
    return verdict_on(row, position, float(value), unit, u, rule, resolution=step, note=note)
