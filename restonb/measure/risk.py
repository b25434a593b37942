"""The risk of a wrong decision before anything is measured, JCGM 106:2012 clause 9.

Two people can lose: the one who gets a bad part that was accepted (consumer), and the one who throws a good part
away (producer). Both depend on how the parts come (the prior), how they are measured and where the line is drawn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Protocol

from restonb.errors import MeasureError

__all__ = ["Prior", "Risks", "guard_for_risk", "normal_prior", "risks"]


class Prior(Protocol):
    """What is known of the parts before measuring: any frozen continuous distribution of scipy.stats."""

    def pdf(self, x: Any) -> Any: ...
    def cdf(self, x: Any) -> Any: ...
    def ppf(self, q: Any) -> Any: ...


@dataclass(frozen=True, slots=True)
class Risks:
    """Probabilities: `outside` that a part is bad, `consumer` that it is bad and accepted, `producer` good and rejected."""

    outside: float
    consumer: float
    producer: float


def normal_prior(mean: float, sd: float) -> Prior:
    """Parts whose sizes are normally distributed."""
    from scipy.stats import norm

    if not sd > 0:
        raise MeasureError(f"a standard deviation of {sd:g} among the parts; it is positive")
    prior: Prior = norm(mean, sd)
    return prior


def risks(prior: Prior, u: float, lower: float | None = None, upper: float | None = None, w: float = 0.0) -> Risks:
    """Both risks of deciding with standard uncertainty u (normal) and guard band w, JCGM 106 eq. 17 and 19.

    A negative w is guarded rejection. Raises MeasureError without a limit, or for u that is not positive.
    """
    if lower is None and upper is None:
        raise MeasureError("no limit, no risk; give lower, upper or both")
    if not u > 0:
        raise MeasureError(f"u = {u:g}; with no uncertainty there is no risk to work out")
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper
    if high - w <= low + w:
        inside = float(prior.cdf(high) - prior.cdf(low))
        return Risks(1 - inside, 0.0, inside)

    def accepted(x: float) -> float:
        return _phi((high - w - x) / u) - _phi((low + w - x) / u)

    start, end = float(prior.ppf(1e-12)), float(prior.ppf(1 - 1e-12))
    inside = float(prior.cdf(high) - prior.cdf(low))
    consumer = sum(_integral(prior, accepted, a, b, u) for a, b in ((start, min(low, end)), (max(high, start), end)))
    good = _integral(prior, lambda x: 1 - accepted(x), max(low, start), min(high, end), u)
    return Risks(1 - inside, consumer, good)


def guard_for_risk(
    prior: Prior, u: float, consumer: float, lower: float | None = None, upper: float | None = None
) -> float:
    """The guard band with which the consumer's risk is `consumer`; negative if it may be laxer than the limits.

    Raises MeasureError where no guard band gives that risk.
    """
    from scipy.optimize import brentq

    def excess(w: float) -> float:
        return risks(prior, u, lower, upper, w).consumer - consumer

    widest = 10 * u if lower is None or upper is None else min(10 * u, (upper - lower) / 2)
    if not 0 < consumer < 1 or excess(-10 * u) < 0 or excess(widest) > 0:
        raise MeasureError(f"no guard band gives a consumer's risk of {consumer:g}; ask for less than that of no check")
    return float(brentq(excess, -10 * u, widest, xtol=1e-9 * u))


def _integral(prior: Prior, weight: Any, a: float, b: float, u: float) -> float:
    """Of the prior times a weight that changes within a few u at the ends."""
    from scipy.integrate import quad

    if b <= a:
        return 0.0
    breaks = sorted({x for x in (a + 3 * u, a + 8 * u, b - 8 * u, b - 3 * u, float(prior.ppf(0.5))) if a < x < b})
    edges = [a, *breaks, b]
    return math.fsum(
        quad(lambda x: float(prior.pdf(x)) * weight(x), p, q, epsabs=1e-13, epsrel=1e-9)[0] for p, q in pairwise(edges)
    )


def _phi(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2))
