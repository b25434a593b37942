"""What would settle a verdict that is too close to call: so many more readings, or a gauge of which error."""

from __future__ import annotations

import math
from dataclasses import replace

from restonb.measure.budget import Budget, Component
from restonb.measure.limits import Limits
from restonb.measure.uncertainty import rectangular, resolution_step
from restonb.quantity import write

__all__ = ["gauge_error_needed", "margin", "readings_needed", "what_settles"]

MOST_READINGS = 100
"""Nobody measures one place more often than this."""


def margin(value: float, limits: Limits) -> float:
    """Distance from the value to the nearest limit; U must become smaller than this."""
    return min((abs(value - limit) for limit in (limits.lower, limits.upper) if limit is not None), default=math.inf)


def readings_needed(budget: Budget, distance: float, n: int) -> int | None:
    """How many readings in all bring U below `distance` if they scatter as the `n` that there are.

    None where no number up to MOST_READINGS does, or where nothing was repeated.
    """
    scatter = [c for c in budget.components if c.cause == "scatter"]
    if not scatter or n < 2:
        return None
    for m in range(n + 1, MOST_READINGS + 1):
        parts = tuple(
            replace(c, u=c.u * math.sqrt(n / m), dof=m - 1.0) if c.cause == "scatter" else c for c in budget.components
        )
        if _settled(replace(budget, components=parts), distance):
            return m
    return None


def gauge_error_needed(budget: Budget, distance: float) -> float | None:
    """The error (+/-) and resolution of a gauge with which U stays below `distance`: 1, 2 or 5 times a power of ten.

    None where no gauge would do: the value is on the limit, or what remains does not come from the gauge.
    """
    if not 0 < distance < math.inf or not _settled(_with_gauge(budget, 0.0), distance):
        return None
    power = math.floor(math.log10(distance)) + 1
    for exponent in range(power, power - 9, -1):
        for digit in (5, 2, 1):
            error = float(f"{digit}e{exponent}")
            if _settled(_with_gauge(budget, error), distance):
                return error
    return None


def what_settles(value: float, budget: Budget, limits: Limits, unit: str, n: int) -> str:
    """One line for the reader; `n` readings were taken."""
    distance = margin(value, limits)
    if distance <= 1e-9 * max(abs(value), budget.u):
        return "it reads exactly the limit, which no gauge can settle: treat it as not proved"
    if any(c.cause == "date" for c in budget.components):
        return "its date of making is not marked finely enough: find the day, or count it as too old"
    ways = []
    needed = readings_needed(budget, distance, n)
    if needed is not None:
        ways.append(f"{needed - n} more readings ({needed} in all), if they scatter alike")
    error = gauge_error_needed(budget, distance)
    if error is not None:
        ways.append(f"a gauge that shows {write(error, unit)} and errs by no more, if it reads the same")
    if ways:
        return "would settle it: " + "; or ".join(ways)
    dominant = f": most of the uncertainty is {budget.dominant[0]}" if budget.components else ""
    return f"neither a better gauge nor more readings alone would settle it{dominant}"


def _settled(budget: Budget, distance: float) -> bool:
    """U must be smaller than the distance, and clearly so, since only strictly beyond a limit is outside."""
    enough = distance * (1 - 1e-6)
    return enough > budget.U


def _with_gauge(budget: Budget, error: float) -> Budget:
    """The budget as it would be with a gauge of that error and resolution."""
    parts: list[Component] = []
    errors = any(c.cause == "instrument" for c in budget.components)
    for c in budget.components:
        if c.cause == "instrument":
            parts.append(replace(c, value=error, u=rectangular(error)))
        elif c.cause == "resolution":
            parts.append(replace(c, value=error, u=resolution_step(error)))
            if not errors:
                parts.append(replace(c, value=error, u=rectangular(error), cause="instrument", shared="new gauge"))
        else:
            parts.append(c)
    return replace(budget, components=tuple(parts))
