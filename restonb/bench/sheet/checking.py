"""Check: readings against their limits."""

from __future__ import annotations

from restonb.bench import _tables
from restonb.bench._look import Shown, bullets
from restonb.bench._verdicts import Checked
from restonb.bench.basis import Basis
from restonb.measure import Verdicts

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

    def _not_checked(self, characteristic: str) -> Shown:
        self._filing.no_row(characteristic)
        text = f"{characteristic} is not checked: the spec book has no row for it."
        return Shown(f'<p class="todo">{text}</p>', text)

    def bars(self, verdicts: Verdicts) -> Shown:
        """Values and uncertainties against their limits; where nothing is measured, a word instead of a chart."""
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
            if v.readings
        }
        now = [v for row in rows for v in self._judged(row, None)]
        again = [v for v in now if (old := then.get((v.characteristic.key, v.position))) and v.readings
                 and {r.seq for r in v.readings} != {r.seq for r in old.readings}]  # fmt: skip
        if not again:
            return Shown('<p class="small">Nothing was measured again yet.</p>', "Nothing was measured again yet.")
        from restonb.charts import before_after

        first = Verdicts(tuple(then[v.characteristic.key, v.position] for v in again))
        return self.show(before_after(first, Verdicts(tuple(again))))
