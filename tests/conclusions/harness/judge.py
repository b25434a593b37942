"""What a run may say: nothing reassuring about anything that the record does not support. Worked out from the record alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from harness.case import DAY, Case
from restonb.log import templates
from restonb.measure import WORKED_OUT, Characteristic, Verdict, check
from restonb.measure.positions import derived
from restonb.measure.verdict_table import without_raw
from restonb.record import Record, Run, in_force, standing
from restonb.record.filed import FILED_FORMAT, steps_of, verdict_word
from restonb.record.stands.box import CLOSING_FINDING
from restonb.stated import Build

__all__ = ["Place", "formula_places", "open_places", "openings", "overclaims", "shortfalls", "stands_settled"]

Place = tuple[str, str]


def open_places(case: Case, good: Case, build: Build, record: Record) -> dict[Place, str]:
    """The places of the sheet that are not inside beyond doubt, each with why. `good` is the case with all its rows."""
    rows = {row.key: row for row in build.specs if row.sheet == case.sheet}
    taken = in_force(record, case.sheet)
    failed = {str(one["instrument"]) for one in case.after if one["kind"] == "check" and not one["good"]}
    judged: list[Verdict] = []
    raw: set[str] = set()
    for row in rows.values():
        made = derived(row.positions)
        base = [rows[key] for key in (made.of if made else ()) if key in rows]
        if (
            made and made.what == WORKED_OUT and _limited(row)
        ):  # only the sheet can say; its raw rows are looked at here
            raw |= set(made.of)
            continue
        for verdict in check(row, taken, build.instruments, build.rule, base=base, today=DAY.date()):
            doubted = any(r.instrument in failed for r in verdict.readings)
            judged.append(replace(verdict, doubt="a failed check") if doubted else verdict)
    found = {
        (v.characteristic.key, v.position): v.word
        for v in without_raw(tuple(judged))
        if v.word != "inside" and not (v.word == "no limit" and v.characteristic.key in raw)
        and not (v.characteristic.key in good.optional and not _limited(v.characteristic))
    }  # fmt: skip
    return found | {(key, ""): "no row" for key in good.own if key not in rows and key not in case.optional}


def formula_places(case: Case, build: Build, run: Run) -> dict[Place, str]:
    """The same for rows whose number a formula gives: only the run can say, and what it says must be kept to."""
    found: dict[Place, str] = {}
    for row in build.specs:
        made = derived(row.positions) if row.sheet == case.sheet else None
        if made and made.what == WORKED_OUT and _limited(row):
            mine = [one for one in run.verdicts if one["characteristic"] == row.key]
            found |= {(row.key, one["position"]): word for one in mine if (word := verdict_word(one)) != "inside"}
            found |= {} if mine else {(row.key, ""): "not judged"}
    return found


def _limited(row: Characteristic) -> bool:
    return (row.lower, row.upper, row.wear_limit) != (None, None, None)


def overclaims(run: Run, bad: dict[Place, str], why: Sequence[str] = ()) -> list[str]:
    """What the run says although these places are open, or something else is wrong (`why`); empty where it keeps to the record."""
    if not run.good:
        return []
    said = []
    if not bad and not why:
        return []
    keys = {key for key, position in bad if not position}
    for step in steps_of(run.filed):
        if step["state"] != "settled":
            continue
        if step["finding"] == CLOSING_FINDING:
            said.append(f"the closing word: {step['text']!r}")
        places = [(key, position) for key, position in step["about"] if (key, position) in bad or key in keys]
        said += [
            f"{step['finding']} is settled, and speaks of {key} {at} ({bad.get((key, at), 'no row')}): {step['text']!r}"
            for key, at in places[:2]
        ]
    return said


def shortfalls(run: Run) -> list[str]:
    """What keeps the run of a good case from being settled; empty where it is."""
    if not run.good:
        return [f"the run failed: {run.reason}"]
    filed = run.filed
    short = [] if filed.get("format") == FILED_FORMAT else [f"filed in format {filed.get('format')}"]
    steps = steps_of(filed)
    short += [] if steps else ["no step at all"]
    if _has_closing_word(run.template) and CLOSING_FINDING not in {step["finding"] for step in steps}:
        short.append("its closing word is not said")
    short += [
        f"{step['finding']} is {step['state']!r}: {step['text']!r}" for step in steps if step["state"] != "settled"
    ]
    short += [f"no row: {key}" for key in filed.get("rows_missing", ())]
    short += [f"open: {line}" for line in filed.get("open", ())]
    return short


@cache
def _has_closing_word(template: str) -> bool:
    """Whether the template gives one to be said once everything is settled."""
    [found] = [one for one in templates() if one.name == template] or [None]
    return found is None or any("closing=" in "".join(cell["source"]) for cell in found.notebook["cells"])


def stands_settled(record: Record, build: Build, sheet: str) -> bool:
    """Whether the whole record says that the sheet is settled: the one word that status, page and hand-over say."""
    return standing(record, build).sheets[sheet].word == "settled"


def openings(record: Record, build: Build, sheet: str, bad: dict[Place, str]) -> list[str]:
    """What the whole record wrongly says while these places are open: that the sheet is settled, or that the road is open."""
    whole = standing(record, build)
    said = ["the sheet stands settled in the record"] if whole.sheets[sheet].word == "settled" else []
    safe = {row.key for row in build.specs if row.sheet == sheet and row.safety}
    held = [f"{key} {at} ({word})" for (key, at), word in bad.items() if key in safe]
    return said + ([f"the road is open, with {held[0]}"] if held and whole.gate.ready else [])
