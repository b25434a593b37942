"""Decision rules: what a value and its uncertainty say about a limit (ISO 14253-1, JCGM 106:2012, ILAC-G8:09/2019).

`simple`  inside if the value is within the limits. At a limit that is wrong every second time.
`prove`   inside if the value is within the limits by the guard band w = r U, outside if it is beyond them by w;
          between, it is too close to call. With r = 1 and k = 2 a thing at the limit passes 2.5 % of the time
          (ILAC-G8 table 1); r = 1.65 / k gives the 5 % of ISO 14253-1:2017.

One value is judged with plain floats; a whole table in arrays. Both give the same word for the same numbers.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.errors import MeasureError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

__all__ = [
    "INSIDE",
    "NOT_MEASURED",
    "NO_LIMIT",
    "OUTSIDE",
    "RULES",
    "TOO_CLOSE",
    "WORDS",
    "Zone",
    "acceptance_zone",
    "guard_band",
    "judge",
    "judge_one",
    "probability_inside",
    "verdict_words",
    "worst",
]

NOT_MEASURED, INSIDE, TOO_CLOSE, OUTSIDE, NO_LIMIT = range(5)
WORDS = ("not measured", "inside", "too close to call", "outside", "no limit")
"""The word of each verdict code: `WORDS[code]`."""

RULES = ("prove", "simple")

SLACK = 1e-9
"""A value within this fraction of a limit is on it: 0.3 in and 7.62 mm are the same size, but not the same float."""

_WORST_FIRST = ("outside", "too close to call", "not measured", "inside", "no limit")
_BLOCK = 16384


class Zone(NamedTuple):
    """Values that are accepted: from `lower` to `upper`, None where open; `empty` if no value is."""

    lower: float | None
    upper: float | None
    empty: bool


def guard_band(U: float, rule: str = "prove", r: float = 1.0) -> float:
    """w = r U for 'prove' (ILAC-G8:09/2019, 4.2.3), 0 for 'simple'. Raises MeasureError for another rule."""
    if rule not in RULES:
        raise MeasureError(f"unknown rule '{rule}'; write prove or simple")
    if not U >= 0 or not r >= 0:
        raise MeasureError(f"U = {U:g} and r = {r:g}; neither can be negative")
    return r * U if rule == "prove" else 0.0


def acceptance_zone(lower: float | None, upper: float | None, w: float = 0.0) -> Zone:
    """The limits moved inwards by w, JCGM 106 8.3.2; a negative w moves them outwards (guarded rejection, 8.3.3).

    The zone is empty where both guard bands together fill the tolerance.
    """
    low = None if lower is None else lower + w
    high = None if upper is None else upper - w
    empty = low is not None and high is not None and w > 0 and high - low <= SLACK * max(abs(low), abs(high))
    return Zone(low, high, empty)


def judge_one(value: float | None, w: float, lower: float | None, upper: float | None) -> int:
    """The verdict code of one value with guard band w; None or NaN is 'not measured'."""
    if value is None or math.isnan(value):
        return NOT_MEASURED
    if lower is None and upper is None:
        return NO_LIMIT
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper
    if value < low - w - _slack(low) or value > high + w + _slack(high):
        return OUTSIDE
    zone = acceptance_zone(lower, upper, w)
    if zone.empty or value < low + w - _slack(low) or value > high - w + _slack(high):
        return TOO_CLOSE
    return INSIDE


def _slack(limit: float) -> float:
    return SLACK * abs(limit) if math.isfinite(limit) else 0.0


def judge(
    value: ArrayLike,
    u: ArrayLike = 0.0,
    lower: ArrayLike | None = None,
    upper: ArrayLike | None = None,
    rule: str = "prove",
    *,
    k: ArrayLike = 2.0,
    r: float = 1.0,
    unit: str | None = None,
    limit_unit: str | None = None,
) -> NDArray[np.int8]:
    """Verdict codes of a whole table at once; `WORDS[code]` or `verdict_words(codes)` for the words.

    `value`, `u` (standard uncertainty), `lower`, `upper` and `k` are arrays or numbers that broadcast together;
    NaN is 'not measured' in `value` and 'no limit' in a limit. `value` and `u` are in `unit`, limits in
    `limit_unit`; both left out, all are in one unit. Returns int8 of the broadcast shape.
    Raises MeasureError for a negative or missing u, or an unknown rule; QuantityError for units of two kinds.
    """
    import numpy as np

    guard_band(0.0, rule, r)
    scale, shift = _conversion(unit, limit_unit)
    v = np.asarray(value, dtype=float)
    size = np.asarray(u, dtype=float) * np.asarray(k, dtype=float) if rule == "prove" else np.zeros(())
    if size.size and not size.min() >= 0:
        raise MeasureError("u or k is negative or missing; give every reading an uncertainty that is 0 or more")
    low = np.asarray(math.nan if lower is None else lower, dtype=float)
    high = np.asarray(math.nan if upper is None else upper, dtype=float)
    shape = np.broadcast_shapes(v.shape, size.shape, low.shape, high.shape)
    codes = np.empty(shape, dtype=np.int8)
    flat = codes.reshape(-1)
    columns = [a if a.ndim == 0 else np.broadcast_to(a, shape).reshape(-1) for a in (v, size, low, high)]
    for start in range(0, flat.size, _BLOCK):
        block = slice(start, start + _BLOCK)
        parts = [a if a.ndim == 0 else a[block] for a in columns]
        flat[block] = _judge_block(parts, scale, shift, r)
    return codes


def _judge_block(columns: Any, scale: float, shift: float, r: float) -> Any:
    """One block that fits the processor's cache: every step is done before the next block is fetched."""
    import numpy as np

    v, size, low, high = columns
    if scale != 1.0 or shift != 0.0:
        v = v * scale + shift if shift else v * scale
    w = size * (r * abs(scale))
    inner = low + (w - SLACK * np.abs(low))
    outer = high - (w - SLACK * np.abs(high))
    # A limit that is NaN compares false both ways: nothing is beyond it.
    beyond = (v < low - (w + SLACK * np.abs(low))) | (v > high + (w + SLACK * np.abs(high)))
    short = (v < inner) | (v > outer)
    if low.ndim or high.ndim or size.ndim or not (np.isnan(low) or np.isnan(high)):
        gap = (high - w) - (low + w)
        short |= (gap <= SLACK * np.maximum(np.abs(low + w), np.abs(high - w))) & (w > 0)
    codes = np.add(short, INSIDE, dtype=np.int8)
    codes[...] += beyond
    codes = np.where(np.isnan(low) & np.isnan(high), np.int8(NO_LIMIT), codes)
    return np.where(np.isnan(v), np.int8(NOT_MEASURED), codes)


def _conversion(unit: str | None, limit_unit: str | None) -> tuple[float, float]:
    """Factor and shift from `unit` to `limit_unit`."""
    if unit is None and limit_unit is None:
        return 1.0, 0.0
    if unit is None or limit_unit is None:
        raise MeasureError("give both unit and limit_unit, or neither")
    from restonb.quantity import convert, convert_difference

    return convert_difference(1.0, unit, limit_unit), convert(0.0, unit, limit_unit)


def verdict_words(codes: ArrayLike) -> NDArray[np.str_]:
    """The words of an array of verdict codes, same shape."""
    import numpy as np

    words: NDArray[np.str_] = np.array(WORDS)[np.asarray(codes, dtype=int)]
    return words


def worst(words: Any) -> str:
    """The word that decides for several: outside, too close to call, not measured, inside, no limit, in this order.

    'not measured' if there is none at all.
    """
    there = set(words)
    return next((w for w in _WORST_FIRST if w in there), "not measured")


def probability_inside(
    value: float, u: float, lower: float | None = None, upper: float | None = None, dof: float = math.inf
) -> float:
    """Probability that the true value is within the limits, JCGM 106 eq. 4 and 7: normal, or t with `dof`.

    With u = 0 it is 1 or 0, and 1 on a limit. Raises MeasureError for a negative u.
    """
    if not u >= 0:
        raise MeasureError(f"u = {u:g}; it cannot be negative")
    if u == 0:
        return float(judge_one(value, 0.0, lower, upper) in (INSIDE, NO_LIMIT))
    below = 0.0 if lower is None else _cdf((lower - value) / u, dof)
    above = 0.0 if upper is None else _cdf((value - upper) / u, dof)
    return min(1.0, max(0.0, 1.0 - below - above))


def _cdf(z: float, dof: float) -> float:
    if math.isinf(dof):
        return 0.5 * math.erfc(-z / math.sqrt(2))
    from scipy.special import stdtr

    return float(stdtr(dof, z))
