"""How fast something wears: a straight line through readings against miles or hours, and when it meets the limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from restonb.errors import MeasureError
from restonb.measure.uncertainty import coverage_factor

__all__ = ["Wear", "wear_rate"]


@dataclass(frozen=True, slots=True)
class Wear:
    """A least-squares line through n readings, value = `start` + `rate` x usage, and where it meets the limit.

    `u_rate` is the standard uncertainty of the rate, `U_rate` its half-interval at probability `p` (t with `dof`).
    `at` is the usage at which the line meets the limit, `earliest` and `latest` its interval; None where there is
    no projection, for the reason in `why_not`. `left` is from the last reading to `at`, `left_at_least` to
    `earliest`; 0 if that is passed.
    """

    n: int
    start: float
    rate: float
    u_rate: float
    U_rate: float
    dof: int
    p: float
    last: float
    limit: float
    at: float | None = None
    earliest: float | None = None
    latest: float | None = None
    why_not: str = ""

    @property
    def left(self) -> float | None:
        return None if self.at is None else max(0.0, self.at - self.last)

    @property
    def left_at_least(self) -> float | None:
        return None if self.earliest is None else max(0.0, self.earliest - self.last)

    def value_at(self, usage: float) -> float:
        """What the line says at that usage."""
        return self.start + self.rate * usage


def wear_rate(
    usage: Sequence[float],
    values: Sequence[float],
    limit: float,
    *,
    wears: str = "up",
    u: float = 0.0,
    p: float = 0.95,
) -> Wear:
    """The wear rate and the usage at which the wear limit is met, with a t-based interval (inverse regression).

    `usage` in miles, km or hours; `values` and `limit` in one unit; `wears` says which way: 'up' (a bore) or 'down'
    (a lining). `u`: standard uncertainty of one reading; it counts where the points lie closer to the line than that.
    The interval for the limit holds the usages at which the line's mean could be the limit with probability `p`
    (Fieller's theorem); it is finite only for a rate that is significant, so that nothing is projected from less.
    A straight line is an assumption: running-in and a failing part wear faster. Raises MeasureError for fewer than
    three points, all at one usage, or a reading that is missing.
    """
    n = len(usage)
    if wears not in ("up", "down"):
        raise MeasureError(f"wears = '{wears}'; write up or down")
    if n != len(values):
        raise MeasureError(f"{n} usages and {len(values)} readings; give one of each for every point")
    if n < 3:
        raise MeasureError(f"{n} point{'s' * (n != 1)}: a wear rate needs at least 3, at different usage")
    if not all(math.isfinite(v) for v in (*usage, *values, limit)) or not u >= 0:
        raise MeasureError("a usage, a reading or the limit is missing; leave out the point, or fill it in")
    mean_x, mean_y = math.fsum(usage) / n, math.fsum(values) / n
    dx = [x - mean_x for x in usage]
    sxx = math.fsum(d * d for d in dx)
    if sxx == 0:
        raise MeasureError("all readings are at one usage; a wear rate needs them at different ones")
    rate = math.fsum(d * (y - mean_y) for d, y in zip(dx, values, strict=True)) / sxx
    left_over = [y - mean_y - rate * d for d, y in zip(dx, values, strict=True)]
    s = max(math.sqrt(math.fsum(e * e for e in left_over) / (n - 2)), u)
    t = coverage_factor(n - 2, p)
    u_rate = s / math.sqrt(sxx)
    line = (n, mean_y - rate * mean_x, rate, u_rate, t * u_rate, n - 2, p, max(usage), limit)
    sense = 1.0 if wears == "up" else -1.0
    if sense * rate <= t * u_rate or rate == 0:
        word = "no wear shows" if sense * rate <= 0 else "wear does not stand out from the scatter"
        return Wear(*line, why_not=f"{word} over these {n} readings, so nothing can be projected; measure again later")
    g = (t * u_rate / rate) ** 2
    from_mean = (limit - mean_y) / rate
    middle = from_mean / (1 - g)
    half = t * s / abs(rate) / (1 - g) * math.sqrt((1 - g) / n + from_mean**2 / sxx)
    return Wear(*line, at=mean_x + from_mean, earliest=mean_x + middle - half, latest=mean_x + middle + half)
