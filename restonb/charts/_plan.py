"""Geometry of a drawing in plan: points into a box, their outline, and labels that do not touch."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence


def fitted(
    xy: Mapping[str, tuple[float, float]], box: tuple[float, float, float, float]
) -> dict[str, tuple[float, float]]:
    """Points in plan (y upwards) moved into a box of the page (left, top, right, bottom)."""
    xs, ys = [p[0] for p in xy.values()], [p[1] for p in xy.values()]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    left, top, right, bottom = box
    scale = min((right - left) / wide if wide else math.inf, (bottom - top) / high if high else math.inf)
    scale = scale if math.isfinite(scale) else 1.0
    cx, cy = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
    mx, my = (left + right) / 2, (top + bottom) / 2
    return {name: (mx + scale * (x - cx), my - scale * (y - cy)) for name, (x, y) in xy.items()}


def hull(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """The convex outline of the points (monotone chain)."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return ordered

    def chain(run: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        out: list[tuple[float, float]] = []
        for p in run:
            while len(out) > 1 and _turn(out[-2], out[-1], p) <= 0:
                out.pop()
            out.append(p)
        return out[:-1]

    return chain(ordered) + chain(ordered[::-1])


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def apart(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Heights near the wanted ones, in order, at least `gap` apart, between `low` and `high` if they fit."""
    placed: list[float] = []
    for y in wanted:
        placed.append(max(y, placed[-1] + gap if placed else low))
    limit = high
    for n in reversed(range(len(placed))):
        placed[n] = min(placed[n], limit)
        limit = placed[n] - gap
    return placed


def sides(xy: Mapping[str, tuple[float, float]]) -> tuple[list[str], list[str]]:
    """Which points (y upwards) are named on the left and which on the right, each from the top down."""
    xs = [x for x, _ in xy.values()]
    middle = (min(xs) + max(xs)) / 2
    slack = 0.02 * (max(xs) - min(xs) or 1.0)
    left = [n for n, (x, _) in xy.items() if x < middle - slack]
    right = [n for n, (x, _) in xy.items() if x > middle + slack]
    for name in xy:
        if name not in left and name not in right:
            (left if len(left) < len(right) else right).append(name)
    for side in (left, right):
        side.sort(key=lambda n: -xy[n][1])
    return left, right
