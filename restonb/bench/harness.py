"""Labels for the wires of a harness: what is on each, from the readings of its sheet; the sheets to print."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from restonb.bench._look import Shown, table
from restonb.bench.labels import Label, Layout, lay_out, module_size
from restonb.bench.sheet import Sheet
from restonb.decisions import NotYet
from restonb.errors import RestonbError
from restonb.measure import expand

__all__ = ["Layout", "finest", "labels_of", "labels_shown", "sheets", "without_entry"]

NO_ENTRY = "no entry yet"


def labels_of(harness: Sheet, wires: Sequence[Sequence[str]], characteristic: str = "continuity") -> Any:
    """A label for each wire; NotYet where neither the spec book nor `wires` names one.

    `harness`: the sheet whose readings the labels name; `wires`: (number, from, to, colour, mm2), and more that is not shown.
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


def without_entry(labels: Any) -> Any:
    """The wires whose label can name no entry yet; NotYet where there is no label."""
    return labels if isinstance(labels, NotYet) else [label.head for label in labels if label.lines[-1] == NO_ENTRY]


def finest(labels: Sequence[Label], layout: Layout) -> float:
    """Side in mm of the smallest module of all codes, as printed."""
    return min(module_size(label, layout) for label in labels)


def labels_shown(labels: Any) -> Shown:
    """What is on each label, and what its code says."""
    if isinstance(labels, NotYet):
        return Shown(labels.html, labels.text)
    return table(("label", "text", "code"), [(x.head, "; ".join(x.lines), x.code) for x in labels], tight=("label",))


def sheets(labels: Any, layout: Layout) -> Any:
    """The sheets as one piece of SVG; what is wrong with the sizes in words, where they cannot be."""
    if isinstance(labels, NotYet):
        return labels
    try:
        return "".join(lay_out(labels, layout))
    except RestonbError as error:
        return NotYet((f"sizes that fit ({error})",))
