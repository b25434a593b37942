"""The best plan of shims: an exhaustive search with proof.

Wanted: stacks under the feet so that, when the unit rests again, the worst residual is least; then fewest shims;
then least total thickness; then least movement of the unit; then the thinner stack at the lower-numbered foot.

Why the answer is the optimum. However the shimmed unit rests, it stands on three feet with the mass over them (see
`_footing.rest`). Every plan therefore appears when all tripods are tried with all stacks under their three feet. Once
these are chosen the frame's plane is known, and every other foot is a question of its own: which stacks stay below
the plane, and how close. So no combination of the other feet need be tried. Where this cannot be separated (counted
sizes, which feet share; a mass over a diagonal, where the worse of two states counts) the separate answers are still
a bound that no plan can beat: every case that the bound lets through is worked out in full.

Residuals are compared in whole nanometres, thicknesses are added in whole nanometres.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from restonb.formulas.seating._deal import Dealer
from restonb.formulas.seating._footing import TOUCH, Footing, State, Tripod, barycentric, rest
from restonb.formulas.seating._stock import NM, Stack, Stock

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
CHUNK = 200_000
EFFORT = 3_000_000
"""Cases worked out in full before the search gives up proving; counted stocks only."""

Key = tuple[int, int, int, int, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class Aim:
    """What is asked: support heights without shims, the wanted plane at each foot, and how much may stay open.

    `wanted` None leaves the plane free. The unit may miss it by `within` at any foot; what it misses by more counts
    like a gap. Residuals up to `fine` count as none.
    """

    on: Footing
    bare: tuple[float, ...]
    wanted: tuple[float, ...] | None
    within: float
    fine: float


@dataclass(frozen=True, slots=True)
class Found:
    """The best plan: a stack for each foot, what it leaves, and whether it is proved to be the best."""

    stacks: tuple[Stack, ...]
    states: tuple[State, ...]
    worst: float
    proved: bool


def search(aim: Aim, stock: Stock, by_thickness: dict[int, tuple[Stack, ...]]) -> Found:
    """The best plan over all stacks given; see the head of this file for what best means."""
    return _Search(aim, stock, by_thickness).run()


class _Search:
    def __init__(self, aim: Aim, stock: Stock, by_thickness: dict[int, tuple[Stack, ...]]) -> None:
        self.aim = aim
        self.stock = stock
        self.by_thickness = by_thickness
        self.nm = np.array(list(by_thickness), dtype=np.int64)
        self.plies = np.array([min(s.plies for s in same) for same in by_thickness.values()], dtype=np.int64)
        self.classes = [(int(p), self.nm[self.plies == p]) for p in np.unique(self.plies)]
        self.dealer = Dealer(stock, by_thickness)
        self.count = len(aim.bare)
        self.floor = self._level(aim.fine)
        zeros = [sum(share <= 1e-9 for share in _over(t, aim.on)) for t in aim.on.tripods]
        self.firm = max(zeros) == 0
        self.over_a_foot = max(zeros) > 1
        self.effort = 0
        self.settled = False
        self._tabled: tuple[float, NDArray[np.bool_], float] = (-1.0, np.zeros(1, dtype=np.bool_), 1.0)
        empty = (Stack((), 0),) * self.count
        self.best = empty
        self.key = self._key(empty)

    def run(self) -> Found:
        self._guess()
        if self.key[0] > self.floor:
            self._least_residual()
        self.settled = True
        self._fewest_shims()
        states = rest(self.aim.on, self._heights(self.best))
        return Found(self.best, states, self._worst(states), not self._spent())

    # how good a plan is

    def _level(self, worst: float) -> int:
        """The residual in whole nm. The step lies off the round values, so that rounding errors do not cross it."""
        return math.floor(worst * NM + 0.3)

    def _below(self, level: int) -> float:
        """Residuals under this number have at most this level."""
        return (level + 0.7) / NM

    def _heights(self, plan: Sequence[Stack]) -> tuple[float, ...]:
        return tuple(b + s.nm / NM for b, s in zip(self.aim.bare, plan, strict=True))

    def _worst(self, states: Sequence[State]) -> float:
        worst = max(max(s.gaps) for s in states)
        if self.aim.wanted is not None:
            worst = max(worst, self._movement(states) - self.aim.within)
        return worst

    def _movement(self, states: Sequence[State]) -> float:
        """How far any foot of the frame ends from where it is wanted (or was)."""
        goal = self.aim.wanted or (0.0,) * self.count
        return max(abs(p - g) for s in states for p, g in zip(s.plane, goal, strict=True))

    def _key(self, plan: Sequence[Stack]) -> Key:
        states = rest(self.aim.on, self._heights(plan))
        return (
            max(self.floor, self._level(self._worst(states))),
            sum(s.plies for s in plan),
            sum(s.nm for s in plan),
            self._level(self._movement(states)),
            tuple(s.nm for s in plan),
        )

    def _offer(self, plan: Sequence[Stack]) -> None:
        key = self._key(plan)
        if key < self.key:
            self.key, self.best = key, tuple(plan)

    def _most_plies(self) -> int:
        """Pieces beyond which a plan cannot be better: those of the best plan once the residual is settled."""
        return self.key[1] if self.settled else 8 * 6

    def _offer_thicknesses(self, nm: Sequence[int]) -> None:
        plan = self.dealer.deal([int(t) for t in nm], self._most_plies())
        if plan is not None:
            self._offer(plan)

    # a good plan to start from

    def _guess(self) -> None:
        """Round to the nearest stacks at several lifts: a good first plan lets the search leave out most cases."""
        goal = self.aim.wanted or (0.0,) * self.count
        steps = self.nm[:: max(1, len(self.nm) // 60)] / NM
        for lift in steps if self.aim.wanted is None else (0.0,):
            needs = np.array([(g + lift - b) * NM for g, b in zip(goal, self.aim.bare, strict=True)])
            below = np.clip(np.searchsorted(self.nm, needs, "right") - 1, 0, len(self.nm) - 1)
            above = np.clip(below + 1, 0, len(self.nm) - 1)
            nearer = np.where(np.abs(self.nm[above] - needs) < np.abs(self.nm[below] - needs), above, below)
            for pick in (below, nearer):
                self._offer_thicknesses(self.nm[pick].tolist())

    # first the residual

    def _least_residual(self) -> None:
        for tripod in self.aim.on.tripods:
            rows = [self._useful(f) for f in tripod.feet]
            for heads in _slices(rows[0], len(rows[1]) * len(rows[2])):
                self._residual_of(tripod, (heads, rows[1], rows[2]))
                if self.key[0] <= self.floor:
                    return

    def _residual_of(self, tripod: Tripod, rows: Sequence[Whole]) -> None:
        limit = self._below(self.key[0] - 1)
        cases = self._cases(tripod, rows, limit)
        worst = self._misses(tripod, cases)
        picks: list[Whole] = []
        for foot in self._others(tripod):
            plane = self._plane(tripod, cases, foot)
            at = np.searchsorted(self.nm, (plane - self.aim.bare[foot] + TOUCH) * NM, "right") - 1
            gap = np.maximum(plane - self.aim.bare[foot] - self.nm[np.maximum(at, 0)] / NM, 0.0)
            keep = (at >= 0) & (gap < limit)
            cases, worst, picks = cases[keep], np.maximum(worst, gap)[keep], [p[keep] for p in picks]
            picks.append(self.nm[at[keep]])
        if not len(cases):
            return
        plan = np.column_stack(self._plan(tripod, cases.T, picks)).astype(np.int64)
        if not (self.firm or self.over_a_foot):
            worst, _ = self._exact(plan)
        for row in np.argsort(worst, kind="stable"):
            if worst[row] >= self._below(self.key[0] - 1):
                return
            if self.stock.counts is None and not self.over_a_foot:
                self._offer_thicknesses(plan[row].tolist())
            else:
                self._work_out(tripod, cases[row], fewest=False)

    # then the number of shims and the thickness

    def _fewest_shims(self) -> None:
        limit = self._below(self.key[0])
        groups = sorted(product(self.classes, repeat=3), key=lambda g: sum(p for p, _ in g))
        useful = [self._useful(f) for f in range(self.count)]
        for group in groups:
            used = sum(p for p, _ in group)
            if used > self.key[1]:
                break
            for tripod in self.aim.on.tripods:
                near = [useful[f] for f in tripod.feet]
                rows = [np.intersect1d(row, n) for (_, row), n in zip(group, near, strict=True)]
                for heads in _slices(rows[0], len(rows[1]) * len(rows[2])):
                    self._shims_of(tripod, (heads, rows[1], rows[2]), used, limit)

    def _shims_of(self, tripod: Tripod, rows: Sequence[Whole], used: int, limit: float) -> None:
        cases = self._cases(tripod, rows, limit)
        plies = np.full(len(cases), used, dtype=np.int64)
        only = np.ones(len(cases), dtype=np.bool_)
        picks: list[Whole] = []
        for foot in self._others(tripod):
            top = (self._plane(tripod, cases, foot) - self.aim.bare[foot]) * NM
            pick = np.full(len(cases), -1, dtype=np.int64)
            for n, row in self.classes:
                at = np.minimum(np.searchsorted(row, top - limit * NM, "right"), len(row) - 1)
                fits = (pick < 0) & (row[at] > top - limit * NM) & (row[at] <= top + TOUCH * NM)
                pick[fits] = row[at[fits]]
                plies[fits] += n
            only &= (
                np.searchsorted(self.nm, top + TOUCH * NM, "right")
                - np.searchsorted(self.nm, top - limit * NM, "right")
                == 1
            )
            keep = (pick >= 0) & (plies <= self.key[1])
            cases, plies, only, picks = cases[keep], plies[keep], only[keep], [p[keep] for p in picks]
            picks.append(pick[keep])
        if not len(cases):
            return
        total = cases.sum(axis=1).astype(np.int64) + sum(picks, np.zeros(len(cases), dtype=np.int64))
        plan = np.column_stack(self._plan(tripod, cases.T, picks)).astype(np.int64)
        moves, good = self._moves(tripod, cases), np.ones(len(cases), dtype=np.bool_)
        if not self.firm:
            worst, exact_moves = self._exact(plan)
            good = worst < limit
            moves = np.where(good, exact_moves, moves)
        move = np.floor(moves * NM + 0.3).astype(np.int64)
        if self.stock.counts is not None:
            plies = np.where(only, self._dealt_plies(plan), plies)
        order = np.lexsort((*plan.T[::-1], move, total, plies))
        for row in (*order[good[order]], *order[~good[order]]):
            if (int(plies[row]), int(total[row]), int(move[row])) > self.key[1:4]:
                if good[row]:
                    continue
                return
            if good[row] and self.dealer.plies(tuple(sorted(plan[row].tolist())), self.key[1]) == plies[row]:
                self._offer_thicknesses(plan[row].tolist())
            else:
                self._work_out(tripod, cases[row], fewest=True)

    # a tripod with stacks under its three feet

    def _useful(self, foot: int) -> NDArray[np.int64]:
        """Stacks that may stand under a carrying foot: all, or those that bring it near enough to the wanted plane."""
        if self.aim.wanted is None:
            return self.nm
        off = np.abs(self.aim.bare[foot] + self.nm / NM - self.aim.wanted[foot]) - self.aim.within
        return self.nm[off < self._below(self.key[0])]

    def _others(self, tripod: Tripod) -> list[int]:
        return [f for f in range(self.count) if f not in tripod.feet]

    def _plane(self, tripod: Tripod, cases: Floats, foot: int) -> Floats:
        weights = np.array(tripod.weights[foot])
        bare = np.array([self.aim.bare[f] for f in tripod.feet])
        plane: Floats = (cases / NM + bare) @ weights
        return plane

    def _moves(self, tripod: Tripod, cases: Floats) -> Floats:
        goal = self.aim.wanted or (0.0,) * self.count
        moves = np.zeros(len(cases))
        for foot in range(self.count):
            moves = np.maximum(moves, np.abs(self._plane(tripod, cases, foot) - goal[foot]))
        return moves

    def _misses(self, tripod: Tripod, cases: Floats) -> Floats:
        if self.aim.wanted is None:
            return np.zeros(len(cases))
        return np.maximum(self._moves(tripod, cases) - self.aim.within, 0.0)

    def _cases(self, tripod: Tripod, rows: Sequence[Whole], limit: float) -> Floats:
        """Stacks in nm under the three feet, one case in each row; those which a first look rules out are left out.

        The first look takes one other foot and asks a table by rounded height whether any stack can come that close
        below the plane. The table says yes too often, never too seldom.
        """
        others = self._others(tripod)
        if not others:
            cases = _grid(rows, slice(None))
        else:
            weights = tripod.weights[others[0]]
            parts = [w * (r / NM + self.aim.bare[f]) for w, r, f in zip(weights, rows, tripod.feet, strict=True)]
            plane = parts[0][:, None, None] + parts[1][:, None] + parts[2]
            table, step = self._table(limit)
            place = np.clip((plane - self.aim.bare[others[0]]) * NM / step + 1, 0, len(table) - 1).astype(np.int32)
            cases = _grid(rows, np.flatnonzero(table[place.ravel()]))
        return cases if self.aim.wanted is None else cases[self._misses(tripod, cases) < limit]

    def _table(self, limit: float) -> tuple[NDArray[np.bool_], float]:
        if limit != self._tabled[0]:
            step = max(float(self.nm[-1]) / 50_000, 1.0)
            low = np.arange(-1, math.ceil((self.nm[-1] + limit * NM) / step) + 2) * step
            first = np.searchsorted(self.nm, low - limit * NM - 1, "left")
            last = np.searchsorted(self.nm, low + step + 1, "right")
            self._tabled = (limit, first < last, step)
        return self._tabled[1:]

    def _plan(self, tripod: Tripod, legs: Any, picks: Sequence[Any]) -> list[Any]:
        plan: list[Any] = [None] * self.count
        for foot, leg in zip(tripod.feet, legs, strict=True):
            plan[foot] = leg
        for foot, pick in zip(self._others(tripod), picks, strict=True):
            plan[foot] = pick
        return plan

    # cases that cannot be separated

    def _exact(self, plan: Whole) -> tuple[Floats, Floats]:
        """Worst residual and movement of whole plans, one in each row, over all states in which they can rest."""
        heights = plan / NM + np.array(self.aim.bare)
        goal = np.array(self.aim.wanted or (0.0,) * self.count)
        worst, moves = np.zeros(len(plan)), np.zeros(len(plan))
        for tripod in self.aim.on.tripods:
            plane = heights[:, tripod.feet] @ np.array(tripod.weights).T
            rests = (plane - heights).min(axis=1) >= -TOUCH
            worst = np.maximum(worst, np.where(rests, (plane - heights).max(axis=1), 0.0))
            moves = np.maximum(moves, np.where(rests, np.abs(plane - goal).max(axis=1), 0.0))
        return (worst if self.aim.wanted is None else np.maximum(worst, moves - self.aim.within)), moves

    def _dealt_plies(self, plan: Whole) -> Whole:
        """Pieces that each plan takes when feet share the counted pieces; beyond all bounds where they do not suffice."""
        kinds, which = np.unique(np.sort(plan, axis=1), axis=0, return_inverse=True)
        plies = [self.dealer.plies(tuple(kind), self.key[1]) for kind in kinds.tolist()]
        return np.array([2**31 if p is None else p for p in plies], dtype=np.int64)[which.ravel()]

    def _work_out(self, tripod: Tripod, legs: Floats, *, fewest: bool) -> None:
        """Every plan with these stacks under the tripod that might be better, shared pieces counted."""
        plan = [0] * self.count
        heights = [0.0] * self.count
        for foot, leg in zip(tripod.feet, legs, strict=True):
            plan[foot] = int(leg)
            heights[foot] = self.aim.bare[foot] + float(leg) / NM
        tops = [(p - b) * NM for p, b in zip(tripod.plane(heights), self.aim.bare, strict=True)]
        others = self._others(tripod)
        limit = self._below(self.key[0] - (0 if fewest else 1)) * NM
        ends = [np.searchsorted(self.nm, [tops[f] - limit, tops[f] + TOUCH * NM], "right").tolist() for f in others]
        least = [int(self.plies[low:high].min()) if high > low else 0 for low, high in ends]

        def down(done: int, used: tuple[int, ...]) -> None:
            self.effort += 1
            if self._spent() or self.dealer.plies(used, self._most_plies() - sum(least[done:])) is None:
                return
            if done == len(others):
                self.effort += 20
                self._offer_thicknesses(plan)
                return
            foot = others[done]
            for at in range(ends[done][1] - 1, ends[done][0] - 1, -1):
                if not fewest and tops[foot] - self.nm[at] >= self._below(self.key[0] - 1) * NM:
                    break
                plan[foot] = int(self.nm[at])
                down(done + 1, tuple(sorted((*used, plan[foot]))))

        down(0, tuple(sorted(int(leg) for leg in legs)))

    def _spent(self) -> bool:
        return self.effort + self.dealer.effort >= EFFORT


def _over(tripod: Tripod, on: Footing) -> tuple[float, float, float]:
    """How the mass is shared by the three feet of a tripod; a zero means that it lies over one of its edges."""
    a, b, c = (on.feet[f] for f in tripod.feet)
    return barycentric(a, b, c, on.mass)


def _slices(row: Whole, width: int) -> Iterator[Whole]:
    size = max(1, CHUNK // max(1, width))
    for start in range(0, len(row), size):
        yield row[start : start + size]


def _grid(rows: Sequence[Whole], pick: Any) -> Floats:
    """The picked combinations of the three rows, one in each row, in nm."""
    shape = [len(r) for r in rows]
    at = np.unravel_index(np.arange(math.prod(shape))[pick], shape)
    return np.column_stack([r[i] for r, i in zip(rows, at, strict=True)]).astype(np.float64)
