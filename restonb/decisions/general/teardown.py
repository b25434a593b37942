"""Taking it apart: what is there, what is missing, what was measured before it came apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeAlias

from restonb.decisions.steps import Step, settled, to_do
from restonb.measure import Characteristic, Instrument, Reading, check, derived, expand
from restonb.record import Entry, JointState
from restonb.words import counted, listed

__all__ = ["CLOSING", "first_measured", "labels", "never_measured", "next_steps", "survey", "total"]

CLOSING = "The survey is complete: every area was looked through, photographed and measured before it came apart."

Rows: TypeAlias = list[tuple[str, ...]]
Counts: TypeAlias = Mapping[str, Any]
"""Area -> quantity counted there, None where nobody looked: the values of a characteristic."""


def survey(missing: Counts, damaged: Counts, fasteners: Counts) -> Rows:
    """Area by area: what is missing, what is damaged, which threads and fasteners are bad."""
    areas = dict.fromkeys((*missing, *damaged, *fasteners))
    return [(area, *(_count(c.get(area)) for c in (missing, damaged, fasteners))) for area in areas]


def total(counts: Counts) -> float | None:
    """The sum over the areas that were looked through; None where none was."""
    known = [q.value for q in counts.values() if q is not None]
    return sum(known) if known else None


def first_measured(
    specs: Iterable[Characteristic], readings: Sequence[Reading], instruments: Mapping[str, Instrument], rule: str
) -> Rows:
    """Per characteristic that was read as found: how many places, and the verdicts of then. The survey itself is left out."""
    rows: Rows = []
    for row in specs:
        mine = [r for r in readings if (r.sheet, r.characteristic) == (row.sheet, row.key)]
        if not mine or row.sheet == "teardown" or derived(row.positions):
            continue
        verdicts = Counter(v.verdict for v in check(row, mine, instruments, rule))
        places = f"{len({r.position for r in mine})} of {len(expand(row.positions))}"
        words = ", ".join(f"{n} x {word}" for word, n in verdicts.items())
        rows.append((row.sheet.replace("_", " "), row.what or row.key, places, words, mine[0].at[:10]))
    return rows


def never_measured(specs: Iterable[Characteristic], readings: Iterable[Reading]) -> list[str]:
    """Sheets of the spec book of which nothing was read as found."""
    seen = {r.sheet for r in readings}
    return [s for s in dict.fromkeys(row.sheet for row in specs) if s not in seen and s != "teardown"]


def labels(entries: Iterable[Entry], sheet: str = "teardown") -> Rows:
    """Photographs and notes of the survey in the order of time: date, label, what it says."""
    return [
        (e.at[:10], (e.body.get("position") or "") if e.kind == "photo" else "note",
         e.body["caption"] if e.kind == "photo" else e.body["text"])
        for e in entries
        if e.body.get("sheet") == sheet and not e.body.get("private")
    ]  # fmt: skip


def next_steps(
    missing: Counts, damaged: Counts, fasteners: Counts, kept: int, wanted: int, states: Mapping[str, JointState],
    unmeasured: Sequence[str],
) -> list[Step]:  # fmt: skip
    """What to do next. `kept`: how many photographs and notes are; `wanted`: parts entered as wanted, ordered or fitted;
    `unmeasured`: sheets of which nothing was read as found.
    """
    every = (("missing", missing), ("damaged", damaged), ("broken_fasteners", fasteners))
    if all(total(counts) is None for _, counts in every):
        says = "Look through the machine area by area, and count what is missing and what is damaged, before a joint is loosened."
        return [to_do("survey.begin", says)]
    steps = _looked(every)
    steps += _missing(missing, wanted)
    steps += _count_steps(
        "damaged", damaged, "Damaged: {areas}. Decide for each: repair, machine shop, or replace. Count again after."
    )
    steps += _count_steps("broken_fasteners", fasteners, "Bad threads and fasteners: {areas}. Identify each thread with a pitch gauge "
                    "before anything is forced. Count again after they are put right.")  # fmt: skip
    if not kept:
        says = "No photograph and no note is kept with this sheet: take a photograph of every side, and of every joint before it is loosened."
        steps.append(to_do("survey.photos", says))
    else:
        steps.append(
            settled(
                "survey.photos", f"{counted(kept, 'photograph or note', 'photographs and notes')} kept with this sheet."
            )
        )
    if silent := [key for key, state in states.items() if not state.state]:
        says = f"{len(silent)} of {counted(len(states), 'joint')} without a state yet: {{joints}}. Enter 'apart' for what came apart, with its label."
        steps.append(to_do("survey.joints", says, joints=listed([key.replace("_", " ") for key in silent], most=6)))
    if unmeasured:
        says = "Nothing was measured as found for {sheets}: measure what is still together before it comes apart."
        steps.append(to_do("survey.unmeasured", says, sheets=listed([s.replace("_", " ") for s in unmeasured], most=5)))
    return steps


def _looked(every: Sequence[tuple[str, Counts]]) -> list[Step]:
    """Which areas nobody looked through, for which count."""
    gone = [(key, area) for key, counts in every for area, count in counts.items() if count is None]
    bare = [key for key, counts in every if not counts]
    areas = list(dict.fromkeys(area for _, area in gone))
    if gone:
        return [to_do("survey.look", "Still to look through: {areas}.", areas=areas)._replace(about=tuple(gone))]
    if bare:
        says = "Not counted at all: {what}. Write the row into the spec book, and count."
        return [to_do("survey.row", says, what=[key.replace("_", " ") for key in bare])]
    return [settled("survey.look", "Every area was looked through.")]


def _missing(missing: Counts, wanted: int) -> list[Step]:
    """What is missing is done with here once it is entered as parts: the list of parts goes on from there."""
    found = total(missing) or 0
    if not found:
        return []
    about = tuple(("missing", area) for area, count in missing.items() if count is not None and count.value > 0)
    values: dict[str, Any] = {"areas": _areas(missing), "entered": wanted, "all": round(found)}
    if found > wanted:
        says = "Missing: {areas}. Enter each as a part that is wanted: {entered} of {all} so far."
        return [to_do("survey.missing", says, **values)._replace(about=about)]
    return [
        settled(
            "survey.missing",
            "Missing: {areas}. As many parts are entered: the parts list goes on from there.",
            **values,
        )
    ]


def _count_steps(key: str, counts: Counts, says: str) -> list[Step]:
    about = tuple((key, area) for area, count in counts.items() if count is not None and count.value > 0)
    return [to_do(f"survey.{key}", says, areas=_areas(counts))._replace(about=about)] if about else []


def _areas(counts: Counts) -> str:
    """'frame 2, wheels 1': where something was counted, and how much."""
    return ", ".join(
        f"{area} {count.value:.0f}" for area, count in counts.items() if count is not None and count.value > 0
    )


def _count(quantity: Any) -> str:
    return "□ not looked at" if quantity is None else f"{quantity.value:.0f}"
