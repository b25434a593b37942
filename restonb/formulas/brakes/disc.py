"""Discs: thickness variation, and run-out split into eccentricity and form."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import at_least, need, positive


@dataclass(frozen=True, slots=True)
class Thickness:
    least: Annotated[float, Out("mm", "least thickness")]
    variation: Annotated[float, Out("mm", "largest minus least")]
    left: Annotated[float | None, Out("mm", "what is left above the minimum")]
    notes: tuple[str, ...] = ()


@formula(
    text="variation = max - min; left = min - minimum",
    source=("geometry", "practice"),
    valid="4 points or more round the disc, all at the same radius",
    not_for="a disc without a minimum mark and without a manual: do not guess it",
)
def thickness_variation(
    thickness: Annotated[Sequence[float], In("mm", "thickness at points round the disc")],
    minimum: Annotated[float | None, In("mm", "minimum marked on the disc or printed in the manual")] = None,
) -> Thickness:
    """How evenly thick a disc is, and what is left to the minimum."""
    at_least("thickness", thickness, 4)
    for i, t in enumerate(thickness, 1):
        positive(**{f"thickness[{i}]": t})
    if minimum is not None:
        positive(minimum=minimum)
    spread = max(thickness) - min(thickness)
    notes = ["common practice, no source: variation above 0.01 to 0.02 mm can be felt at the lever"]
    return Thickness(min(thickness), spread, None if minimum is None else min(thickness) - minimum, tuple(notes))


@dataclass(frozen=True, slots=True)
class RunOut:
    total: Annotated[float, Out("mm", "total indicator reading")]
    eccentricity: Annotated[float, Out("mm", "amplitude of the once-per-turn part", symbol="e")]
    high_at: Annotated[float, Out("deg", "where the once-per-turn part is highest, from the first reading")]
    form: Annotated[float, Out("mm", "what is left: waviness of the surface itself")]
    twice: Annotated[float | None, Out("mm", "amplitude of the twice-per-turn part of that; none below 8 readings")] = (
        None
    )
    rest: Annotated[float | None, Out("mm", "what is left of the form without it; none below 8 readings")] = None
    notes: tuple[str, ...] = ()


@formula(
    text="a = 2/N sum y cos t, b = 2/N sum y sin t; e = hypot(a, b); form = spread of y - mean - first harmonic; twice per turn alike with 2 t; N = number of readings, t = angle of each, a, b = parts of the movement once per turn",
    source=("geometry",),
    valid="5 equally spaced readings or more over one turn",
    not_for="fewer than 8 readings where a wave of three or four per turn is suspected",
)
def run_out(
    readings: Annotated[Sequence[float], In("mm", "indicator readings, equally spaced over one turn", symbol="y")],
) -> RunOut:
    """How much of a run-out is mounting (once per turn) and how much is the part itself."""
    at_least("readings", readings, 5)
    mean = math.fsum(readings) / len(readings)
    once, high, left = _without_wave([y - mean for y in readings], 1)
    total, form = max(readings) - min(readings), max(left) - min(left)
    need(total < 50, "readings spread over more than 50 mm; check their unit")
    twice, _, rest = _without_wave(left, 2)
    kind = "mostly mounting or hub" if 2 * once > form else "mostly the part itself"
    many = len(readings) >= 8
    return RunOut(total, once, high, form, twice if many else None, max(rest) - min(rest) if many else None, (kind,))


def _without_wave(readings: Sequence[float], waves: int) -> tuple[float, float, list[float]]:
    """Amplitude of that many waves per turn, where the first is highest in degrees, and the readings without it."""
    n = len(readings)
    angles = [2 * math.pi * waves * i / n for i in range(n)]
    a = 2 / n * math.fsum(y * math.cos(t) for y, t in zip(readings, angles, strict=True))
    b = 2 / n * math.fsum(y * math.sin(t) for y, t in zip(readings, angles, strict=True))
    left = [y - a * math.cos(t) - b * math.sin(t) for y, t in zip(readings, angles, strict=True)]
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360 / waves, left
