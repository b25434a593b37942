"""Everything that keeps a sheet from being settled, as data; the worst of it is the sheet's one word."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.measure import Characteristic, derived
from restonb.record.filed import has_steps, open_lines, steps_of, verdict_word
from restonb.record.stands.open_ends import OpenEnd
from restonb.words import listed_places as listed

if TYPE_CHECKING:
    from restonb.record.stands.sheet import SheetStanding

__all__ = ["STANDINGS", "Left", "left_of", "worst_word"]

STANDINGS = (
    "settled", "to do", "not known", "out of date", "in doubt", "measure again", "not run", "failed", "outside", "stop",
)  # fmt: skip
"""What a sheet can be, best first. There is one such word for a sheet, and it is the same wherever it is shown."""

Place = tuple[str, str]
"""A characteristic and a position."""

WORD_OF = {
    "outside": "outside",
    "too close to call": "not known",
    "no limit": "not known",
    "in doubt": "in doubt",
    "not measured": "to do",
}
"""What a verdict makes of its sheet."""


class Left(NamedTuple):
    """One thing that keeps a sheet from being settled. Read `word`, `kind` and `safety`, never `text`.

    `kind`: 'result' (the filed result itself is not current), 'row' (a verdict, or that there is none), 'step' (of its
    decision), 'end' (a joint, a part or work that it relies on).
    """

    word: str
    text: str
    safety: bool
    places: tuple[Place, ...] = ()
    seq: int = 0
    kind: str = "row"

    @property
    def line(self) -> str:
        """It in one line, with its word where the text does not say it."""
        return f"{self.word}: {self.text}" if self.kind == "result" else self.text


def worst_word(left: Iterable[Left]) -> str:
    """The word that decides; 'settled' where nothing is left."""
    return max((one.word for one in left), key=STANDINGS.index, default="settled")


def left_of(
    sheet: SheetStanding, rows: Mapping[str, Characteristic], ends: Iterable[OpenEnd], safe_joints: Iterable[str]
) -> tuple[Left, ...]:
    """Everything that is left; `ends` are the open ends that bear on the sheet, `safe_joints` those about safety."""
    marks = _Marks(sheet, rows)
    found = [*_result(sheet, marks), *_rows(sheet, rows, marks)]
    found += _steps(sheet, rows, marks, found)
    return (*found, *_ends(sheet, ends, set(safe_joints)))


class _Marks:
    """What of a sheet is about safety."""

    def __init__(self, sheet: SheetStanding, rows: Mapping[str, Characteristic]) -> None:
        filed = {str(r.get("characteristic", "")): bool(r.get("safety")) for r in sheet.settled}
        self.marked = {key for key, safe in filed.items() if safe and key not in rows}
        self.marked |= {key for key, row in rows.items() if row.safety}
        self.whole = sheet.safety
        self.template = any(run.filed.get("safety") for run in (sheet.run, sheet.failed) if run)
        self.made = {key: made.of for key, row in rows.items() if (made := derived(row.positions))}
        limited = {key for key, row in rows.items() if _has_limit(row)}
        # A raw row without a limit hands its mark on to what is worked out from it.
        handed = {key for key, of in self.made.items() if self.marked & (set(of) - limited)}
        self.judged = self.marked | handed
        # What is not measured keeps what is worked out from it open too.
        self.measured = self.judged | {raw for key, of in self.made.items() if key in self.judged for raw in of}

    def of_verdict(self, key: str) -> bool:
        return key in self.judged or (self.template and not self.marked)

    def of_places(self, places: Iterable[Place]) -> bool:
        """Of readings that are missing, spoiled or in doubt."""
        return any(key in self.measured for key, _ in places) or (self.template and not self.marked)


def _result(sheet: SheetStanding, marks: _Marks) -> Iterator[Left]:
    """Why the filed result is not current."""
    safe_steps = [step for step in _filed_steps(sheet) if step.get("safety")]
    for reason in sheet.reasons:
        places = tuple(dict.fromkeys((*reason.places, *sheet.rows_of(reason.places))))
        if reason.state in ("measure again", "in doubt") and places:
            safety = marks.of_places(places) or any(set(_about(step)) & set(places) for step in safe_steps)
        else:  # the whole decision rests on what it no longer is
            safety = marks.whole
        yield Left(reason.state, reason.text, safety, places, reason.seq, "result")
    if sheet.run and sheet.failed:
        text = f"a later run on {sheet.failed.at[:10]} failed: {sheet.failed.reason}"
        yield Left("to do", text, False, (), sheet.failed.seq, "step")


# -- rows


def _rows(sheet: SheetStanding, rows: Mapping[str, Characteristic], marks: _Marks) -> Iterator[Left]:
    """Every row that is not inside, by what is measured; and those without any verdict."""
    verdicts = (*sheet.settled, *sheet.judged)
    if sheet.run is None and not verdicts:
        return  # 'not run' says it
    filed = {str(row.get("characteristic", "")) for row in sheet.settled}
    worked_out = {raw for key in _with_limit_judged(verdicts) for raw in marks.made.get(key, ())}
    groups: dict[tuple[str, str], list[str]] = {}
    for row in verdicts:
        key, position, verdict = _row(row)
        word = sheet.row_word(key, position)
        if word == "inside" or (
            sheet.marks.get((key, position)) in ("measure again", "in doubt") and word != "outside"
        ):
            continue  # a reason says the others
        if word == "no limit" and key in worked_out:
            continue  # what is worked out from it settles it
        if verdict == "not measured" and key not in rows:
            continue
        if verdict == "not measured" and (key, position) in sheet.read_since:
            word = "read since"
        elif word == "out of date":
            continue  # so does this one
        groups.setdefault((key, word), []).append(position)
    told = {_row(row)[:2] for row in verdicts}
    for key, position in sheet.not_measured if sheet.run else ():
        if (key, position) not in told and not (key in filed and rows[key].positions.startswith("repeat")):
            groups.setdefault((key, "not measured"), []).append(position)
    unmeasured = {key for key, word in groups if word == "not measured"}
    for (key, word), positions in groups.items():
        if word == "not measured" and unmeasured.intersection(marks.made.get(key, ())):
            continue  # told by what it is worked out from
        yield _row_left(key, word, tuple((key, position) for position in positions), marks)
    for key, spec in rows.items() if sheet.run else ():
        if key in filed or key in worked_out or any(key == one for one, _ in groups):
            continue
        if not _has_limit(spec):
            if marks.of_verdict(key) and spec.safety:
                yield Left("not known", f"{key}: marked safety, but no limit is given", True, ((key, ""),))
        elif not unmeasured.intersection(marks.made.get(key, ())):
            yield Left("not known", f"{key}: no verdict was filed", marks.of_verdict(key), ((key, ""),))


def _row_left(key: str, word: str, places: tuple[Place, ...], marks: _Marks) -> Left:
    where = listed(places, None)
    if word == "read since":
        return Left("out of date", f"{where}: read since it was run, so run it again", marks.of_places(places), places)
    if word == "not measured":
        return Left("to do", f"{where}: not measured", marks.of_places(places), places)
    safety = marks.of_verdict(key)
    if word == "no limit":
        return Left("not known", f"{where}: {'marked safety, but ' if safety else ''}no limit is given", safety, places)
    return Left(WORD_OF.get(word, "not known"), f"{where}: {word}", safety, places)


def _with_limit_judged(verdicts: Iterable[Mapping[str, Any]]) -> set[str]:
    return {str(row.get("characteristic", "")) for row in verdicts if row.get("verdict") != "no limit"}


def _row(row: Mapping[str, Any]) -> tuple[str, str, str]:
    return str(row.get("characteristic", "")), str(row.get("position", "")), verdict_word(row)


def _has_limit(row: Characteristic) -> bool:
    return not (row.lower is None and row.upper is None and row.wear_limit is None)


# -- steps and ends


def _steps(
    sheet: SheetStanding, rows: Mapping[str, Characteristic], marks: _Marks, before: Sequence[Left]
) -> Iterator[Left]:
    """Steps that are not settled, less those that only say of their rows what the rows say themselves."""
    if sheet.run is None:
        return
    holds = marks.template and not marks.marked
    for key in map(str, sheet.run.filed.get("rows_missing") or ()):
        if key not in rows:  # one that was written since makes the result out of date
            yield Left("to do", f"{key}: the spec book has no row for it", marks.template, ((key, ""),))
    for step in _filed_steps(sheet):
        state, about = str(step.get("state", "")), _about(step)
        if state == "settled":
            continue
        word = state if state in STANDINGS else "not known"
        safety = (
            bool(step.get("safety"))
            or holds
            or (marks.template and not about)
            or any(key in marks.judged for key, _ in about)
        )
        if about and all(_covered(place, word, safety, before) for place in about):
            continue
        if about and all(sheet.marks.get(place) in ("out of date", "measure again") for place in about):
            continue  # it spoke of readings that count no longer; the reason says so
        yield Left(word, str(step.get("text", "")), safety, about, sheet.run.seq, "step")
    if not has_steps(sheet.run.filed):
        yield from (
            Left("to do", line, marks.template, (), sheet.run.seq, "step") for line in open_lines(sheet.run.filed)
        )


def _covered(place: Place, word: str, safety: bool, before: Iterable[Left]) -> bool:
    """That place is left already, by something as grave."""
    return any(
        place in one.places and STANDINGS.index(one.word) >= STANDINGS.index(word) and one.safety >= safety
        for one in before
    )


def _filed_steps(sheet: SheetStanding) -> list[dict[str, Any]]:
    return steps_of(sheet.run.filed) if sheet.run else []


def _about(step: Mapping[str, Any]) -> tuple[Place, ...]:
    return tuple((str(place[0]), str(place[1])) for place in step.get("about") or ())


def _ends(sheet: SheetStanding, ends: Iterable[OpenEnd], safe: set[str]) -> Iterator[Left]:
    for end in ends:
        if end.kind in ("retighten", "torque") and not end.due:
            continue  # kept in view, and nothing to be done about it now
        safety = end.joint in safe or (end.sheet == sheet.sheet and sheet.safety)
        word = "in doubt" if end.kind == "doubt" else "to do"
        yield Left(word, end.text, safety if end.blocks is None else end.blocks, (), end.seq, "end")
