"""Work out: formulas, numbers and what they are shown as."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from html import escape
from typing import Any

from restonb.bench._look import HtmlCell, Shown, bullets, table
from restonb.bench._working import working
from restonb.bench.basis import Basis, shown_answer, todo
from restonb.decisions import NotYet, Step
from restonb.errors import FormulaError
from restonb.quantity import uncertainty_of

__all__ = ["Working"]


class Working(Basis):
    """What is worked out from what was measured."""

    def given(self, name: str, value: Any) -> Any:
        """A parameter; NotYet while it is empty, since nothing is made up in its place."""
        if value is None or value == [] or value == "":
            return NotYet((f"{name}, to be written into build.toml under [parameters.{self.key}]",))
        return value

    def work(self, formula: Callable[..., Any], *args: Any, **kwargs: Any) -> Any:
        """The formula's answer; NotYet while something that it takes is missing, or where it refuses what was given.

        A refusal leaves its point open in the filed result, with the formula's reason; it never fails the run.
        """
        missing = [what for arg in (*args, *kwargs.values()) if isinstance(arg, NotYet) for what in arg.missing]
        if missing:
            return NotYet(tuple(dict.fromkeys(missing)))
        try:
            return formula(*args, **kwargs)
        except FormulaError as refused:
            reason = str(refused).rstrip(".")
            self._filing.leave(Step("not known", "refused", "Not worked out: {reason}.", (), {"reason": reason}))
            return NotYet((reason,))

    def result(self, result: Any, *names: str) -> Shown:
        """A formula's answer with its working and its source; of several numbers, those named come first."""
        return shown_answer(result) or working(result, names)

    def number(self, name: str, value: Any, unit: str = "1", what: str = "") -> Shown:
        """Keep a number that was worked out, to be filed; nothing is kept while it cannot be worked out."""
        if value is None or isinstance(value, NotYet):
            return todo(value if isinstance(value, NotYet) else NotYet((what or name,)))
        kept = value if isinstance(value, int) else float(value)
        return self._filing.number(name, kept, unit, what, uncertainty_of(value))

    def numbers(self) -> Shown:
        """The numbers kept so far."""
        return self._filing.all_numbers()

    def table(
        self, heads: Sequence[str], rows: Iterable[Sequence[str]], caption: str = "", none: str = "nothing to show",
        numeric: Iterable[str] = (),
    ) -> Shown:  # fmt: skip
        """A table of what was gathered; the words of `none` where there is nothing."""
        found = list(rows)
        head = HtmlCell(caption, f"<b>{escape(caption)}</b>") if caption else ""
        return table(heads, found, head, numeric=numeric) if found else bullets([none], "todo")
