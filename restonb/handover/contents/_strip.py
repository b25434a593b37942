"""Where each value lies between its limits, as shares of one line: what a table can show beside the number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

from restonb.handover.report import Strip

__all__ = ["strips"]

_AIR = 0.08
"""Share of the line left free beyond what must be shown."""


def strips(now: Sequence[Mapping[str, Any]], before: Sequence[Mapping[str, Any] | None]) -> list[Strip | None]:
    """One for each row of one characteristic, all on one scale; None for a row without a value or without a limit.

    `before` has the row as found beside each, where there is another.
    """
    limits = [now[0][name] for name in ("lower", "upper", "wear_limit")]
    shown = [x for x in limits if x is not None]
    for row in (*now, *before):
        if row and row["value"] is not None:
            spread = row["U"] or 0.0
            shown += [row["value"] - spread, row["value"] + spread]
    if not any(x is not None for x in limits) or not all(map(isfinite, shown)):
        return [None] * len(now)
    low, high = min(shown), max(shown)
    lower, upper, worn = limits
    if lower is None and low >= 0:  # 'at most' begins at nothing
        low = 0.0
    span = high - low
    if span <= 0:
        return [None] * len(now)
    low, high = low - _AIR * span * (low != 0), high + _AIR * span

    def place(x: float) -> float:
        return float(round(min(1.0, max(0.0, (x - low) / (high - low))), 4))

    within = None
    if lower is not None or upper is not None:
        within = (place(low if lower is None else lower), place(high if upper is None else upper))
    used = None
    if worn is not None and lower is not None and worn < lower:
        used = (place(worn), place(lower))
    elif worn is not None and upper is not None and worn > upper:
        used = (place(upper), place(worn))
    ticks = tuple(sorted(place(x) for x in (lower, upper) if x is not None))
    found: list[Strip | None] = []
    for row, old in zip(now, before, strict=True):
        if row["value"] is None:
            found.append(None)
            continue
        spread = row["U"] or 0.0
        was = place(old["value"]) if old and old["value"] is not None else None
        ends = place(row["value"] - spread), place(row["value"] + spread)
        found.append(Strip(within, used, ticks, None if worn is None else place(worn), *ends, place(row["value"]), was))
    return found
