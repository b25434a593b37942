"""What a person gives about a seating, checked: each fault is named and says what to write instead."""

from __future__ import annotations

import math
from collections.abc import Sequence

from restonb.errors import FormulaError
from restonb.formulas.checks import need, not_negative
from restonb.formulas.seating._footing import Footing, State

FEELER_LEAST = 0.001
"""Gaps closer than this (mm) are the same gap when no uncertainty is given."""


def measured(gaps: Sequence[float], feet: int, what: str = "gaps") -> tuple[float, ...]:
    """One finite gap of 0 to 25 mm for each foot."""
    need(len(gaps) == feet, f"'{what}' has {len(gaps)} values for {feet} feet; give one for each foot, 0 where none")
    for number, gap in enumerate(gaps, 1):
        need(math.isfinite(gap), f"the gap at foot {number} is {gap}; give a finite number in mm")
        need(gap >= 0, f"the gap at foot {number} is {gap:g} mm; a gap is 0 or more (write 0 for a foot that carries)")
        need(gap <= 25, f"the gap at foot {number} is {gap:g} mm; that is not a gap for a shim: check its unit")
    return tuple(float(g) for g in gaps)


def misfit(on: Footing, gaps: Sequence[float]) -> tuple[float, tuple[int, ...]]:
    """How far the gaps are from any one resting state (mm), and the feet (from 0) that carry in the nearest.

    At rest at least three feet with the mass over them have no gap; the misfit is what they show at the most.
    """
    worst, feet = min((max(gaps[f] for f in t.feet), t.feet) for t in on.tripods)
    return worst, feet


def misfit_text(on: Footing, gaps: Sequence[float], gap_u: float) -> str:
    """A caution where the gaps cannot come from one resting state; empty where they can."""
    off, feet = misfit(on, gaps)
    if off <= max(2 * gap_u, FEELER_LEAST):
        return ""
    nearest = [0.0 if f in feet else g for f, g in enumerate(gaps)]
    start = "no three feet with the mass over them are without a gap"
    if min(gaps) > max(2 * gap_u, FEELER_LEAST):
        start = "all feet have a gap, so nothing would carry the unit"
    return (
        f"these gaps do not come from one resting state: {start}. Nearest is the unit on feet {names(feet)} with gaps "
        f"{', '.join(f'{round(g, 3):g}' for g in nearest)} mm, off by {off:.3g} mm. Let it settle, measure all gaps without "
        "touching it again, and check where the mass centre is"
    )


def nearest_first(states: tuple[State, ...], gaps: Sequence[float]) -> tuple[State, ...]:
    """The state that was measured comes first."""
    return tuple(sorted(states, key=lambda s: max(abs(a - b) for a, b in zip(s.gaps, gaps, strict=True))))


def wanted_plane(
    on: Footing,
    bare: Sequence[float],
    lift: float | None,
    lift_foot: int | None,
    tilts: tuple[float | None, float | None],
    slopes: tuple[float | None, float | None],
) -> tuple[float, ...] | None:
    """Height wanted at each foot against the frame as measured; None where nothing is wanted.

    Tilts in degrees about x and y (right-hand rule), slopes as rise along x and y. A tilt without a lift is taken at the least
    lift at which no foot must go down.
    """
    for tilt, slope, about, along in ((tilts[0], slopes[1], "x", "y"), (tilts[1], slopes[0], "y", "x")):
        need(tilt is None or slope is None, f"give 'tilt_{about}' or 'slope_{along}', not both: they are the same tilt")
        need(tilt is None or abs(tilt) <= 10, f"'tilt_{about}' is {tilt} deg; shims tilt by 10 deg at the most")
        need(slope is None or abs(slope) <= 0.18, f"'slope_{along}' is {slope}; give a rise per length up to 0.18")
    need(
        lift_foot is None or lift is not None,
        "'lift_foot' needs a 'lift'; give the lift wanted at that foot",
        field="lift_foot",
    )
    if lift_foot is not None:
        need(
            1 <= lift_foot <= len(on.feet),
            f"'lift_foot' is {lift_foot}; give a foot from 1 to {len(on.feet)}",
            field="lift_foot",
        )
    if lift is None and all(v is None for v in (*tilts, *slopes)):
        return None
    along_x = slopes[0] if slopes[0] is not None else -math.tan(math.radians(tilts[1] or 0.0))
    along_y = slopes[1] if slopes[1] is not None else math.tan(math.radians(tilts[0] or 0.0))
    x0, y0 = on.mass if lift_foot is None else on.feet[lift_foot - 1]
    tilted = [along_x * (x - x0) + along_y * (y - y0) for x, y in on.feet]
    if lift is None:
        lift = max(b - t for b, t in zip(bare, tilted, strict=True))
    need(abs(lift) <= 50, f"'lift' is {lift:g} mm; shims lift by 50 mm at the most: check its unit", field="lift")
    return tuple(lift + t for t in tilted)


def plane_of(on: Footing, state: State) -> tuple[float, float, float]:
    """Height at the mass centre, and rise along x and y, of the frame in this state."""
    (x1, y1), (x2, y2), (x3, y3) = (on.feet[f] for f in state.tripod.feet)
    z1, z2, z3 = (state.plane[f] for f in state.tripod.feet)
    area = (x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1)
    along_x = ((z2 - z1) * (y3 - y1) - (z3 - z1) * (y2 - y1)) / area
    along_y = ((x2 - x1) * (z3 - z1) - (x3 - x1) * (z2 - z1)) / area
    return z1 + along_x * (on.mass[0] - x1) + along_y * (on.mass[1] - y1), along_x, along_y


def uncertainties(gap_u: float, limit: float) -> None:
    """Both must be usable."""
    not_negative(gap_u=gap_u)
    need(
        math.isfinite(limit) and limit > 0,
        f"'limit' is {limit:g} mm; give the largest residual gap allowed, above 0",
        field="limit",
    )


def names(feet: Sequence[int]) -> str:
    """Feet counted from 1, in words: '1, 2 and 4'."""
    words = [str(f + 1) for f in sorted(feet)]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def whole(values: Sequence[float] | None, feet: int, what: str) -> tuple[float, ...]:
    """Zeros where nothing is given; else checked like gaps."""
    if values is None:
        return (0.0,) * feet
    if len(values) != feet:
        raise FormulaError(f"'{what}' has {len(values)} values for {feet} feet; give one for each foot, 0 where none")
    return measured(values, feet, what)
