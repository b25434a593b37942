"""Length of a chain about two sprockets, from the tangents between their pitch circles."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import need, positive

FEWEST_TEETH = 9


def radius(pitch: float, teeth: int) -> float:
    """Radius in mm of the circle on which the pins lie: p / (2 sin(180/z))."""
    return pitch / (2 * math.sin(math.pi / teeth))


def _check(pitch: float, *teeth: int) -> None:
    positive(pitch=pitch)
    for z in teeth:
        need(z >= FEWEST_TEETH, f"a sprocket of {z} teeth; give {FEWEST_TEETH} or more")


def _links(centre: float, pitch: float, small: int, large: int) -> float:
    """Exact number of pitches about two sprockets of which the second is not the smaller."""
    turn = math.asin((radius(pitch, large) - radius(pitch, small)) / centre)
    straight = 2 * centre * math.cos(turn) / pitch
    return straight + small * (0.5 - turn / math.pi) + large * (0.5 + turn / math.pi)


def _touching(pitch: float, front: int, rear: int) -> float:
    return radius(pitch, front) + radius(pitch, rear)


@formula(
    text="d = p / sin(180 deg / z)",
    source=("iso-606: Annex A, pitch circle diameter",),
    valid="9 teeth or more",
)
def pitch_diameter(
    pitch: Annotated[float, In("mm", "chain pitch", symbol="p")],
    teeth: Annotated[int, In("1", "number of teeth", symbol="z")],
) -> Annotated[float, Out("mm", "pitch circle diameter", symbol="d")]:
    """On which circle the pins lie on a sprocket."""
    _check(pitch, teeth)
    return 2 * radius(pitch, teeth)


@formula(
    text="X = 2 C cos(phi)/p + z1 (1/2 - phi/pi) + z2 (1/2 + phi/pi); sin(phi) = (R2 - R1)/C; z1, z2 = teeth of the smaller and the larger sprocket, R1, R2 = radii of their pitch circles, phi = angle between a run and the line of the shafts",
    source=("geometry", "iso-606: Annex A"),
    valid="sprockets that do not touch",
)
def length(
    centre_distance: Annotated[float, In("mm", "between the shafts", symbol="C")],
    pitch: Annotated[float, In("mm", "chain pitch", symbol="p")],
    front: Annotated[int, In("1", "teeth of the driving sprocket", symbol="z1 or z2")],
    rear: Annotated[int, In("1", "teeth of the driven sprocket", symbol="z1 or z2")],
) -> Annotated[float, Out("1", "length in pitches, before rounding", symbol="X")]:
    """How many pitches a chain about two sprockets has."""
    _check(pitch, front, rear)
    positive(centre_distance=centre_distance)
    least = _touching(pitch, front, rear)
    need(centre_distance > least, f"at {centre_distance:g} mm the sprockets touch; give more than {least:.1f} mm")
    return _links(centre_distance, pitch, *sorted((front, rear)))


@formula(
    text="solve X(C) = links for C; X = length in pitches, as in chain.length",
    source=("geometry", "iso-606: Annex A"),
    valid="chains long enough for sprockets that do not touch",
)
def centre_distance(
    links: Annotated[float, In("1", "length in pitches")],
    pitch: Annotated[float, In("mm", "chain pitch")],
    front: Annotated[int, In("1", "teeth of the driving sprocket")],
    rear: Annotated[int, In("1", "teeth of the driven sprocket")],
) -> Annotated[float, Out("mm", "between the shafts", symbol="C")]:
    """At which centre distance a chain of so many links runs without slack."""
    _check(pitch, front, rear)
    positive(links=links)
    small, large = sorted((front, rear))
    low, high = _touching(pitch, front, rear), pitch * links / 2
    least = _links(low, pitch, small, large)
    need(links > least, f"{links:g} links are too short for these sprockets; give more than {least:.1f}")
    return _solve(lambda c: _links(c, pitch, small, large) - links, low, high)


def _solve(rising: Callable[[float], float], low: float, high: float) -> float:
    from scipy.optimize import brentq

    return float(brentq(rising, low, high, xtol=1e-10))


@dataclass(frozen=True, slots=True)
class Links:
    links: Annotated[int, Out("1", "even number of links to order")]
    exact: Annotated[float, Out("1", "length in pitches, before rounding", symbol="X")]
    centre_distance: Annotated[float, Out("mm", "centre distance at that number of links")]
    move: Annotated[float, Out("mm", "how far the wheel moves from the distance given; + is back")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="links = X rounded up to the next even number",
    source=("geometry", "practice"),
    valid="an adjuster that can follow the move",
    not_for="fixed centres: there the wear allowance needs thought",
)
def links(
    centre_distance: Annotated[float, In("mm", "between the shafts, adjuster at its shortest")],
    pitch: Annotated[float, In("mm", "chain pitch")],
    front: Annotated[int, In("1", "teeth of the driving sprocket")],
    rear: Annotated[int, In("1", "teeth of the driven sprocket")],
) -> Links:
    """How many links to order, and where the wheel then stands."""
    exact = length.plain(centre_distance, pitch, front, rear)
    even = 2 * math.ceil((exact - 1e-9) / 2)
    small, large = sorted((front, rear))
    at = _solve(lambda c: _links(c, pitch, small, large) - even, centre_distance * 0.9, centre_distance + 2 * pitch)
    notes = ["an odd number of links would need a cranked link, which is weaker; an even number needs none"]
    if not 30 <= at / pitch <= 50:
        notes.append(f"centre distance is {at / pitch:.0f} pitches; 30 to 50 is usual")
    return Links(
        even,
        exact,
        at,
        at - centre_distance,
        tuple(notes),
        ("fit a spring clip with its closed end in the direction of travel",),
    )
