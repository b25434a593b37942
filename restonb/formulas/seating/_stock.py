"""The stacks of shims that a stock on hand can make."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

from restonb.errors import FormulaError

NM = 1e6
"""Nanometres in a millimetre: thicknesses are added as whole nanometres, so that sums are exact."""


@dataclass(frozen=True, slots=True)
class Stack:
    """Shims on top of each other under one foot: indices into the stock, thickest first."""

    pieces: tuple[int, ...]
    nm: int

    @property
    def plies(self) -> int:
        return len(self.pieces)


@dataclass(frozen=True, slots=True)
class Stock:
    """Thicknesses in nm, thickest first, and how many there are of each (None: enough)."""

    nm: tuple[int, ...]
    counts: tuple[int, ...] | None

    def thickness(self, stack: Stack) -> tuple[float, ...]:
        """Thicknesses of the pieces in mm, thickest first."""
        return tuple(self.nm[p] / NM for p in stack.pieces)


def stock(thicknesses: Sequence[float], counts: Sequence[int] | None, feet: int, plies: int) -> Stock:
    """Check the stock. Equal thicknesses are counted together; more pieces than can ever be used are not counted."""
    if not thicknesses:
        raise FormulaError("'stock' is empty; give the thicknesses on hand, such as '0.05, 0.1, 0.2 mm'", field="stock")
    if counts is not None and len(counts) != len(thicknesses):
        raise FormulaError(
            f"'counts' has {len(counts)} numbers for {len(thicknesses)} thicknesses; give one for each", field="counts"
        )
    if not 1 <= plies <= 6:
        raise FormulaError(f"'plies' is {plies}; give 1 to 6 shims per foot", field="plies")
    for i, t in enumerate(thicknesses):
        if not (math.isfinite(t) and 1e-3 <= t <= 50):
            raise FormulaError(f"stock thickness {t:g} mm is not a shim; give 0.001 to 50 mm, with its unit")
        if counts is not None and counts[i] < 0:
            raise FormulaError(f"'counts' has {counts[i]} of {t:g} mm; give 0 or more", field="counts")
    total: dict[int, int] = {}
    for i, t in enumerate(thicknesses):
        nm = round(t * NM)
        total[nm] = total.get(nm, 0) + (counts[i] if counts is not None else 0)
    sizes = sorted((nm for nm, n in total.items() if n or counts is None), reverse=True)
    if counts is None or all(total[nm] >= feet * plies for nm in sizes):
        return Stock(tuple(sizes), None)
    return Stock(tuple(sizes), tuple(min(total[nm], feet * plies) for nm in sizes))


def stacks(of: Stock, plies: int, thickest_nm: int) -> dict[int, tuple[Stack, ...]]:
    """All stacks up to a thickness, by thickness in nm, ascending; those of one thickness with fewest plies first.

    With enough of every size only the stack of fewest plies is kept (the thickest pieces first where several have as
    few); with counted sizes every make-up is kept, since another foot may need the pieces.
    """
    found: dict[int, list[Stack]] = {}
    for n in range(plies + 1):
        for pieces in combinations_with_replacement(range(len(of.nm)), n):
            nm = sum(of.nm[p] for p in pieces)
            if nm > thickest_nm or (of.counts and any(pieces.count(p) > of.counts[p] for p in set(pieces))):
                continue
            same = found.setdefault(nm, [])
            if of.counts or not same:
                same.append(Stack(pieces, nm))
    return {nm: tuple(found[nm]) for nm in sorted(found)}
