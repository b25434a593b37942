"""Decide and file: what the numbers say to do next, and the close of the sheet."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from html import escape
from typing import Any

from restonb.bench._filing import Live
from restonb.bench._look import Shown, bullets, steps_shown
from restonb.bench.sheet.checking import Checking
from restonb.decisions import Step
from restonb.record import runs
from restonb.record.changes import Changes, compare
from restonb.record.stands.basis import judged_by, narrowed

__all__ = ["Closing"]


class Closing(Checking):
    """The decision, what is left open, and the filed result."""

    def summary(self) -> Shown | None:
        """What was found, decided and is open, at the top of the sheet: filled in when the sheet is closed at its end."""
        return self._top.show(Shown('<p class="todo">Not decided yet: run this sheet to its end.</p>',
                                    "Not decided yet: run this sheet to its end."))  # fmt: skip

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
        for key in self._filing.not_looked_at(self.rows.values(), self.expected):
            self._filing.judged(self._judged(self.rows[key], None))
        return steps_shown([step.as_data(self.build.units) for step in self._filing.steps()])

    def leave_open(self, *lines: str | Step) -> Shown:
        """What is still to do; what is not measured stands there without being said."""
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
        return compare(old, self._now(old))

    def file(self) -> Shown:
        """Close the sheet: show what will be filed, and hand it to the run that files it."""
        own = self._filing.not_looked_at(self.rows.values(), self.expected)
        closed = self._filing.close(self.check(*own).shown() if own else None)
        self._top.update(Shown(closed.html, closed.text))
        return closed

    def _now(self, old: Any) -> Live:
        """This notebook as if it were filed now."""
        told = json.loads(os.environ.get("RESTONB_RUN") or "{}")
        filed = self._filing.as_data()
        return Live(
            filed=filed,
            basis=narrowed(judged_by(self.build), self.record, filed),
            parameters=told.get("parameters", old.parameters if old else {}),
            template_digest=told.get("digest", old.template_digest if old else ""),
            spec={key: self.build.specs.digest(row) for key, row in self.rows.items()},
        )


def _each(step: str | Step | Iterable[Step]) -> tuple[Step, ...]:
    """One step or several; a sentence of a person's own, which nothing can judge, is something to do."""
    if isinstance(step, str):
        return (Step("to do", "in own words", "{words}", (), {"words": step}),) if step else ()
    return (step,) if isinstance(step, Step) else tuple(step)
