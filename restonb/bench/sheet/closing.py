"""Decide and file: what the numbers say to do next, and the close of the sheet."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from html import escape
from typing import Any

from restonb.bench._box import box_shown, not_yet, pointer
from restonb.bench._filing import FILED, Live
from restonb.bench._look import Shown, bullets, joined, steps_shown
from restonb.bench.sheet.checking import Checking
from restonb.decisions import Step
from restonb.record import Changes, SheetStanding, basis_used, box_of, compare_filed, judged_by, runs, standing_if_filed

__all__ = ["Closing"]


class Closing(Checking):
    """The decision, what is left open, and the filed result."""

    _added: tuple[str, ...] = ()
    """Rows that the person added to the sheet, and that no cell before looked at."""

    def summary(self) -> Shown | None:
        """What was found, decided and is open, at the top of the sheet: filled in when the sheet is closed at its end."""
        return self._top.show(not_yet(self.key))

    def cautions(self, *lines: str) -> Shown:
        """What may hurt; shown here, in the filed result, and in the hand-over."""
        self._filing.cautions += [line for line in lines if line not in self._filing.cautions]
        return bullets(lines, "caution", "Caution")

    def decide(self, *steps: str | Step | Iterable[Step], closing: str = "") -> Shown:
        """What the numbers say to do next: steps, or sentences of your own. `closing` is said, and filed, only where nothing at all is left open.

        Rows with limits that the person added to the sheet are judged here too, since they count.
        """
        flat = [one for step in steps for one in _each(step)]
        self._filing.decision, self._filing.closing = flat, closing
        self._added = self._not_worked_on()
        for key in self._added:
            self._filing.judged(self._judged(self.rows[key], None))
        return steps_shown(self._result()[0]["steps"])

    def leave_open(self, *lines: str | Step) -> Shown:
        """What is still to do; what is not measured is listed there anyway."""
        found = [one for line in lines if line for one in _each(line)]
        for step in found:
            self._filing.leave(step)
        return steps_shown([step.as_data(self.build.units) for step in found])

    def private(self, choice: str, text: str) -> Shown:
        """Keep this page at home: a hand-over leaves it out unless it was asked for `choice`, such as 'costs'."""
        return Shown(f'<p class="caution"><b>Private.</b> {escape(text)}</p>', f"Private. {text}",
                     {"application/vnd.restonb.private+json": {"choice": choice}})  # fmt: skip

    def what_changed(self) -> Changes:
        """This result beside the good one that was filed before it."""
        before = [run for run in runs(self.record, self.key, self.as_of) if run.good]
        old = before[-1] if before else None
        return compare_filed(old, self._now(old))

    def file(self) -> Shown:
        """Close the sheet: fill in the box at its top, and hand the result to the run that files it.

        Where no early cell has shown the box, it is shown here. Only a run files; a notebook that is open says so.
        """
        own = self._not_worked_on()
        parts = [_own(self.check(*own).shown())] if own else []
        filed, stands = self._result()
        box = box_of(stands)
        note = "Filed from this sheet." if _run() else f"Not filed yet: 'restonb run {self.key}' files it."
        shown = box_shown(box, self.key, note)
        end = pointer(box, self.key, note) if self._top.update(shown) else shown
        closed = joined([*parts, end])
        return Shown(closed.html, closed.text, {**end.extra, FILED: filed})

    def _not_worked_on(self) -> tuple[str, ...]:
        """Those rows, also where they are judged already."""
        return tuple(dict.fromkeys((*self._added, *self._filing.not_looked_at(self.rows.values(), self.expected))))

    def _result(self) -> tuple[dict[str, Any], SheetStanding]:
        """What would be filed now, and where the sheet would stand by it: its last word only where it is settled."""
        filed = self._filing.as_data() | ({"safety": True} if _run().get("safety") else {})
        stands = standing_if_filed(self.record, self.build, self.key, filed, self.as_of)
        word = self._filing.last_word()
        if word is not None and stands.word == "settled" and stands.run is not None:
            filed["steps"] = [*filed["steps"], word.as_data(self.build.units)]
            stands = stands._replace(run=stands.run._replace(filed=filed))
        return filed, stands

    def _now(self, old: Any) -> Live:
        """This notebook as if it were filed now."""
        told, filed = _run(), self._result()[0]
        return Live(
            filed=filed,
            basis=basis_used(judged_by(self.build), self.record, filed),
            parameters=told.get("parameters", old.parameters if old else {}),
            template_digest=told.get("digest", old.template_digest if old else ""),
            spec={key: self.build.specs.digest(row) for key, row in self.rows.items()},
        )


def _run() -> dict[str, Any]:
    """What the run that executes this notebook says of itself; empty in a notebook that is open."""
    told: dict[str, Any] = json.loads(os.environ.get("RESTONB_RUN") or "{}")
    return told


def _own(table: Shown) -> Shown:
    head = "Also in the spec book, and not worked on above"
    return Shown(f"<p><b>{head}</b></p>{table.html}", f"{head}:\n{table.text}")


def _each(step: str | Step | Iterable[Step]) -> tuple[Step, ...]:
    """One step or several; a sentence of a person's own, which nothing can judge, is something to do."""
    if isinstance(step, str):
        return (Step("to do", "in own words", "{words}", (), {"words": step}),) if step else ()
    return (step,) if isinstance(step, Step) else tuple(step)
