"""What a sheet will file: gathered cell by cell, closed by the last one."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from html import escape
from typing import Any

from restonb.bench._look import Shown, bullets, table
from restonb.decisions import Step, sentence
from restonb.measure import Characteristic, Reading, Verdict, without_raw
from restonb.quantity import result_text
from restonb.record import CLOSING_FINDING, FILED_FORMAT

__all__ = ["FILED", "Filing", "Live"]

FILED = "application/vnd.restonb.filed+json"


@dataclass(frozen=True)
class Live:
    """A run that is not filed yet, to compare with one that is."""

    filed: Mapping[str, Any]
    parameters: Mapping[str, Any]
    template_digest: str
    spec: Mapping[str, str]
    basis: Mapping[str, Any] = field(default_factory=dict)
    seq: int = 0
    at: str = ""
    state: str = "good"
    reason: str = ""


@dataclass
class Filing:
    """The filed result of one sheet, while it grows. A cell that is run again replaces what it said before."""

    sheet: str
    units: Mapping[str, str] = field(default_factory=dict)
    """Kind of quantity -> the unit that the person wants to read."""
    decision: list[Step] = field(default_factory=list)
    closing: str = ""
    cautions: list[str] = field(default_factory=list)
    left: dict[tuple[str, str], Step] = field(default_factory=dict)
    """Steps besides the decision: what a template leaves open, and formulas that refused what was measured."""
    numbers: dict[str, dict[str, Any]] = field(default_factory=dict)
    us: dict[str, float | None] = field(default_factory=dict)
    verdicts: dict[tuple[str, str], Verdict] = field(default_factory=dict)
    readings: set[int] = field(default_factory=set)
    rows_missing: dict[str, None] = field(default_factory=dict)

    def used(self, readings: Iterable[Reading]) -> None:
        self.readings |= {r.seq for r in readings if r.seq}

    def judged(self, rows: Iterable[Verdict]) -> None:
        self.verdicts |= {(v.characteristic.key, v.position): v for v in rows}

    def judged_again(self, characteristic: str, rows: Iterable[Verdict]) -> None:
        """Verdicts in place of all that this characteristic had, since its places may have changed."""
        self.verdicts = {place: v for place, v in self.verdicts.items() if place[0] != characteristic}
        self.judged(rows)

    def no_row(self, characteristic: str) -> None:
        self.rows_missing[characteristic] = None

    def number(self, name: str, value: float, unit: str, what: str, u: float | None = None) -> Shown:
        self.numbers[name] = {"value": value, "unit": unit, "what": what}
        self.us[name] = u
        text = f"{what or name}: {self._number_text(name)}"
        return Shown(f"<p>{escape(text)}</p>", text)

    def _number_text(self, name: str) -> str:
        """With the digits that it deserves: its own uncertainty says it, else the readings of its kind on this sheet."""
        from restonb.quantity import convert_difference, same_kind

        value, unit = self.numbers[name]["value"], self.numbers[name]["unit"]
        of_kind = [
            abs(float(convert_difference(v.U, v.unit, unit)))
            for v in self.verdicts.values()
            if v.U and same_kind(v.unit, unit)
        ]
        return result_text(value, unit, self.us.get(name), min(of_kind, default=None))

    def all_numbers(self) -> Shown:
        rows = [(n["what"] or name, self._number_text(name)) for name, n in self.numbers.items()]
        return table(("worked out", "value"), rows, numeric=("value",)) if rows else bullets(
            ["no number is worked out yet"], "todo")  # fmt: skip

    def leave(self, step: Step) -> None:
        """Keep a step beside the decision; one that is said again is kept once."""
        self.left[step.finding, sentence(step, self.units)] = step

    def steps(self) -> list[Step]:
        """The decision, and what is left open beside it."""
        return [*self.decision, *self.left.values()]

    def last_word(self) -> Step | None:
        """The closing word, which is said only where the sheet as a whole is settled; None where there is none to say."""
        return Step("settled", CLOSING_FINDING, self.closing) if self.closing and self.decision else None

    def still_open(self) -> list[str]:
        """What was left open, and what is by itself: not measured, too close to call, in doubt, without limit, outside."""
        found = [sentence(step, self.units) for step in self.left.values() if step.state != "settled"]
        found += [f"{key}: the spec book has no row for it" for key in self.rows_missing]
        groups: dict[tuple[str, str], list[str]] = {}
        for row in without_raw(tuple(self.verdicts.values())):
            if row.word != "inside":
                what = row.characteristic.what or row.characteristic.key
                groups.setdefault((what, row.word), []).append(row.position)
        for (what, word), positions in groups.items():
            at = "" if positions == ["once"] else f" ({', '.join(positions)})"
            found.append(f"{what}{at}: {word}")
        return found

    def as_data(self) -> dict[str, Any]:
        """The filed result, JSON-ready, without the closing word: whether that is said depends on more than this sheet."""
        return {
            "format": FILED_FORMAT,
            "sheet": self.sheet,
            "steps": [step.as_data(self.units) for step in self.steps()],
            "rows_missing": list(self.rows_missing),
            "verdicts": [v.as_data() for v in self.verdicts.values()],
            "numbers": dict(self.numbers),
            "readings": sorted(self.readings),
            "cautions": list(self.cautions),
            "open": self.still_open(),
        }

    def not_looked_at(self, rows: Iterable[Characteristic], expected: Collection[str]) -> list[str]:
        """Rows with limits that the person added to a template's sheet: judged at its end, else no verdict is ever filed."""
        judged = {characteristic for characteristic, _ in self.verdicts}
        limited = (row.key for row in rows if (row.lower, row.upper, row.wear_limit) != (None, None, None))
        return [key for key in limited if expected and key not in expected and key not in judged]
