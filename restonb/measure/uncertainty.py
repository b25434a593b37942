"""Uncertainty as JCGM 100:2008 (the GUM) works it out: type A and B parts, their combination, coverage.

Standard uncertainties are called `u`, expanded ones `U`, degrees of freedom `dof` (math.inf where the
distribution is taken as known). A part that does not come from repeated readings has infinite dof.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from restonb.errors import MeasureError

__all__ = [
    "COVERAGE",
    "TypeA",
    "arcsine",
    "certificate",
    "combine",
    "coverage_factor",
    "effective_dof",
    "rectangular",
    "resolution_step",
    "triangular",
    "type_a",
]

COVERAGE = 0.9545
"""Coverage probability of every U that is shown: the one for which k is 2 with infinite dof (JCGM 100 Table G.2)."""


@dataclass(frozen=True, slots=True)
class TypeA:
    """Repeated readings of one thing: how many, mean, standard deviation of one, standard uncertainty of the mean."""

    n: int
    mean: float
    s: float
    u: float
    dof: float


def type_a(values: Iterable[float]) -> TypeA:
    """Mean and scatter of repeated readings, JCGM 100 4.2, by Welford's recurrence and with one correction.

    Raises MeasureError for fewer than two readings (one says nothing of scatter) or one that is not a number.
    """
    x = [_finite(v, "reading") for v in values]
    n = len(x)
    if n < 2:
        raise MeasureError(f"{n} reading{'s' * (n != 1)}: no scatter can be worked out; take at least 2")
    mean = 0.0
    for i, v in enumerate(x, 1):
        mean += (v - mean) / i
    mean += math.fsum(v - mean for v in x) / n
    # The second sum is zero but for rounding: it takes the rounding of the mean out of the first.
    squares = math.fsum((v - mean) ** 2 for v in x) - math.fsum(v - mean for v in x) ** 2 / n
    s = math.sqrt(max(squares, 0.0) / (n - 1))
    return TypeA(n, mean, s, s / math.sqrt(n), n - 1.0)


def rectangular(half_width: float) -> float:
    """u of a value known only to lie within +/- half_width, JCGM 100 4.3.7."""
    return _width(half_width) / math.sqrt(3)


def triangular(half_width: float) -> float:
    """u of a value within +/- half_width and more likely in the middle, JCGM 100 4.3.9."""
    return _width(half_width) / math.sqrt(6)


def arcsine(half_width: float) -> float:
    """u of a value that swings to and fro between +/- half_width (a thermostat, say), JCGM 100 H.1.3.4."""
    return _width(half_width) / math.sqrt(2)


def resolution_step(step: float) -> float:
    """u of a display that steps by `step`, JCGM 100 F.2.2.1: rectangular over half a step each way."""
    return _width(step) / math.sqrt(12)


def certificate(expanded: float, k: float = 2.0) -> float:
    """u from the U and the k that a calibration certificate states, JCGM 100 4.3.3."""
    if not k > 0:
        raise MeasureError(f"k = {k:g} on a certificate; write the positive factor that is beside U")
    return _width(expanded) / k


def combine(parts: Sequence[float], correlation: Sequence[Sequence[float]] | None = None) -> float:
    """Combined u of parts c_i u_i (sensitivity times u, with its sign), JCGM 100 eq. 11a, 13, 16.

    `correlation` is the square table r_ij; without it the parts are independent.
    Raises MeasureError for a table that is not square, not symmetric, or not a correlation.
    """
    c = [_finite(p, "part") for p in parts]
    if correlation is None:
        return math.hypot(*c) if c else 0.0
    r = correlation
    n = len(c)
    if len(r) != n or any(len(row) != n for row in r):
        raise MeasureError(f"{n} parts need a table of {n} by {n} correlations")
    for i in range(n):
        for j in range(n):
            if abs(r[i][j] - r[j][i]) > 1e-9 or abs(r[i][j]) > 1 + 1e-9 or (i == j and abs(r[i][i] - 1) > 1e-9):
                raise MeasureError("a correlation lies between -1 and 1, is 1 with itself, and is the same both ways")
    square = math.fsum(c[i] * c[j] * r[i][j] for i in range(n) for j in range(n))
    if square < -1e-9 * math.fsum(p * p for p in c):
        raise MeasureError("these correlations contradict each other; no readings can have them")
    return math.sqrt(max(square, 0.0))


def effective_dof(parts: Sequence[float], dofs: Sequence[float]) -> float:
    """Degrees of freedom of the combination, Welch-Satterthwaite, JCGM 100 eq. G.2b; inf if every part has inf."""
    if len(parts) != len(dofs):
        raise MeasureError(f"{len(parts)} parts and {len(dofs)} degrees of freedom; give one for each part")
    for dof in dofs:
        if not dof > 0:
            raise MeasureError(f"{dof:g} degrees of freedom; they are positive, or infinite")
    combined = combine(parts)
    if combined == 0:
        return math.inf
    below = math.fsum((abs(p) / combined) ** 4 / dof for p, dof in zip(parts, dofs, strict=True))
    return 1 / below if below > 0 else math.inf


def coverage_factor(dof: float = math.inf, p: float = COVERAGE) -> float:
    """k = t_p(dof), two-sided, JCGM 100 G.3.4 and Table G.2; a dof that is not whole is cut down (G.4.1 note 1)."""
    if not 0 < p < 1:
        raise MeasureError(f"a coverage probability of {p:g}; write one between 0 and 1, such as 0.95")
    if not dof > 0:
        raise MeasureError(f"{dof:g} degrees of freedom; they are positive, or infinite")
    if math.isinf(dof):
        if p == COVERAGE:
            return 2.0  # what the table prints; the exact figure is 2.000002
        from statistics import NormalDist

        return NormalDist().inv_cdf((1 + p) / 2)
    from scipy.special import stdtrit

    whole = max(1.0, math.floor(dof * (1 + 1e-12)))
    return float(stdtrit(whole, (1 + p) / 2))


def _finite(value: float, what: str) -> float:
    if isinstance(value, (bool, str)) or not math.isfinite(value):
        raise MeasureError(f"a {what} of {value!r}; write a number")
    return float(value)


def _width(value: float) -> float:
    if _finite(value, "width") < 0:
        raise MeasureError(f"a width of {value:g}; write it without a sign")
    return float(value)
