"""Taking it apart: what is there, what is missing, what was measured before it came apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeAlias

from restonb.bench._look import chip
from restonb.decisions._words import listed
from restonb.measure import Characteristic, Instrument, Reading, check, derived, expand
from restonb.record import Entry, JointState

__all__ = ["first_measured", "labels", "never_measured", "next_steps", "survey", "total"]

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
        words = ", ".join(f"{n} x {chip(word)}" for word, n in verdicts.items())
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
    missing: Counts, damaged: Counts, fasteners: Counts, photos: int, wanted: int, states: Mapping[str, JointState],
    unmeasured: Sequence[str],
) -> list[str]:  # fmt: skip
    """What to do next. `photos`: how many are kept; `wanted`: parts entered as wanted, ordered or fitted;
    `unmeasured`: sheets of which nothing was read as found.
    """
    if all(total(c) is None for c in (missing, damaged, fasteners)):
        return [
            "Look through the machine area by area, and count what is missing and what is damaged, before a joint is loosened."
        ]
    gone = [area for area in missing if any(c.get(area) is None for c in (missing, damaged, fasteners))]
    said = [f"Still to look through: {listed(gone)}."] if gone else []
    for counts, what, do in (
        (missing, "missing", "enter each as a part that is wanted"),
        (damaged, "damaged", "decide for each: repair, machine shop, or replace"),
        (fasteners, "bad threads and fasteners", "identify each thread with a pitch gauge before anything is forced"),
    ):
        at = [f"{area} {q.value:.0f}" for area, q in counts.items() if q is not None and q.value > 0]
        if at:
            said.append(f"{what[0].upper()}{what[1:]}: {', '.join(at)}; {do}.")
    short = (total(missing) or 0) - wanted
    if short > 0:
        said.append(
            f"{total(missing):.0f} parts are missing and {wanted} are entered as parts so far; enter the others."
        )
    if not photos:
        said.append(
            "No photograph is kept with this sheet: take one of every side and of every joint before it is loosened."
        )
    silent = [key for key, state in states.items() if not state.state]
    if silent:
        said.append(
            f"{len(silent)} of {len(states)} joints have no state yet; enter 'apart' for what came apart, with its label."
        )
    if unmeasured:
        named = [s.replace("_", " ") for s in unmeasured[:5]]
        more = [f"{len(unmeasured) - 5} more sheets"] if len(unmeasured) > 5 else []
        said.append(f"Nothing was measured as found for {listed([*named, *more])}: measure what is still together before it "
                    "comes apart.")  # fmt: skip
    return said


def _count(quantity: Any) -> str:
    return "□ not looked at" if quantity is None else f"{quantity.value:.0f}"
