"""Where a rigid frame rests on three or more feet: geometry, resting states, rocking.

Heights are those of the support under each foot (positive up), measured from the frame's own flat underside;
a foot with a gap g has the height -g. All lengths in one unit; mm everywhere in this package.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from restonb.errors import FormulaError

TOUCH = 1e-7
"""Gaps up to this (mm) are contact: a tenth of a nanometre is rounding, not air."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Tripod:
    """Three feet that can carry, because the mass lies over them.

    `weights[f]` gives the frame's height at foot f from the heights of the three: sum(weight * height).
    """

    feet: tuple[int, int, int]
    weights: tuple[tuple[float, float, float], ...]

    def plane(self, heights: Sequence[float]) -> tuple[float, ...]:
        """The frame's height at every foot when it stands on these three."""
        a, b, c = (heights[f] for f in self.feet)
        return tuple(w[0] * a + w[1] * b + w[2] * c for w in self.weights)


@dataclass(frozen=True, slots=True)
class State:
    """One way to rest: the frame's height and the gap at every foot, and a tripod that it stands on."""

    tripod: Tripod
    plane: tuple[float, ...]
    gaps: tuple[float, ...]

    @property
    def carrying(self) -> tuple[int, ...]:
        """The feet that touch, counted from 0."""
        return tuple(i for i, gap in enumerate(self.gaps) if gap <= TOUCH)


@dataclass(frozen=True, slots=True)
class Footing:
    """Feet in plan, the mass centre, and every tripod that has the mass over it."""

    feet: tuple[Point, ...]
    mass: Point
    tripods: tuple[Tripod, ...]


def footing(feet: Sequence[Sequence[float]], mass: Sequence[float] | None = None) -> Footing:
    """The geometry of resting. Without `mass`, the middle of the feet stands for the mass centre.

    Refuses fewer than 3 or more than 8 feet, two feet in one place, feet on one line, and a mass that is not
    inside the figure that the feet span (it would tip over).
    """
    points = _points(feet)
    centre = _mass(points, mass)
    tripods = []
    for i, j, k in combinations(range(len(points)), 3):
        corners = points[i], points[j], points[k]
        if _thin(*corners):
            continue
        if min(barycentric(*corners, centre)) >= -1e-9:
            tripods.append(Tripod((i, j, k), tuple(barycentric(*corners, p) for p in points)))
    if not tripods:
        raise FormulaError(
            f"the mass centre ({centre[0]:g}, {centre[1]:g}) lies outside the feet, so the unit would tip; "
            "give 'mass' in the same axes and from the same origin as 'feet'"
        )
    return Footing(points, centre, tuple(tripods))


def rest(on: Footing, heights: Sequence[float]) -> tuple[State, ...]:
    """Every state in which the frame can rest on these heights.

    The frame comes to rest where its mass is lowest while it stays above every support: a linear programme in the
    three unknowns of a plane. Its optimum stands on three supports with the mass over them; and any plane through
    three supports with the mass over them that clears the others is an optimum, since no allowed plane can be lower
    at the three and so none can be lower at the mass. Trying every tripod is therefore exact. More than one state
    means that the mass lies over the line between two carrying feet: the unit rocks freely.
    """
    found: list[State] = []
    for tripod in on.tripods:
        plane = tripod.plane(heights)
        gaps = [p - h for p, h in zip(plane, heights, strict=True)]
        if min(gaps) < -TOUCH:
            continue
        gaps = [0.0 if gap <= TOUCH else gap for gap in gaps]
        if all(max(abs(a - b) for a, b in zip(gaps, s.gaps, strict=True)) > TOUCH for s in found):
            found.append(State(tripod, plane, tuple(gaps)))
    return tuple(found)


def pressed(on: Footing, heights: Sequence[float], foot: int) -> State:
    """The state in which the unit rests while somebody leans hard on one foot: the load sits almost over it."""
    near = 1e-6
    x, y = on.feet[foot]
    load = (x + near * (on.mass[0] - x), y + near * (on.mass[1] - y))
    states = rest(footing(on.feet, load), heights)
    return min(states, key=lambda s: (s.gaps[foot], s.tripod.feet))


@dataclass(frozen=True, slots=True)
class Rock:
    """What happens when somebody leans on a foot that does not carry: it goes down by `drop` about `pivot`."""

    foot: int
    drop: float
    pivot: tuple[int, ...]
    lifts: tuple[int, ...]
    rise: float


def rocking(on: Footing, heights: Sequence[float], state: State) -> tuple[Rock, ...]:
    """Every way in which the unit can be rocked out of this state; none for a unit that stands firm."""
    ways = []
    for foot, gap in enumerate(state.gaps):
        if gap <= TOUCH:
            continue
        down = pressed(on, heights, foot)
        drop = state.plane[foot] - down.plane[foot]
        if drop <= TOUCH:
            continue
        rises = [new - old for new, old in zip(down.plane, state.plane, strict=True)]
        lifts = tuple(i for i in state.carrying if rises[i] > TOUCH)
        pivot = tuple(i for i in state.carrying if i in down.carrying)
        ways.append(Rock(foot, drop, pivot, lifts, max((rises[i] for i in lifts), default=0.0)))
    return tuple(ways)


def spread(on: Footing, state: State, u: Sequence[float]) -> tuple[float, ...]:
    """Standard uncertainty of the gap at every foot from independent uncertainties `u` of the heights.

    First order (JCGM 100:2008, 5.1.2). A foot that carries has no gap in this state, but with slightly other heights
    another tripod would carry and the gap would open there; it is given the largest uncertainty that it has in the
    states where it hangs (0 where it carries in every state).
    """
    result = []
    for foot in range(len(on.feet)):
        own = state.tripod if foot not in state.tripod.feet else None
        others = [own] if own else [t for t in on.tripods if foot not in t.feet]
        result.append(max((_one_spread(t, foot, u) for t in others), default=0.0))
    return tuple(result)


def _one_spread(tripod: Tripod, foot: int, u: Sequence[float]) -> float:
    terms = [w * u[f] for w, f in zip(tripod.weights[foot], tripod.feet, strict=True)]
    return math.hypot(u[foot], *terms)


def _points(feet: Sequence[Sequence[float]]) -> tuple[Point, ...]:
    if not 3 <= len(feet) <= 8:
        raise FormulaError(
            f"'feet' has {len(feet)} positions; give 3 to 8, such as '0,0; 300,0; 300,200; 0,200'", field="feet"
        )
    points = []
    for number, foot in enumerate(feet, 1):
        if len(foot) != 2 or not all(math.isfinite(v) for v in foot):
            raise FormulaError(f"foot {number} is {tuple(foot)}; give two finite numbers x,y for each foot")
        points.append((float(foot[0]), float(foot[1])))
    for (i, p), (j, q) in combinations(enumerate(points, 1), 2):
        if p == q:
            raise FormulaError(f"feet {i} and {j} are both at ({p[0]:g}, {p[1]:g}); give each foot its own place")
    if all(_thin(*corners) for corners in combinations(points, 3)):
        raise FormulaError("the feet lie on one line, which carries nothing; give positions that span an area")
    return tuple(points)


def _mass(points: tuple[Point, ...], mass: Sequence[float] | None) -> Point:
    if mass is None:
        return sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points)
    if len(mass) != 2 or not all(math.isfinite(v) for v in mass):
        raise FormulaError(f"'mass' is {tuple(mass)}; give two finite numbers x,y such as '140, 90'", field="mass")
    return float(mass[0]), float(mass[1])


def _cross(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _thin(a: Point, b: Point, c: Point) -> bool:
    """Whether three points lie on one line, within 1e-7 of their size."""
    size = max(math.dist(a, b), math.dist(b, c), math.dist(a, c))
    return abs(_cross(a, b, c)) <= 1e-7 * size * size


def barycentric(a: Point, b: Point, c: Point, p: Point) -> tuple[float, float, float]:
    area = _cross(a, b, c)
    return _cross(b, c, p) / area, _cross(c, a, p) / area, _cross(a, b, p) / area
