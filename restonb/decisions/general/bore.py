"""Cylinder bores: taper, ovality, size, and the remedy."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from restonb.bench._live import Several
from restonb.bench._look import Shown, joined
from restonb.bench._values import NotYet
from restonb.bench.sheet import Sheet
from restonb.decisions._words import at_places, listed, undone, unjudged
from restonb.measure import Verdicts
from restonb.quantity import read

__all__ = ["Bore", "Oversize", "bore_rows", "keep", "measured", "name_of", "next_steps", "oversize", "shape_rows"]


class Oversize(NamedTuple):
    """The next size that cleans up a bore, in mm: piston over standard, finished bore, and what is left to cut."""

    step: float
    finish: float
    stock: float


class Bore(NamedTuple):
    """One cylinder: verdicts on its diameters, and on ovality and taper; the next oversize (false if none is known)."""

    name: str
    size: Verdicts
    shape: Verdicts
    oversize: Oversize | NotYet | None


def bore_rows(rows: Iterable[str]) -> list[str]:
    """The rows of bores that the spec book has: 'bore' of a single, 'bore_left' and the like; those of a twin if none."""
    return [row for row in rows if row == "bore" or row.startswith("bore_")] or ["bore_left", "bore_right"]


def name_of(row: str) -> str:
    """'left' of 'bore_left', '' of 'bore'."""
    return row.removeprefix("bore").lstrip("_")


def shape_rows(row: str) -> tuple[str, str]:
    """The rows of ovality and taper that belong to a bore's."""
    return row.replace("bore", "ovality", 1), row.replace("bore", "taper", 1)


def measured(sheet: Sheet, rows: Iterable[str]) -> Any:
    """The grid or the table of each of these rows, one below the other."""
    parts = [sheet.measure(row) for row in rows]
    return joined(parts) if all(isinstance(part, Shown) for part in parts) else Several(parts)


def keep(sheet: Sheet, wear: Mapping[str, Any]) -> None:
    """File widest place, taper and ovality of each bore; `wear`: row -> the answer of engine.bore_wear."""
    for row, found in wear.items():
        name = name_of(row)
        for of, value, what in (
            ("largest", found.largest, "widest place"),
            ("taper", found.taper, "taper"),
            ("ovality", found.ovality, "ovality"),
        ):
            sheet.number(f"{of}_{name}".rstrip("_"), value, "mm", f"{_called(name)}, {what}")


def oversize(largest: float, standard: tuple[float, float], steps: Sequence[str], clean_up: str) -> Oversize | None:
    """The smallest oversize piston whose bore leaves at least `clean_up` to cut at the widest place; None if none does.

    `largest`: widest diameter measured, `standard`: limits of the standard bore, both in mm; `steps`: pistons to be had, over
    standard, with their units; `clean_up` on the diameter, with its unit.
    """
    least = read(clean_up, "mm").to("mm").value
    for step in sorted(read(s, "mm").to("mm").value for s in steps):
        finish = standard[0] + step
        if finish - largest >= least - 1e-9:
            return Oversize(step, finish, finish - largest)
    return None


def next_steps(bores: Sequence[Bore], ring_gap: Verdicts) -> list[str]:
    """The decision, cylinder by cylinder, then the ring gap; it ends with what is still to do."""
    todo = [bore.name for bore in bores if undone(bore.size)]
    if len(todo) == len(bores):
        return [f"Measure the {_called(listed(todo))} at every depth and axis. Nothing is decided before that."]
    said = [_bore(bore) for bore in bores if bore.name not in todo]
    said += [f"Measure the {_called(name)} at every depth and axis." for name in todo]
    sound = not todo and all(_inside(b.size) and _inside(b.shape) for b in bores)
    if sound and undone(ring_gap):
        said.append("Then push each ring square into its bore and measure its gap.")
    elif sound and (told := unjudged(ring_gap, "the ring gap")):
        said.append(told)
    elif sound and ring_gap.word == "outside":
        said.append(
            f"The ring gap is outside its limits at {at_places(ring_gap, 'outside')}: too small, file the ends square; too large, other rings."
        )
    elif sound and ring_gap.word == "too close to call":
        said.append(
            "The ring gap is too close to call with these blades; the remark in the table says what would settle it."
        )
    elif sound:
        said.append(
            "Bores and ring gaps are inside: wash the bores with hot soapy water until a white rag stays white, oil them, and assemble."
        )
    return said


def _bore(bore: Bore) -> str:
    head = f"{_called(bore.name).capitalize()}:"
    words = {row.verdict for row in (*bore.size, *bore.shape)}
    if words == {"no limit"}:
        return unjudged(bore.size, f"the {_called(bore.name)}")
    if words == {"inside"} and not len(bore.shape):
        return (
            f"{head} size is inside its limits; ovality and taper are not judged, write their rows into the spec book."
        )
    if words == {"inside"}:
        return f"{head} size, taper and ovality are inside their limits."
    if words == {"inside", "no limit"}:
        bare = sorted(
            {
                r.characteristic.what or r.characteristic.key
                for r in (*bore.size, *bore.shape)
                if r.verdict == "no limit"
            }
        )
        return f"{head} what has a limit is inside it; none is given for {listed(bare)}."
    if "outside" not in words:
        return f"{head} too close to call with this gauge; the remark in the table says what would settle it."
    faults = _faults(bore)
    return f"{head} {listed(faults)}. {_remedy(bore)}"


def _called(name: str) -> str:
    return f"{name} bore".strip()


def _faults(bore: Bore) -> list[str]:
    wide = [r.position for r in bore.size if r.verdict == "outside" and _above(r)]
    tight = [r.position for r in bore.size if r.verdict == "outside" and not _above(r)]
    widest = max(bore.size, key=lambda r: r.value or 0.0)
    faults = [f"too wide at {len(wide)} of {len(bore.size)} places, most at {widest.position}"] if wide else []
    faults += [f"too tight at {listed(tight)}"] if tight else []
    return faults + [
        f"{r.characteristic.key.partition('_')[0]} {r.value:.3f} mm at {r.position}"
        for r in bore.shape
        if r.verdict == "outside"
    ]


def _remedy(bore: Bore) -> str:
    if all(r.verdict != "outside" or not _above(r) for r in bore.size) and bore.size.word == "outside":
        return "It can be honed to size."
    fresh = any(r.reading is not None and r.reading.occasion == "back from outside work" for r in bore.size)
    if fresh:
        return "It comes from the machine shop like this: send it back with the table of readings, before anything is paid or assembled."
    if isinstance(bore.oversize, Oversize):
        o = bore.oversize
        return (
            f"Bore and hone to {o.finish:.3f} mm for the {o.step:g} mm oversize piston, which leaves {o.stock:.3f} mm on the diameter "
            "to clean it up; or fit a new liner. Have the piston in hand before it is cut."
        )
    if bore.oversize is None:
        return "No oversize on the list cleans it up: a new liner, bored to standard."
    return "Write the oversize pistons that can be had into build.toml, or fit a new liner."


def _above(row: Any) -> bool:
    return row.upper is not None and row.value > row.upper and not math.isclose(row.value, row.upper)


def _inside(verdicts: Verdicts) -> bool:
    return verdicts.word == "inside"
