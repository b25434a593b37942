"""Plate clutches: how hard the springs press, and which torque the plates hold."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import at_least, between, need, not_negative, positive

__all__ = ["clamp_force", "torque"]


@dataclass(frozen=True, slots=True)
class Clamp:
    """How hard the springs press the plates together."""

    force: Annotated[float, Out("N", "force of all springs on the plates", symbol="F")]
    loss: Annotated[float, Out("mm", "thickness that the plates have lost together")]
    weakest: Annotated[float, Out("N", "force of the weakest spring")]
    strongest: Annotated[float, Out("N", "force of the strongest spring")]
    notes: tuple[str, ...]


@formula(
    text="F = k Σ(free - fitted - loss); loss = Σ(new - plate)",
    source=("physics",),
    valid="straight springs below their closed length; plates alike when new",
    not_for="a diaphragm spring, whose force rises as the plates wear",
)
def clamp_force(
    free: Annotated[Sequence[float], In("mm", "free length of each spring")],
    fitted: Annotated[float, In("mm", "length of a spring when fitted on new plates")],
    rate: Annotated[float, In("N/mm", "stiffness of one spring", symbol="k")],
    plates: Annotated[Sequence[float] | None, In("mm", "thickness of each friction plate; else as new")] = None,
    new: Annotated[float | None, In("mm", "thickness of a new friction plate")] = None,
) -> Clamp:
    """How hard the springs press the plates together, as worn as both are."""
    at_least("free", free, 1)
    positive(fitted=fitted, rate=rate, shortest=min(free))
    need(
        plates is None or new is not None,
        "'plates' needs 'new', the thickness of a new plate; give both",
        field="plates",
    )
    loss = 0.0 if plates is None or new is None else math.fsum(new - p for p in plates)
    need(abs(loss) < fitted, f"the plates have lost {loss:.3g} mm together; check their unit")
    each = [rate * (f - fitted - loss) for f in free]
    need(min(each) > 0, "a spring is no longer than its place: it presses nothing; check free and fitted length")
    notes = []
    if min(each) < 0.9 * max(each):
        notes.append("springs differ by more than 10 %: the pressure plate lifts askew and the clutch drags")
    return Clamp(math.fsum(each), loss, min(each), max(each), tuple(notes))


@formula(
    text="T = μ F N (D + d)/4",
    source=("physics",),
    valid="even wear (pressure falls with radius); N friction faces, two for each plate lined on both sides",
    not_for="choosing springs without reserve: oil, heat and glazing change the friction by half",
)
def torque(
    force: Annotated[float, In("N", "force on the plates", symbol="F")],
    outer: Annotated[float, In("mm", "outside diameter of the lining", symbol="D")],
    inner: Annotated[float, In("mm", "inside diameter of the lining", symbol="d")],
    faces: Annotated[int, In("1", "number of friction faces", symbol="N")],
    friction: Annotated[
        float, In("1", "coefficient of friction: in oil 0.08 to 0.12, dry 0.25 to 0.35", symbol="μ")
    ] = 0.1,
) -> Annotated[float, Out("N m", "torque that the clutch holds", symbol="T")]:
    """Which torque a plate clutch holds before it slips."""
    not_negative(force=force)
    positive(inner=inner, faces=faces)
    need(inner < outer, f"give inner < outer; they are {inner:g} and {outer:g} mm")
    between("friction", friction, 0.02, 0.6)
    return friction * force * faces * (outer + inner) / 4 / 1000
