"""Which pieces from the stock make up a thickness."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import need, not_negative
from restonb.formulas.seating import _stock


@dataclass(frozen=True, slots=True)
class Stack:
    """Pieces on top of each other, and how far they are from what was wanted."""

    pieces: Annotated[tuple[float, ...], Out("mm", "pieces, thickest first")]
    count: Annotated[int, Out("1", "number of pieces")]
    thickness: Annotated[float, Out("mm", "thickness of the stack")]
    off: Annotated[float, Out("mm", "stack less what was wanted")]
    notes: tuple[str, ...]

    @property
    def text(self) -> str:
        """'0.5 + 0.2 mm', or 'none'."""
        return f"{' + '.join(f'{t:g}' for t in self.pieces)} mm" if self.pieces else "none"


@formula(
    text="least over all stacks of: (|stack - wanted|, number of pieces, thickness)",
    source=("geometry",),
    valid="pieces that lie flat on each other",
)
def stack(
    wanted: Annotated[float, In("mm", "thickness wanted; 0 for none")],
    stock: Annotated[Sequence[float], In("mm", "thicknesses on hand")],
    counts: Annotated[Sequence[int] | None, In("1", "how many of each; else enough of all")] = None,
    plies: Annotated[int, In("1", "most pieces in the stack")] = 3,
    low: Annotated[float | None, In("mm", "thinnest stack that will do")] = None,
    high: Annotated[float | None, In("mm", "thickest stack that will do")] = None,
) -> Stack:
    """Which pieces from the stock come nearest to a thickness, with the fewest pieces."""
    not_negative(wanted=wanted)
    need(low is None or high is None or low <= high, "'low' is above 'high'; swap them", field="low")
    on_hand = _stock.stock(stock, counts, 1, plies)
    thickest = round((wanted + max(stock)) * _stock.NM)
    goal = round(wanted * _stock.NM)
    found = [s for same in _stock.stacks(on_hand, plies, thickest).values() for s in same]
    best = min(found, key=lambda s: (abs(s.nm - goal), s.plies, s.nm))
    thickness = best.nm / _stock.NM
    notes = []
    if not _between(thickness, low, high):
        notes.append("no stack from this stock will do; the nearest is shown")
    if best.plies > 2:
        notes.append("many thin pieces act as a spring: one of the right thickness is better")
    return Stack(on_hand.thickness(best), best.plies, thickness, thickness - wanted, tuple(notes))


def _between(thickness: float, low: float | None, high: float | None) -> bool:
    return (-math.inf if low is None else low - 1e-9) <= thickness <= (math.inf if high is None else high + 1e-9)
