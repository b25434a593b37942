"""End float of the gearbox shafts: what to do next."""

from __future__ import annotations

from typing import Any, NamedTuple

from restonb.decisions._words import undone
from restonb.decisions.steps import Amount, Step, judged, to_do
from restonb.measure import Verdicts
from restonb.words import listed

__all__ = ["CLOSING", "Shaft", "next_steps", "pack"]

CLOSING = (
    "End float and selectors are inside their limits. Turn the shafts by hand through every gear. If gasket or cover were only "
    "borrowed for this, measure once more with those that stay."
)


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


def next_steps(shafts: list[Shaft], forks: Verdicts) -> list[Step]:
    """The decision, shaft by shaft, then the forks; it ends with what is still to do."""
    todo = [shaft for shaft in shafts if undone(shaft.verdicts)]
    if len(todo) == len(shafts):
        says = "Measure the end float of the {shafts} with the cover tight. Nothing is decided until then."
        rows = (row for shaft in todo for row in shaft.verdicts)
        return [to_do("float.measure", says, rows, shafts=listed(shaft.name for shaft in shafts))]
    return [*(step for shaft in shafts for step in _shaft(shaft)), *_forks(forks)]


def _shaft(shaft: Shaft) -> list[Step]:
    known = not undone(shaft.verdicts)
    value: dict[str, Any] = (
        {"float": Amount(float(shaft.float_mm), "mm", getattr(shaft.float_mm, "std_dev", None))} if known else {}
    )
    cure, values = _cure(shaft) if shaft.verdicts.word == "outside" else ("", {})
    return judged(
        shaft.verdicts, f"{shaft.name}.float", f"the end float of the {shaft.name}",
        measure="Measure {what}, the cover tight.",
        inside="{What} is {float}, inside its limits: leave the shims as they are.",
        below="{What} is {float}, too little: the shaft is pinched between its bearings. " + cure,
        above="{What} is {float}, too much: gears can slip out of mesh. " + cure,
        close="{What} is {float}, too close to call with this gauge; the remark in the table says what would settle it.",
        **value, **values,
    )  # fmt: skip


def _cure(shaft: Shaft) -> tuple[str, dict[str, Any]]:
    if not shaft.stack:
        return "Measure the shims fitted, write the shims on hand into build.toml, and work out the stack.", {}
    low, high = (round(limit, 6) for limit in shaft.limits_mm)
    fitted = float(shaft.fitted_mm)
    # sizes are decimal numbers: 0.55 + 0.30 - 0.70 is 0.15, and lies on a limit of 0.15
    then = round(float(shaft.float_mm) + fitted - shaft.stack.thickness, 6)
    values: dict[str, Any] = {
        "stack": [Amount(piece, "mm") for piece in shaft.stack.pieces],
        "fitted": Amount(fitted, "mm"),
        "then": Amount(then, "mm"),
        "brought_in": low <= then <= high,
    }
    if then < low and not shaft.stack.pieces:
        return (
            "Even without shims it stays too small: look for a bearing that is not home, or a wrong gasket, before anything is "
            "machined.",
            values,
        )
    put = "shims of {stack}" if shaft.stack.pieces else "no shims"
    if not values["brought_in"]:
        return f"No stack from this stock brings it in: the nearest ({put}) leaves {{then}}. Get other shims.", values
    instead = " instead of the {fitted} fitted" if fitted else ""
    return f"Fit {put}{instead}: that leaves {{then}}. Measure it again with the cover tight.", values


def _forks(forks: Verdicts) -> list[Step]:
    return judged(
        forks, "forks", "the side clearance of the selector forks",
        measure="Measure the side clearance of the selector forks (still to do: {at}).",
        inside="The selector forks have the side clearance they should have.",
        below="Too little side clearance at {at}: look for a bent fork, a burr, or a fork of another gearbox.",
        above="Too much side clearance at {at}: measure fork and groove, and replace what is worn.",
    )  # fmt: skip
