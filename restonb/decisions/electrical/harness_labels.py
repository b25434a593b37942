"""Labels of a harness: what stands on each, and what is still to be printed, tied or measured."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from restonb.bench._look import Shown, table
from restonb.bench._values import NotYet
from restonb.bench.labels import Label, Layout, lay_out, module_size
from restonb.decisions._words import listed, undone
from restonb.errors import RestonbError
from restonb.measure import Verdicts, expand

if TYPE_CHECKING:
    from restonb.bench.sheet import Sheet

__all__ = ["finest", "labels_of", "labels_shown", "next_steps", "sheets", "without_entry"]

NO_ENTRY = "no entry yet"
SMALLEST_MODULE = 0.33
"""mm; common practice, no source: a telephone's camera at hand's length."""


def labels_of(harness: Sheet, wires: Sequence[Sequence[str]], characteristic: str = "continuity") -> Any:
    """A label for each wire; NotYet where neither the spec book nor `wires` names one.

    `harness`: the sheet whose readings the labels name; `wires`: (number, from, to, colour, mm2).
    """
    row = harness.rows.get(characteristic)
    numbers = [p.removeprefix("wire ") for p in expand(row.positions)] if row else []
    by_number = {w[0]: [*w[1:5], "", "", "", ""][:4] for w in wires if w}
    numbers += [n for n in by_number if n not in numbers]
    if not numbers:
        return NotYet(("the wires of the harness, in the spec book (circuits, continuity) and in build.toml",))
    read = {r.position.removeprefix("wire "): r for r in harness.evidence.in_force(characteristic)}
    return [_label(harness, n, by_number.get(n, ["", "", "", ""]), read.get(n)) for n in numbers]


def _label(harness: Sheet, number: str, about: Sequence[str], reading: Any) -> Label:
    start, end, colour, area = about
    way = (start, f"→ {end}") if start and end else ("where it goes", "is not written down")
    kind = ", ".join(t for t in (colour, f"{area} mm2" if area else "") if t)
    told = [f"wire {number}", f"{start} to {end}" if start and end else ""]
    if reading is None:
        entry = NO_ENTRY
    else:
        found = harness.record.entry(reading.seq)
        digest = found.digest[:8] if found else ""
        entry = f"entry {reading.seq}, {digest}"
    measured = f"{reading.typed or reading.value} {reading.unit}, {reading.at[:10]}" if reading is not None else ""
    code = "; ".join(t for t in (harness.build.name, *told, entry) if t)
    lines = tuple(t for t in (*way, kind, measured, entry) if t)
    return Label(f"wire {number}", lines, code)


def without_entry(labels: Sequence[Label]) -> list[str]:
    """The wires whose label can name no entry yet."""
    return [label.head for label in labels if label.lines[-1] == NO_ENTRY]


def finest(labels: Sequence[Label], layout: Layout) -> float:
    """Side in mm of the smallest module of all codes, as printed."""
    return min(module_size(label, layout) for label in labels)


def labels_shown(labels: Any) -> Shown:
    """What stands on each label, and what its code says."""
    if isinstance(labels, NotYet):
        return labels
    return table(("label", "text", "code"), [(x.head, "; ".join(x.lines), x.code) for x in labels], tight=("label",))


def sheets(labels: Any, layout: Layout) -> Any:
    """The sheets as one piece of SVG; what is wrong with the sizes in words, where they cannot be."""
    if isinstance(labels, NotYet):
        return labels
    try:
        return "".join(lay_out(labels, layout))
    except RestonbError as error:
        return NotYet((f"sizes that fit ({error})",))


def next_steps(labels: Any, pages: Any, module: Any, scale: Verdicts, wrong: Verdicts) -> list[str]:
    """The decision: `pages` false while nothing can be printed, `module` in mm."""
    if isinstance(labels, NotYet):
        return ["Write the wires into the spec book and build.toml; then there is something to label."]
    if isinstance(pages, NotYet):
        return [f"Nothing can be printed: {'; '.join(pages.missing)}."]
    said = []
    if gone := without_entry(labels):
        said.append(f"Measure {listed(gone)} end to end before printing: the label has no entry to name yet.")
    if isinstance(module, float) and module < SMALLEST_MODULE:
        said.append(f"The code is fine ({module:.2f} mm a module): make the labels higher, or it may not scan.")
    return [*said, _print(scale), *([] if scale.word == "outside" else [_tie(wrong)])]


def _print(scale: Verdicts) -> str:
    if undone(scale):
        return "Print at 100 %, not 'fit to page', and measure the bar at the foot of the sheet."
    if scale.word == "outside":
        return (
            "The print has another size: set the printer to 100 % and print again, or labels do not fit their sleeves."
        )
    return (
        "The print has its true size."
        if scale.word in ("inside", "no limit")
        else "Measure the bar again, with a calliper."
    )


def _tie(wrong: Verdicts) -> str:
    if undone(wrong):
        return "Cut out, cover with clear tape, tie one to each end; then scan every one where it hangs."
    if wrong.word == "inside":
        return "Every label scans, and hangs on its wire."
    return "Some labels do not scan or hang on another wire: put them right, and scan all of them again."
