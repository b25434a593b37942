"""Dimension chains: how far a gap can vary, what each link contributes, and how to bring the gap in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import at_least, exceeds, need, not_negative, same_length

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

__all__ = ["bring_in", "chain"]

SHAPES = ("normal", "rectangular", "triangular")
SEED = 101


@dataclass(frozen=True, slots=True)
class Chain:
    """A closing gap: what it is on the drawing, how far it can go, and how likely that is."""

    gap: Annotated[float, Out("mm", "gap with every link at its nominal size")]
    worst_low: Annotated[float, Out("mm", "smallest gap with every link at its worst")]
    worst_high: Annotated[float, Out("mm", "largest gap with every link at its worst")]
    rss_low: Annotated[float, Out("mm", "gap minus the root of the summed squares")]
    rss_high: Annotated[float, Out("mm", "gap plus the root of the summed squares")]
    mean: Annotated[float, Out("mm", "mean of the drawn gaps")]
    deviation: Annotated[float, Out("mm", "standard deviation of the drawn gaps")]
    low: Annotated[float, Out("mm", "95 % of the drawn gaps lie above this and below the next")]
    high: Annotated[float, Out("mm", "upper end of the 95 %")]
    shares: Annotated[tuple[float, ...], Out("%", "contribution of each link to the variance")]
    inside: Annotated[float | None, Out("%", "drawn gaps within the window")]
    feasible: Annotated[bool | None, Out(None, "the worst case stays within the window")]
    notes: tuple[str, ...]


@formula(
    text="gap = Σ direction x size; worst = Σ |t|; RSS = √Σ t²; draws by JCGM 101; Σ = sum over the links",
    source=("jcgm-101: 9.2", "geometry"),
    valid="independent links with symmetric tolerances; at least 100 000 draws",
    not_for="links made or measured together (one cutter, one set-up): their errors add, use the worst case",
)
def chain(
    sizes: Annotated[Sequence[float], In("mm", "nominal or measured size of each link")],
    tolerances: Annotated[Sequence[float], In("mm", "half width of each: size ± t", symbol="t")],
    directions: Annotated[Sequence[float], In("1", "+1 for a link that opens the gap, -1 for one that closes it")],
    shapes: Annotated[Sequence[str] | None, In(None, "shape of each distribution, or one for all", SHAPES)] = None,
    sigmas: Annotated[float, In("1", "a normal link's half width is this many standard deviations")] = 3.0,
    least: Annotated[float | None, In("mm", "smallest gap allowed")] = None,
    most: Annotated[float | None, In("mm", "largest gap allowed")] = None,
    draws: Annotated[int, In("1", "number of draws")] = 200_000,
) -> Chain:
    """How far a closing gap can vary: worst case, root of squares, and by random draws (the same ones every time)."""
    at_least("sizes", sizes, 1)
    same_length(sizes=sizes, tolerances=tolerances, directions=directions)
    kinds = _kinds(shapes, len(sizes))
    need(
        all(math.isfinite(v) for v in (*sizes, *tolerances, *directions)),
        "a link has a value that is not a finite number",
    )
    need(min(tolerances) >= 0, "a tolerance is below 0; give the half width t of size ± t")
    need(
        all(d in (-1, 1) for d in directions),
        "'directions' takes 1 (opens the gap) and -1 (closes it) only",
        field="directions",
    )
    need(math.isfinite(sigmas) and sigmas > 0, f"'sigmas' is {sigmas:g}; give a number above 0", field="sigmas")
    need(100_000 <= draws <= 10_000_000, f"'draws' is {draws}; give 100000 to 10000000", field="draws")
    need(least is None or most is None or least < most, "'least' must be smaller than 'most'", field="least")
    gap = math.fsum(d * s for d, s in zip(directions, sizes, strict=True))
    worst, rss = math.fsum(tolerances), math.hypot(*tolerances)
    drawn = _draw(gap, tolerances, kinds, sigmas, draws)
    variances = [(t / _divisor(k, sigmas)) ** 2 for t, k in zip(tolerances, kinds, strict=True)]
    total = math.fsum(variances)
    low, high = (float(v) for v in _ends(drawn))
    return Chain(
        gap=gap,
        worst_low=gap - worst,
        worst_high=gap + worst,
        rss_low=gap - rss,
        rss_high=gap + rss,
        mean=float(drawn.mean()),
        deviation=float(drawn.std(ddof=1)),
        low=low,
        high=high,
        shares=tuple(100 * v / total if total else 0.0 for v in variances),
        inside=_inside(drawn, least, most),
        feasible=None if least is None and most is None else _holds(gap - worst, gap + worst, least, most),
        notes=_chain_notes(gap - worst, gap + worst, least, most),
    )


@dataclass(frozen=True, slots=True)
class Change:
    """What to add to or take from the stack so that the gap comes into its window."""

    add: Annotated[float, Out("mm", "thickness to add for the middle of the window, - to take out")]
    add_least: Annotated[float, Out("mm", "least that brings it in")]
    add_most: Annotated[float, Out("mm", "most that keeps it in")]
    feasible: Annotated[bool, Out(None, "the window is wider than the uncertainty")]
    choose: Annotated[float | None, Out("mm", "thickness on hand that comes nearest to the middle")]
    gap_then: Annotated[float | None, Out("mm", "gap with it")]
    inside_then: Annotated[bool | None, Out(None, "that gap is in the window, uncertainty included")]
    notes: tuple[str, ...]


@formula(
    text="add = gap - (least + most)/2; range = gap - most + U to gap - least - U; U = twice gap_u",
    source=("geometry",),
    valid="a spacer whose thickness takes directly from the gap",
)
def bring_in(
    gap: Annotated[float, In("mm", "gap as measured (negative: interference)")],
    least: Annotated[float, In("mm", "smallest gap allowed")],
    most: Annotated[float, In("mm", "largest gap allowed")],
    fitted: Annotated[float, In("mm", "spacer fitted while the gap was measured")] = 0.0,
    sizes: Annotated[Sequence[float] | None, In("mm", "spacer thicknesses on hand")] = None,
    gap_u: Annotated[float, In("mm", "standard uncertainty of the gap (U = 2 u is kept clear)")] = 0.0,
) -> Change:
    """What thickness to add or take out so that a gap comes into its window, and which spacer on hand does it best."""
    need(
        least < most,
        f"'least' is {least:g} and 'most' {most:g} mm; the smallest gap must be below the largest",
        field="least",
    )
    not_negative(fitted=fitted, gap_u=gap_u)
    add, low, high = gap - (least + most) / 2, gap - most + 2 * gap_u, gap - least - 2 * gap_u
    notes = []
    if exceeds(low, high):
        notes.append(
            f"the window of {most - least:.3g} mm is narrower than the uncertainty of ±{2 * gap_u:.2g} mm: measure better first"
        )
    if exceeds(0.0, fitted + high):
        notes.append("even without any spacer the gap stays too small: a part must be machined")
    choose = gap_then = inside = None
    if sizes is not None:
        at_least("sizes", sizes, 1)
        need(min(sizes) >= 0, "a spacer thickness is below 0; give thicknesses of 0 or more (0: none)")
        choose = min(sizes, key=lambda s: (abs(s - fitted - add), s))
        gap_then = gap - (choose - fitted)
        inside = not (exceeds(low, choose - fitted) or exceeds(choose - fitted, high))
        if not inside:
            notes.append("no spacer on hand brings the gap in; the nearest is shown")
    feasible = not (exceeds(low, high) or exceeds(0.0, fitted + high))
    return Change(add, low, high, feasible, choose, gap_then, inside, tuple(notes))


def _kinds(shapes: Sequence[str] | None, count: int) -> list[str]:
    kinds = list(shapes or ["normal"])
    for kind in kinds:
        need(kind in SHAPES, f"shape '{kind}' is unknown; write one of {', '.join(SHAPES)}")
    kinds = kinds * count if len(kinds) == 1 else kinds
    need(
        len(kinds) == count,
        f"'shapes' has {len(kinds)} words for {count} links; give one for each, or one for all",
        field="shapes",
    )
    return kinds


def _divisor(kind: str, sigmas: float) -> float:
    """Half width over standard deviation."""
    return {"normal": sigmas, "rectangular": math.sqrt(3), "triangular": math.sqrt(6)}[kind]


def _draw(gap: float, tolerances: Sequence[float], kinds: Sequence[str], sigmas: float, draws: int) -> NDArray[float64]:
    import numpy as np

    random = np.random.default_rng(SEED)
    drawn = np.full(draws, gap)
    for t, kind in zip(tolerances, kinds, strict=True):
        if t == 0:
            continue
        if kind == "normal":
            drawn += random.normal(0, t / sigmas, draws)
        elif kind == "rectangular":
            drawn += random.uniform(-t, t, draws)
        else:
            drawn += random.triangular(-t, 0, t, draws)
    return drawn


def _ends(drawn: NDArray[float64]) -> NDArray[float64]:
    import numpy as np

    return np.quantile(drawn, [0.025, 0.975])


def _inside(drawn: NDArray[float64], least: float | None, most: float | None) -> float | None:
    if least is None and most is None:
        return None
    low, high = -math.inf if least is None else least, math.inf if most is None else most
    return float(100 * ((drawn >= low) & (drawn <= high)).mean())


def _holds(low: float, high: float, least: float | None, most: float | None) -> bool:
    return (least is None or not exceeds(least, low)) and (most is None or not exceeds(high, most))


def _chain_notes(low: float, high: float, least: float | None, most: float | None) -> tuple[str, ...]:
    notes = []
    if least is not None and exceeds(least, low):
        notes.append(f"the worst case falls {least - low:.3g} mm below the window")
    if most is not None and exceeds(high, most):
        notes.append(f"the worst case rises {high - most:.3g} mm above the window")
    if low < -1e-9 and high > 1e-9:
        notes.append("the worst case goes from interference to clearance")
    return tuple(notes)
