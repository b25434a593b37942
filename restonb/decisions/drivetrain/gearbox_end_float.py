"""End float of the gearbox shafts: what to do next."""

from __future__ import annotations

from typing import Any, NamedTuple

from restonb.decisions._words import at_places, listed, undone, unjudged
from restonb.measure import Verdicts

__all__ = ["Shaft", "next_steps", "pack"]


class Shaft(NamedTuple):
    """One shaft: its float (verdicts, and the value in mm), the shims fitted, the stack that is wanted, the limits.

    `float_mm`, `fitted_mm`, `stack` (answer of seating.stack) and `limits_mm` are false while they are not known.
    """

    name: str
    verdicts: Verdicts
    float_mm: Any
    fitted_mm: Any
    stack: Any
    limits_mm: Any


def pack(change: Any, fitted: Any) -> float:
    """Thickness of all shims wanted in mm: those fitted and the change; none where even that would be too much."""
    return max(0.0, float(change) + float(fitted))


def next_steps(shafts: list[Shaft], forks: Verdicts) -> list[str]:
    """The decision, shaft by shaft, then the forks; it ends with what is still to do."""
    todo = [shaft.name for shaft in shafts if undone(shaft.verdicts)]
    if len(todo) == len(shafts):
        return [f"Measure the end float of the {listed(todo)} with the cover tight. Nothing is decided before that."]
    said = [_shaft(shaft) for shaft in shafts if shaft.name not in todo]
    said += [f"Measure the end float of the {name}." for name in todo]
    if forks.word == "outside":
        said.append(
            f"Selector clearance is outside its limit at {at_places(forks, 'outside')}: measure fork and groove, and replace what is worn."
        )
    if undone(forks):
        said.append("Measure the side clearance of the selector forks.")
    words = {row.verdict for verdicts in (*(s.verdicts for s in shafts), forks) for row in verdicts}
    if words == {"inside"}:
        said.append(
            "All is inside. Turn the shafts by hand through every gear; if gasket or cover were only lent for this, measure once more on those that stay."
        )
    return said


def _shaft(shaft: Shaft) -> str:
    value = f"{shaft.name.capitalize()}: the float of {float(shaft.float_mm):.2f} mm"
    word = shaft.verdicts.word
    if told := unjudged(shaft.verdicts, f"the end float of the {shaft.name}"):
        return told
    if word == "inside":
        return f"{value} is inside its limits; leave the shims as they are."
    if word == "too close to call":
        return f"{value} is too close to call with this dial; the remark in the table says what would settle it."
    if not shaft.stack:
        return f"{value} is outside its limits. Measure the shims fitted, write the stock into build.toml, and work out the stack."
    return f"{value} is outside its limits. {_stack(shaft)}"


def _stack(shaft: Shaft) -> str:
    low, high = shaft.limits_mm
    then = float(shaft.float_mm) + float(shaft.fitted_mm) - shaft.stack.thickness
    if then < low and not shaft.stack.pieces:
        return "Even without shims the float is too small: look for a bearing that is not home, or a wrong gasket, before anything is machined."
    if not low <= then <= high:
        return f"No stack from this stock brings it in; the nearest ({shaft.stack.text}) leaves {then:.2f} mm. Get other shims."
    instead = f" instead of the {float(shaft.fitted_mm):.2f} mm fitted" if float(shaft.fitted_mm) else ""
    return f"Fit {shaft.stack.text}{instead}: that leaves {then:.2f} mm. Measure it again with the cover tight."
