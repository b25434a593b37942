"""What every part of a sheet rests on: its rows, its readings, and what will be filed."""

from __future__ import annotations

import json
import os
from datetime import date
from html import escape
from typing import Any

from restonb.bench import _tables
from restonb.bench._evidence import SheetEvidence
from restonb.bench._filing import Filing
from restonb.bench._look import Shown, bullets, joined
from restonb.bench._top import Top
from restonb.bench._verdicts import verdict_cells
from restonb.decisions import NotYet, Step
from restonb.errors import MeasureError
from restonb.measure import Characteristic, Reading, Verdict, Verdicts, derived
from restonb.record import Record
from restonb.stated import Build

__all__ = ["Basis", "shown_answer", "todo"]


class Basis:
    """One measuring job: its build and record, its rows of the spec book, and the result while it grows."""

    def __init__(self, key: str, build: Build, record: Record, as_of: int | None = None, static: bool = True) -> None:
        self.key, self.build, self.record, self.as_of, self.static = key, build, record, as_of, static
        self.rows: dict[str, Characteristic] = {row.key: row for row in build.specs if row.sheet == key}
        self.evidence = SheetEvidence(build, record, key, as_of)
        self.expected: dict[str, tuple[str, str, str]] = {}
        self._worked: dict[str, tuple[Verdict, ...]] = {}
        self._filing = Filing(key, build.units)
        self._top = Top(key)

    def expects(self, **rows: tuple[str, str, str]) -> None:
        """What the template measures: characteristic -> (what, positions, unit). It serves only to tell a person
        which row to write where the spec book lacks one; limits come from the spec book alone.
        """
        self.expected.update(rows)

    @property
    def today(self) -> date:
        """The day on which an age is taken: of the run, else of the record's clock, or of the entry that it is seen as of."""
        at = json.loads(os.environ.get("RESTONB_RUN") or "{}").get("at")
        if at:
            return date.fromisoformat(str(at)[:10])
        from restonb.record import day_of_view

        return day_of_view(self.record, self.as_of)

    def _judged(self, row: Characteristic, occasion: str | None) -> tuple[Verdict, ...]:
        from restonb.measure import check

        if row.key in self._worked:
            return self._worked[row.key]
        asked = derived(row.positions)
        base = tuple(self.rows[key] for key in (asked.of if asked else ()) if key in self.rows)
        found: list[Reading] = []
        spoiled: dict[Any, Any] = {}
        for key in (b.key for b in base) if asked else (row.key,):
            good, bad = self.evidence.standing(key, occasion)
            found += good
            spoiled |= bad
        self._filing.used(found)
        if asked:  # what is worked out from a spoiled reading is spoiled too, not worked out from the rest
            found = sorted((*found, *(reading for reading, _ in spoiled.values())), key=lambda r: r.seq)
        try:
            verdicts = check(row, found, self.build.instruments, self.build.rule, base=base, today=self.today)
        except MeasureError as refused:
            if not asked:
                raise
            # too few places for what is to be worked out: that row stays open, and no other
            reason = str(refused).rstrip(".")
            said = "Not worked out: {reason}."
            step = Step("not known", f"{row.key}.refused", said, ((row.key, "once"),), {"reason": reason}, row.safety)
            self._filing.leave(step)
            verdicts = Verdicts((Verdict(row, "once", "not measured", note=reason),))
        return verdict_cells(verdicts, spoiled, self.evidence.checks())

    def _no_row(self, characteristic: str) -> Shown:
        self._filing.no_row(characteristic)
        return _tables.no_row(self.key, characteristic, self.expected.get(characteristic))

    def show(self, figure: Any, alt: str = "") -> Shown:
        """A chart, or a piece of SVG or HTML, with the words that tell it to a reader who cannot see it."""
        if shown := shown_answer(figure):
            return shown
        if isinstance(figure, (list, tuple)):
            return joined([self.show(one) for one in figure]) if figure else bullets(["nothing to show yet"], "todo")
        if isinstance(figure, str):
            return Shown(f'<figure role="img" aria-label="{escape(alt)}">{figure}</figure>', alt)
        from restonb.charts import describe, svg

        return Shown(svg(figure), alt or describe(figure))


def todo(answer: NotYet) -> Shown:
    """What is missing, where an answer would stand."""
    return Shown(answer.html, answer.text)


def shown_answer(answer: Any) -> Shown | None:
    """The answer itself where it can be shown as it is, and what is missing where there is none; None for a result."""
    if isinstance(answer, NotYet):
        return todo(answer)
    return answer if isinstance(answer, Shown) else None
