"""Belts: length about two pulleys, tension from the note it sounds, deflection for a check by hand."""

from __future__ import annotations

import math
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import need, positive

__all__ = ["deflection", "length", "length_short", "tension_from_note"]


def _check(centre_distance: float, first: float, second: float) -> None:
    positive(centre_distance=centre_distance, first=first, second=second)
    least = (first + second) / 2
    need(centre_distance > least, f"at {centre_distance:g} mm the pulleys touch; give more than {least:g} mm")


@formula(
    text="L = 2 C cos(a) + pi (D + d)/2 + a (D - d); sin(a) = (D - d)/(2 C); D, d = diameters of the larger and the smaller pulley, a = angle between a free run and the line of the shafts",
    source=("geometry",),
    valid="open belts on pulleys that do not touch",
)
def length(
    centre_distance: Annotated[float, In("mm", "between the shafts", symbol="C")],
    first: Annotated[float, In("mm", "pitch diameter of one pulley", symbol="D or d")],
    second: Annotated[float, In("mm", "pitch diameter of the other", symbol="D or d")],
) -> Annotated[float, Out("mm", "belt length on the pitch line", symbol="L")]:
    """How long a belt about two pulleys is."""
    _check(centre_distance, first, second)
    large, small = max(first, second), min(first, second)
    turn = math.asin((large - small) / (2 * centre_distance))
    return 2 * centre_distance * math.cos(turn) + math.pi * (large + small) / 2 + turn * (large - small)


@formula(
    text="L = 2 C + pi (D + d)/2 + (D - d)^2/(4 C); D, d = diameters of the larger and the smaller pulley",
    source=("machinery: belt length",),
    valid="centre distance at least the sum of the diameters; then within 0.2 % of the exact length",
    not_for="toothed belts: use the exact length",
)
def length_short(
    centre_distance: Annotated[float, In("mm", "between the shafts", symbol="C")],
    first: Annotated[float, In("mm", "pitch diameter of one pulley", symbol="D or d")],
    second: Annotated[float, In("mm", "pitch diameter of the other", symbol="D or d")],
) -> Annotated[float, Out("mm", "belt length on the pitch line", symbol="L")]:
    """How long a belt about two pulleys is, by the handbook's short form."""
    _check(centre_distance, first, second)
    return 2 * centre_distance + math.pi * (first + second) / 2 + (first - second) ** 2 / (4 * centre_distance)


@formula(
    text="T = 4 m L^2 f^2",
    source=("physics",),
    valid="a free span plucked like a string",
    not_for="spans that touch a guide or tensioner",
)
def tension_from_note(
    mass_per_length: Annotated[float, In("kg/m", "mass of the belt per metre", symbol="m")],
    span: Annotated[float, In("m", "free span between the tangent points", symbol="L")],
    frequency: Annotated[float, In("Hz", "note that the plucked span sounds", symbol="f")],
) -> Annotated[float, Out("N", "strand tension", symbol="T")]:
    """How tight a belt is, from the note that its free span sounds."""
    positive(mass_per_length=mass_per_length, span=span, frequency=frequency)
    return 4 * mass_per_length * span**2 * frequency**2


@formula(
    text="deflection = span / 64",
    source=("practice",),
    valid="V-belts pressed in mid span with the maker's force",
    not_for="toothed belts and chains",
)
def deflection(span: Annotated[float, In("mm", "free span")]) -> Annotated[float, Out("mm", "deflection in mid span")]:
    """How far a V-belt gives under the maker's force."""
    positive(span=span)
    return span / 64
