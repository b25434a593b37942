"""What a chart takes, from what a sheet has: pairs and names."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["named", "paired"]


def paired(speeds: Sequence[float], outputs: Sequence[float]) -> list[tuple[float, float]]:
    """Speed and output, for a chart."""
    return list(zip(speeds, outputs, strict=True))


def named(names: Sequence[str], values: Sequence[float]) -> dict[str, float]:
    """Name -> value, for a chart."""
    return dict(zip(names, values, strict=True))
