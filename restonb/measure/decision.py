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

    _Array = NDArray[np.float64]

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
"""A value within this fraction of a limit and its guard band is on it: 0.3 in and 7.62 mm are the same size, but not the same float."""

_WORST_FIRST = ("outside", "too close to call", "in doubt", "not measured", "no limit", "inside")
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

    The zone is empty where both guard bands together are wider than the tolerance.
    """
    low = None if lower is None else lower + w
    high = None if upper is None else upper - w
    empty = low is not None and high is not None and high < low - _slack(low, abs(w)) - _slack(high, abs(w))
    return Zone(low, high, empty)


def judge_one(value: float | None, w: float, lower: float | None, upper: float | None) -> int:
    """The verdict code of one value with guard band w; None or NaN is 'not measured'."""
    if value is None or math.isnan(value):
        return NOT_MEASURED
    if lower is None and upper is None:
        return NO_LIMIT
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper
    if value < low - w - _slack(low, w) or value > high + w + _slack(high, w):
        return OUTSIDE
    if value < low + w - _slack(low, w) or value > high - w + _slack(high, w):
        return TOO_CLOSE
    return INSIDE


def _slack(limit: float, w: float) -> float:
    return SLACK * (abs(limit) + w) if math.isfinite(limit) else 0.0


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
    widening = r * scale if rule == "prove" else 0.0
    v, size, factor, low, high = (
        np.asarray(math.nan if a is None else a, dtype=float) for a in (value, u, k, lower, upper)
    )
    codes = np.empty(np.broadcast_shapes(v.shape, size.shape, factor.shape, low.shape, high.shape), dtype=np.int8)
    one_for_all = not (size.ndim or factor.ndim or low.ndim or high.ndim)
    if one_for_all:  # four numbers to convert instead of all readings
        ends = tuple((end - shift) / scale for end in _ends(_width(size, factor, widening), low, high, shift))
    flat = codes.reshape(-1)
    columns = [a if a.ndim == 0 else np.broadcast_to(a, codes.shape).reshape(-1) for a in (v, size, factor, low, high)]
    for start in range(0, flat.size, _BLOCK):
        # One block fits the processor's cache: every step is done before the next block is fetched.
        block = slice(start, start + _BLOCK)
        v, size, factor, low, high = (a if a.ndim == 0 else a[block] for a in columns)
        if not one_for_all:
            ends = _ends(_width(size, factor, widening), low, high, shift)
            if shift or scale != 1.0:
                v = v * scale
                v += shift
        _fill(flat[block], v, ends)
        unlimited = np.isnan(low) & np.isnan(high)
        if unlimited.any():
            flat[block][unlimited & (flat[block] > 0)] = NO_LIMIT
    return codes


def _width(size: _Array, factor: _Array, widening: float) -> _Array:
    """Guard bands in the unit of the limits."""
    if size.size and not (size.min() >= 0 and factor.min() >= 0):
        raise MeasureError("a u or k is negative or missing; give every reading an uncertainty of 0 or more")
    width: _Array = size * (factor * widening)
    return width


def _ends(w: _Array, low: _Array, high: _Array, shift: float) -> tuple[_Array, ...]:
    """Where inside ends, below and above, and where outside begins."""
    near, far = w * (1 - SLACK), w * (1 + SLACK)
    below, above = low - SLACK * (abs(low) + abs(shift)), high + SLACK * (abs(high) + abs(shift))
    return below + near, above - near, below - far, above + far


def _fill(codes: Any, v: _Array, ends: tuple[_Array, ...]) -> None:
    """1 for a reading, plus 1 if it is not inside, plus 1 if it is outside.

    What is NaN compares false, so that nothing is beyond a limit that is not there, and a missing reading stays 0.
    """
    import numpy as np

    np.equal(v, v, out=codes.view(np.bool_))
    for start, end in (ends[:2], ends[2:]):
        beyond = v < start
        beyond |= v > end
        codes += beyond.view(np.int8)


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
    """The word that decides for several: outside, too close to call, in doubt, not measured, no limit, inside, in this order.

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
