"""In which order, and in which stages, the bolts of a pattern are tightened."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import at_least, between, need, positive


@dataclass(frozen=True, slots=True)
class TighteningOrder:
    order: Annotated[tuple[int, ...], Out(None, "bolt numbers, in the order of tightening")]
    stages: Annotated[tuple[float, ...], Out("N m", "torque of each pass")]
    pattern: Annotated[str, Out(None, "kind of pattern")]
    steps: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="ring: each next bolt lies farthest from those just tightened; oblong: from the middle outward, across",
    source=("practice",),
    valid="3 or more bolts at plan positions; passes at 30, 70 and 100 % unless given",
    not_for="cylinder heads and other joints with a maker's own order: that order comes first",
)
def tightening_order(
    bolts: Annotated[
        Sequence[tuple[float, float]], In("mm", "plan position of each bolt, in the order of their numbers")
    ],
    torque: Annotated[float, In("N m", "final torque")],
    passes: Annotated[Sequence[float], In("%", "share of the torque in each pass")] = (30.0, 70.0, 100.0),
) -> TighteningOrder:
    """In which order and stages to tighten the bolts of any pattern."""
    positive(torque=torque)
    at_least("bolts", bolts, 3)
    need(len(set(bolts)) == len(bolts), "two bolts lie at the same place; give each its own")
    for share in passes:
        between("passes", share, 1, 100, "%")
    need(list(passes) == sorted(passes) and passes[-1] == 100, "passes must rise and end with 100 %")
    ring = _is_ring(bolts)
    order = _star(bolts) if ring else _outward(bolts)
    stages = tuple(torque * share / 100 for share in passes)
    numbers = ", ".join(map(str, order))
    steps = [f"pass {i}: {stage:g} N m in the order {numbers}" for i, stage in enumerate(stages, 1)]
    steps.append(f"last: once round in the order of the ring at {torque:g} N m, until no bolt moves")
    return TighteningOrder(
        order, stages, "ring" if ring else "oblong", tuple(steps), (), ("follow the maker's order where there is one",)
    )


def _centre(bolts: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return sum(x for x, _ in bolts) / len(bolts), sum(y for _, y in bolts) / len(bolts)


def _is_ring(bolts: Sequence[tuple[float, float]]) -> bool:
    """Bolts lie round about: none deep inside the others, and not much longer than wide."""
    cx, cy = _centre(bolts)
    radii = [math.hypot(x - cx, y - cy) for x, y in bolts]
    return min(radii) > 0.5 * max(radii)


def _star(bolts: Sequence[tuple[float, float]]) -> tuple[int, ...]:
    """Start with bolt 1; each next is the one whose direction is farthest from those tightened lately."""
    cx, cy = _centre(bolts)
    angles = [math.atan2(y - cy, x - cx) for x, y in bolts]
    order, left = [0], list(range(1, len(bolts)))

    def gap(a: int, b: int) -> float:
        turn = abs(angles[a] - angles[b]) % (2 * math.pi)
        return min(turn, 2 * math.pi - turn)

    while left:
        last, before = order[-1], order[-2:-1]
        best = max(
            left, key=lambda i: (round(gap(i, last), 9), round(min((gap(i, b) for b in before), default=0.0), 9), -i)
        )
        order.append(best)
        left.remove(best)
    return tuple(i + 1 for i in order)


def _outward(bolts: Sequence[tuple[float, float]]) -> tuple[int, ...]:
    """From the middle outward, each next as far as possible across from the last among those about equally far out."""
    cx, cy = _centre(bolts)
    far = [math.hypot(x - cx, y - cy) for x, y in bolts]
    left = sorted(range(len(bolts)), key=lambda i: (round(far[i], 9), i))
    order = [left.pop(0)]
    span = max(far) or 1.0
    while left:
        nearest = far[left[0]]
        equal = [i for i in left if far[i] <= nearest + 0.15 * span]
        last = bolts[order[-1]]
        best = max(equal, key=lambda i: (round(math.dist(bolts[i], last), 9), -i))
        order.append(best)
        left.remove(best)
    return tuple(i + 1 for i in order)
