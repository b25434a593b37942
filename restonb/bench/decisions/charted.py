"""What a chart takes, from what a sheet has: pairs, names and days."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

__all__ = ["last_day", "named", "paired"]


def paired(speeds: Sequence[float], outputs: Sequence[float]) -> list[tuple[float, float]]:
    """Speed and output, for a chart."""
    return list(zip(speeds, outputs, strict=True))


def named(names: Sequence[str], values: Sequence[float]) -> dict[str, float]:
    """Name -> value, for a chart."""
    return dict(zip(names, values, strict=True))


def last_day(sheet: Any, characteristic: str) -> str:
    """The day of its newest reading, for a chart; '' where there is none."""
    return max((r.at[:10] for r in sheet.evidence.all(characteristic)), default="")
