"""Which shims to put under which foot."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import exceeds, need, not_negative
from restonb.formulas.seating import _footing, _given, _stock

if TYPE_CHECKING:
    from restonb.formulas.seating._search import Aim, Found

LIMIT = 0.05


@dataclass(frozen=True, slots=True)
class Plan:
    """Shims for each foot, and how the unit rests on them."""

    shims: Annotated[tuple[str, ...], Out(None, "shims under each foot")]
    stacks: Annotated[tuple[tuple[float, ...], ...], Out("mm", "the same as thicknesses, foot by foot")]
    thickness: Annotated[tuple[float, ...], Out("mm", "stack thickness under each foot")]
    pieces: Annotated[int, Out("1", "number of shims")]
    take: Annotated[tuple[str, ...], Out(None, "to take from the stock")]
    total: Annotated[float, Out("mm", "thickness of all shims together")]
    residual: Annotated[float, Out("mm", "largest gap that stays")]
    residual_u: Annotated[float, Out("mm", "its standard uncertainty")]
    residuals: Annotated[tuple[float, ...], Out("mm", "gap that stays at each foot")]
    residuals_u: Annotated[tuple[float, ...], Out("mm", "standard uncertainty of each")]
    other_residuals: Annotated[tuple[float, ...], Out("mm", "gaps in the other state, where it can rest in two")]
    carrying: Annotated[tuple[int, ...], Out(None, "feet that carry then")]
    lift: Annotated[float, Out("mm", "rise of the mass centre")]
    tilt_x: Annotated[float, Out("deg", "tilt about the x axis")]
    tilt_y: Annotated[float, Out("deg", "tilt about the y axis")]
    missed: Annotated[float | None, Out("mm", "how far any foot ends from the wanted position")]
    limit: Annotated[float, Out("mm", "largest residual gap allowed")]
    fewest: Annotated[tuple[str, ...], Out(None, "fewer shims that stay inside the limit, foot by foot")]
    fewest_stacks: Annotated[tuple[tuple[float, ...], ...], Out("mm", "the same as thicknesses, foot by foot")]
    fewest_residual: Annotated[float | None, Out("mm", "largest gap that stays with those")]
    proved: Annotated[bool, Out(None, "proved to be the best")]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@formula(
    text="least over all stacks: (largest gap at rest as far as the gauge can tell, number of shims, largest gap, "
    "total thickness, movement), in this order",
    source=("geometry", "practice"),
    valid="3 to 8 feet, a frame that is stiff against the gaps, shims that cover the foot and lie flat",
    not_for="a base plate that bends when it is tightened, or feet that are not parallel to the mount (angled gap)",
)
def shims(
    feet: Annotated[Sequence[tuple[float, float]], In("mm", "plan position x,y of each foot")],
    gaps: Annotated[Sequence[float], In("mm", "gap under each foot, bolts loose")],
    stock: Annotated[Sequence[float], In("mm", "shim thicknesses on hand")],
    counts: Annotated[Sequence[int] | None, In("1", "how many of each; else enough of all")] = None,
    plies: Annotated[int, In("1", "most shims under one foot")] = 3,
    mass: Annotated[
        Sequence[float] | None, In("mm", "plan position x,y of the mass centre; else the middle of the feet")
    ] = None,
    fitted: Annotated[
        Sequence[float] | None, In("mm", "shims under each foot while measured, to be replaced by this plan")
    ] = None,
    lift: Annotated[float | None, In("mm", "wanted rise")] = None,
    lift_foot: Annotated[int | None, In("1", "foot at which the rise is wanted; else at the mass centre")] = None,
    tilt_x: Annotated[float | None, In("deg", "wanted tilt about x, + raises feet at larger y")] = None,
    tilt_y: Annotated[float | None, In("deg", "wanted tilt about y, + lowers feet at larger x")] = None,
    slope_x: Annotated[float | None, In("1", "wanted rise per length along x")] = None,
    slope_y: Annotated[float | None, In("1", "wanted rise per length along y")] = None,
    within: Annotated[float, In("mm", "the wanted position may be missed by this much at any foot")] = 0.0,
    limit: Annotated[float, In("mm", "largest residual gap allowed (common practice 0.05 mm, 0.002 in)")] = LIMIT,
    gap_u: Annotated[float, In("mm", "standard uncertainty of one gap")] = 0.0,
    shim_u: Annotated[float, In("mm", "standard uncertainty of one shim's thickness")] = 0.0,
    tell: Annotated[
        float | None,
        In("mm", "smallest difference of gaps that the gauge can tell; else 2 gap_u; 0 for the least gap alone"),
    ] = None,
    fine: Annotated[float, In("mm", "residual gaps up to this count as none")] = 0.001,
    thickest: Annotated[float | None, In("mm", "thickest stack; else the largest need and one thickest shim")] = None,
) -> Plan:
    """Which shims from the stock, under which foot: the smallest gap at the worst foot that the gauge can tell, with few shims.

    Best in this order: the largest gap that stays when the unit rests again, where gaps that differ by no more than `tell`
    are the same gap; the number of shims; the largest gap; their total thickness; the movement of the unit; the thinner stack
    at the lower-numbered foot. Fewer shims never take the largest gap so near to `limit` that the gauge could no longer
    prove it inside, and with `tell` 0 the least gap comes first, however many shims that takes. The plan is the optimum among all stacks up to
    `thickest` with at most `plies` shims, not a good guess: however the shimmed unit rests, it rests on three feet with
    the mass over them, so trying every three feet with every stack under them, and for each other foot the stacks that fit
    closest below the plane so found, leaves nothing out. `proved` is False only where counted sizes make so many cases that
    the search stopped early.

    With a wanted lift or tilt the plane is no longer free: a foot of the frame that ends farther than `within` from
    where it is wanted counts like a gap. A tilt without a lift is taken as low as shims can make it. Shims only raise.
    Feet count from 1; tilts follow the right-hand rule with z up.
    """
    on = _footing.footing(feet, mass)
    found = _given.measured(gaps, len(on.feet))
    under = _given.whole(fitted, len(on.feet), "fitted")
    _given.uncertainties(gap_u, limit)
    not_negative(within=within, shim_u=shim_u, fine=fine)
    on_hand = _stock.stock(stock, counts, len(on.feet), plies)
    bare = tuple(-g - f for g, f in zip(found, under, strict=True))
    wanted = _given.wanted_plane(on, bare, lift, lift_foot, (tilt_x, tilt_y), (slope_x, slope_y))
    reach = _reach(bare, wanted, on_hand, thickest)

    from restonb.formulas.seating._search import Aim

    aim = Aim(on, bare, wanted, within, fine)
    choices = _stock.stacks(on_hand, plies, round(reach * _stock.NM))
    told_apart = 2 * gap_u if tell is None else tell
    not_negative(tell=told_apart)
    best, few = _both(aim, on_hand, choices, limit, told_apart)
    plan = _told(aim, on_hand, best, few, limit, gap_u, shim_u)
    cautions = [_given.misfit_text(on, found, gap_u), _lowering(bare, wanted)]
    notes = _notes(plan, mass is None, reach, min(stock), gap_u)
    return replace(plan, notes=notes, cautions=tuple(c for c in cautions if c))


def _reach(
    bare: Sequence[float], wanted: Sequence[float] | None, on_hand: _stock.Stock, thickest: float | None
) -> float:
    if thickest is not None:
        need(
            math.isfinite(thickest) and thickest > 0,
            f"'thickest' is {thickest:g} mm; give a thickness above 0",
            field="thickest",
        )
        return thickest
    goal = wanted or (0.0,) * len(bare)
    return max(0.0, *(g - b for g, b in zip(goal, bare, strict=True))) + max(on_hand.nm, default=0) / _stock.NM


def _both(
    aim: Aim, on_hand: _stock.Stock, choices: dict[int, tuple[_stock.Stack, ...]], limit: float, tell: float
) -> tuple[Found, Found | None]:
    """The best plan, and the one of fewest shims inside the limit where that has fewer."""
    from restonb.formulas.seating._search import search

    best = search(aim, on_hand, choices)
    if exceeds(best.worst, limit) or limit <= aim.fine:
        return best, None
    as_good = min(best.worst + tell, max(limit - tell, best.worst))
    if as_good > max(best.worst, aim.fine):
        best = _simplest(aim, on_hand, choices, best, as_good)
    few = search(replace(aim, fine=limit), on_hand, choices)
    fewer = sum(s.plies for s in few.stacks) < sum(s.plies for s in best.stacks)
    return best, few if fewer else None


def _simplest(
    aim: Aim, on_hand: _stock.Stock, choices: dict[int, tuple[_stock.Stack, ...]], best: Found, as_good: float
) -> Found:
    """Of the plans that leave at most `as_good`, those of fewest shims, and of these the one that leaves least, to `fine`.

    The number of shims falls as more may stay open, so that halving finds where it falls to the fewest.
    """
    from restonb.formulas.seating._search import search

    simple = search(replace(aim, fine=as_good), on_hand, choices)
    pieces = sum(s.plies for s in simple.stacks)
    if pieces == sum(s.plies for s in best.stacks):
        return best
    low, proved = best.worst, simple.proved
    while simple.worst - low > max(aim.fine, 1e-4):
        between = search(replace(aim, fine=(low + simple.worst) / 2), on_hand, choices)
        proved = proved and between.proved
        if sum(s.plies for s in between.stacks) == pieces:
            simple = between
        else:
            low = (low + simple.worst) / 2
    return replace(simple, proved=proved)


def _told(
    aim: Aim, on_hand: _stock.Stock, best: Found, few: Found | None, limit: float, gap_u: float, shim_u: float
) -> Plan:
    states = sorted(best.states, key=lambda s: -max(s.gaps))
    state = states[0]
    us = _footing.spread(aim.on, state, [math.hypot(gap_u, shim_u * math.sqrt(s.plies)) for s in best.stacks])
    worst = max(range(len(us)), key=lambda f: (state.gaps[f], us[f]))
    height, along_x, along_y = _given.plane_of(aim.on, state)
    goal = aim.wanted
    used = Counter(t for s in best.stacks for t in on_hand.thickness(s))
    return Plan(
        shims=_words(on_hand, best),
        stacks=tuple(on_hand.thickness(s) for s in best.stacks),
        thickness=tuple(s.nm / _stock.NM for s in best.stacks),
        pieces=sum(s.plies for s in best.stacks),
        take=tuple(f"{n} x {t:g} mm" for t, n in sorted(used.items())),
        total=sum(s.nm for s in best.stacks) / _stock.NM,
        residual=state.gaps[worst],
        residual_u=us[worst],
        residuals=state.gaps,
        residuals_u=us,
        other_residuals=states[1].gaps if len(states) > 1 else (),
        carrying=tuple(f + 1 for f in state.carrying),
        lift=height,
        tilt_x=math.degrees(math.atan(along_y)),
        tilt_y=-math.degrees(math.atan(along_x)),
        missed=None if goal is None else max(abs(p - g) for s in states for p, g in zip(s.plane, goal, strict=True)),
        limit=limit,
        fewest=() if few is None else _words(on_hand, few),
        fewest_stacks=() if few is None else tuple(on_hand.thickness(s) for s in few.stacks),
        fewest_residual=None if few is None else max(max(s.gaps) for s in few.states),
        proved=best.proved,
        notes=(),
        cautions=(),
    )


def _words(on_hand: _stock.Stock, plan: Found) -> tuple[str, ...]:
    return tuple(
        " + ".join(f"{t:g}" for t in on_hand.thickness(s)) + " mm" if s.pieces else "none" for s in plan.stacks
    )


def _notes(plan: Plan, middle: bool, reach: float, thinnest: float, gap_u: float) -> tuple[str, ...]:
    notes = []
    if middle and len(plan.shims) > 3:
        notes.append("mass centre not given: the middle of the feet is taken")
    if plan.other_residuals:
        notes.append("the mass lies over the line between two carrying feet: it can rest in either of two states")
    if exceeds(plan.residual, plan.limit):
        notes.append(f"the stock is too coarse: no stacks from it leave less than {plan.residual:.3g} mm")
    if plan.fewest:
        notes.append(
            f"fewer shims also stay inside {plan.limit:g} mm, with {plan.fewest_residual:.3g} mm left: "
            + "; ".join(f"foot {i} {text}" for i, text in enumerate(plan.fewest, 1) if text != "none")
        )
    if gap_u > 0 and min(thinnest, _step(plan)) < 2 * gap_u:
        notes.append(f"the gaps are known to ±{2 * gap_u:.2g} mm (k = 2): thinner shims than that decide nothing here")
    if any(len(s) > 2 for s in plan.stacks):
        notes.append("put the thinnest shims between thick ones; many thin shims act as a spring")
    notes.append(f"stacks up to {reach:.3g} mm were looked at")
    if not plan.proved:
        notes.append("so many cases that the search stopped early: this plan is good, but not proved to be the best")
    return tuple(notes)


def _step(plan: Plan) -> float:
    used = sorted({t for s in plan.stacks for t in s})
    return min((b - a for a, b in pairwise(used)), default=math.inf)


def _lowering(bare: Sequence[float], wanted: Sequence[float] | None) -> str:
    if wanted is None:
        return ""
    low = {f: b - w for f, (b, w) in enumerate(zip(bare, wanted, strict=True)) if b - w > 1e-4}
    if not low:
        return ""
    return (
        f"shims only raise, but foot {_given.names(tuple(low))} would have to go down by up to {max(low.values()):.3g} mm: "
        "ask for that much more lift, or have the mount machined"
    )
