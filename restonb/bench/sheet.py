"""A sheet in a notebook: what is measured, what it comes to, what is decided, and the filing of all that."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from restonb.bench import _tables
from restonb.bench._evidence import Evidence
from restonb.bench._filing import Filing, Live
from restonb.bench._live import Several
from restonb.bench._look import Cell, Shown, bullets, joined, steps_shown, table
from restonb.bench._top import Top
from restonb.bench._values import Known, Values
from restonb.bench._verdicts import Checked, marked
from restonb.bench._working import working
from restonb.bench.entry import entry_grid, opening
from restonb.decisions import NotYet, Step
from restonb.errors import FormulaError
from restonb.measure import Characteristic, Reading, Verdict, Verdicts, derived, expand
from restonb.quantity import Quantity
from restonb.quantity.digits import uncertainty_of
from restonb.record import Entry, JointState, OpenEnd, Record, joint_states, open_ends, readings, runs, standing
from restonb.record.changes import Changes, compare
from restonb.record.stands.basis import judged_by, narrowed
from restonb.record.views import unstruck
from restonb.stated import Build

__all__ = ["Sheet", "sheet"]


def sheet(key: str | Sheet, build: Build | None = None) -> Sheet:
    """The sheet of that name (or of that sheet), in the build that this notebook belongs to.

    While a template is being run, the record is seen as it was when the run began, and nothing can be entered;
    in a notebook that is open, as it stands. Raises BuildError where there is no build.
    """
    key, found = key if isinstance(key, str) else key.key, build or Build.find()
    head = os.environ.get("RESTONB_HEAD")
    return Sheet(key, found, Record.open(found), int(head) if head else None, bool(os.environ.get("RESTONB_STATIC")))


class Sheet:
    """One measuring job. Everything that it shows is HTML and plain text; nothing needs a script."""

    def __init__(self, key: str, build: Build, record: Record, as_of: int | None = None, static: bool = True) -> None:
        self.key, self.build, self.record, self.as_of, self.static = key, build, record, as_of, static
        self.rows: dict[str, Characteristic] = {row.key: row for row in build.specs if row.sheet == key}
        self.evidence = Evidence(build, record, key, as_of)
        self.expected: dict[str, tuple[str, str, str]] = {}
        self._filing = Filing(key, build.units)
        self._top = Top(key)

    def expects(self, **rows: tuple[str, str, str]) -> None:
        """What the template measures: characteristic -> (what, positions, unit). It serves only to tell a person
        which row to write where the spec book lacks one; limits come from the spec book alone.
        """
        self.expected.update(rows)

    # -- measure

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

    def measure_each(self, occasion: str = "as found") -> Any:
        """The same for every row of the sheet that is measured, one below the other."""
        parts = [self.measure(key, occasion) for key, row in self.rows.items() if derived(row.positions) is None]
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

    def uses(self, readings: Iterable[Reading]) -> None:
        """Readings of another sheet that this result stands on: once they are newer, it is out of date."""
        self._filing.used(readings)

    def history(self, characteristic: str) -> Shown:
        """Every reading that was not struck, oldest first."""
        row = self.rows.get(characteristic)
        return _tables.history(row, self.evidence.all(characteristic)) if row else self._no_row(characteristic)

    # -- check

    def check(self, *characteristics: str, occasion: str | None = None) -> Checked:
        """Verdicts on these characteristics (all of the sheet, when none is named); they will be filed."""
        keys = characteristics or tuple(self.rows)
        known = [self.rows[key] for key in keys if key in self.rows]
        missing = [self._not_checked(key) for key in keys if key not in self.rows]
        rows = tuple(v for row in known for v in self._judged(row, occasion))
        self._filing.judged(rows)
        todo = Shown("".join(m.html for m in missing), "\n".join(m.text for m in missing)) if missing else None
        return Checked(rows, todo, self.build.units)

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

    def source(self, characteristic: str) -> str:
        """Where its limits stand; '' where the spec book says nothing."""
        row = self.rows.get(characteristic)
        return row.source if row else ""

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

    def stated(self, characteristic: str, field: str) -> Quantity | NotYet:
        """What the spec row states: `field` is nominal, lower, upper or wear_limit; NotYet where it states none."""
        row = self.rows.get(characteristic)
        value = getattr(row, field) if row else None
        if row is None or value is None:
            what = row.what if row else self.expected.get(characteristic, (characteristic,))[0]
            return NotYet((f"{what}: its {field.replace('_', ' ')}, to be written into the spec book",))
        return Quantity(value, row.unit)

    def uncertainty(self, characteristic: str, unit: str, occasion: str | None = None) -> float:
        """The largest standard uncertainty of its values in that unit; 0 where nothing is measured."""
        from restonb.quantity import convert_difference

        row = self.rows.get(characteristic)
        us = [v.u for v in self._judged(row, occasion) if v.u is not None] if row else []
        return float(convert_difference(max(us), row.unit, unit)) if row and us else 0.0

    def _judged(self, row: Characteristic, occasion: str | None) -> tuple[Verdict, ...]:
        from restonb.measure import check

        asked = derived(row.positions)
        base = tuple(self.rows[key] for key in (asked.of if asked else ()) if key in self.rows)
        found: list[Reading] = []
        spoiled: dict[Any, Any] = {}
        for key in (b.key for b in base) if asked else (row.key,):
            good, bad = self.evidence.standing(key, occasion)
            found += good
            spoiled |= bad
        self._filing.used(found)
        verdicts = check(row, found, self.build.instruments, self.build.rule, base=base)
        return marked(verdicts, spoiled)

    # -- work out

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
        return _shown(result) or working(result, names)

    def number(self, name: str, value: Any, unit: str = "1", what: str = "") -> Shown:
        """Keep a number that was worked out, to be filed; nothing is kept while it cannot be worked out."""
        if value is None or isinstance(value, NotYet):
            return _todo(value if isinstance(value, NotYet) else NotYet((what or name,)))
        kept = value if isinstance(value, int) else float(value)
        return self._filing.number(name, kept, unit, what, uncertainty_of(value))

    def numbers(self) -> Shown:
        """The numbers kept so far."""
        return self._filing.all_numbers()

    def bars(self, verdicts: Verdicts) -> Shown:
        """Values and uncertainties against their limits; where nothing is measured, a word instead of a chart."""
        if all(row.value is None for row in verdicts):
            return bullets(["nothing to draw: none of this is measured yet"], "todo")
        from restonb.charts import tolerance_bars

        return self.show(tolerance_bars(verdicts.to(self.build.units)))

    def budgets(self, verdicts: Verdicts) -> Shown:
        """What the uncertainty of each characteristic is made of, at its least certain place."""
        return _tables.budgets(verdicts.to(self.build.units))

    def show(self, figure: Any, alt: str = "") -> Shown:
        """A chart, or a piece of SVG or HTML, with the words that tell it to a reader who cannot see it."""
        if shown := _shown(figure):
            return shown
        if isinstance(figure, (list, tuple)):
            return joined([self.show(one) for one in figure]) if figure else bullets(["nothing to show yet"], "todo")
        if isinstance(figure, str):
            return Shown(f'<figure role="img" aria-label="{_attribute(alt)}">{figure}</figure>', alt)
        from restonb.charts import describe, svg

        return Shown(svg(figure), alt or describe(figure))

    # -- what it rests on

    def joints(self) -> Any:
        """The joints that this sheet relies on, directly and through others, with their states.

        Where something can be entered, also a panel to say that one of them was opened, and what that spoils.
        """
        shown, panel = _tables.joints(self.build, self.record, self.key, self.as_of), opening(self)
        return shown if panel is None else Several((shown, panel))

    def sign_off(self, joint: str) -> Any:
        """A joint to be tightened in stages and signed off; its pattern and fasteners, where nothing can be entered.

        '' says which parameter to fill in. Raises BuildError for a joint that joints.toml does not have.
        """
        if not joint:
            return bullets(["write the name of the joint into the parameter sign_off, to sign it off here"], "todo")
        from restonb.bench.entry import sign_off

        return sign_off(self, joint)

    def photos(self) -> Shown:
        """The photographs kept with this sheet, small, without what the camera wrote into them."""
        from restonb.bench._photos import photos

        return photos(self.build, self.record, self.key, self.as_of)

    # -- what else stands in the record

    def entries(self, *kinds: str) -> list[Entry]:
        """The entries of these kinds that are not struck, oldest first."""
        return sorted((e for kind in kinds for e in unstruck(self.record, kind, self.as_of)), key=lambda e: e.seq)

    def readings(self, occasion: str | None = None) -> list[Reading]:
        """The readings of every sheet that are not struck, oldest first."""
        return readings(self.record, occasion=occasion, as_of=self.as_of)

    def joint_states(self) -> dict[str, JointState]:
        """The state of every joint."""
        return joint_states(self.record, self.build.joints, self.as_of)

    def open_ends(self) -> tuple[OpenEnd, ...]:
        """Everything that is not finished."""
        return open_ends(self.record, self.build, self.as_of)

    def last_day(self, characteristic: str) -> str:
        """The day of its newest reading, for a chart; '' where there is none."""
        return max((r.at[:10] for r in self.evidence.all(characteristic)), default="")

    def doubts(self) -> list[str]:
        """Why readings of this sheet are in doubt: a gauge that failed its check afterwards."""
        found = standing(self.record, self.build, self.as_of).sheets.get(self.key)
        return [reason.text for reason in found.reasons if reason.state == "in doubt"] if found else []

    def table(
        self, heads: Sequence[str], rows: Iterable[Sequence[str]], caption: str = "", none: str = "nothing to show",
        numeric: Iterable[str] = (),
    ) -> Shown:  # fmt: skip
        """A table of what was gathered; the words of `none` where there is nothing."""
        found = list(rows)
        head = Cell(caption, f"<b>{_attribute(caption)}</b>") if caption else ""
        return table(heads, found, head, numeric=numeric) if found else bullets([none], "todo")

    # -- say

    def cautions(self, *lines: str) -> Shown:
        """What may hurt; shown here, in the filed result, and in the hand-over."""
        self._filing.cautions += [line for line in lines if line not in self._filing.cautions]
        return bullets(lines, "caution", "Caution")

    def decide(self, *steps: Step | Iterable[Step], closing: str = "") -> Shown:
        """What the numbers say to do next. `closing` is said, and filed, only where nothing at all is left open.

        Rows with limits that the person added to the sheet are judged here too, since they count.
        """
        flat = [one for step in steps for one in ((step,) if isinstance(step, Step) else step)]
        self._filing.decision, self._filing.closing = flat, closing
        for key in self._filing.not_looked_at(self.rows.values(), self.expected):
            self._filing.judged(self._judged(self.rows[key], None))
        return steps_shown([step.as_data(self.build.units) for step in self._filing.steps()])

    def leave_open(self, *lines: str | Step) -> Shown:
        """What is still to do; what is not measured stands there without being said."""
        found = [one if isinstance(one, Step) else Step("to do", "left open", one) for one in lines if one]
        for step in found:
            self._filing.leave(step)
        return steps_shown([step.as_data(self.build.units) for step in found])

    def private(self, choice: str, text: str) -> Shown:
        """Keep this page at home: a hand-over leaves it out unless it was asked for `choice`, such as 'costs'."""
        return Shown(f'<p class="caution"><b>Private.</b> {_attribute(text)}</p>', f"Private. {text}",
                     {"application/vnd.restonb.private+json": {"choice": choice}})  # fmt: skip

    # -- file

    def summary(self) -> Shown | None:
        """What was found, decided and is open, at the top of the sheet: filled in when the sheet is closed at its end."""
        return self._top.show(Shown('<p class="todo">Not decided yet: run this sheet to its end.</p>',
                                    "Not decided yet: run this sheet to its end."))  # fmt: skip

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

    def _no_row(self, characteristic: str) -> Shown:
        self._filing.no_row(characteristic)
        return _tables.no_row(self.key, characteristic, self.expected.get(characteristic))

    def _not_checked(self, characteristic: str) -> Shown:
        self._filing.no_row(characteristic)
        text = f"{characteristic} is not checked: the spec book has no row for it."
        return Shown(f'<p class="todo">{text}</p>', text)

    def __repr__(self) -> str:
        as_of = "" if self.as_of is None else f", as of entry {self.as_of}"
        return f"sheet {self.key} of {self.build.name}: {', '.join(self.rows) or 'no rows in the spec book yet'}{as_of}"

    def _repr_html_(self) -> str:
        from restonb.bench._look import styled

        return styled(f'<p class="small">{_attribute(repr(self))}</p>')


def _todo(answer: NotYet) -> Shown:
    """What is missing, where an answer would stand."""
    return Shown(answer.html, answer.text)


def _shown(answer: Any) -> Shown | None:
    """The answer itself where it can be shown as it is, and what is missing where there is none; None for a result."""
    if isinstance(answer, NotYet):
        return _todo(answer)
    return answer if isinstance(answer, Shown) else None


def _attribute(text: str) -> str:
    from html import escape

    return escape(text, quote=True)
