"""Charging balance by speed, balance of windings, insulation."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import at_least, need, not_negative, positive, same_length


@dataclass(frozen=True, slots=True)
class Balance:
    margins: Annotated[tuple[float, ...], Out("W", "output minus loads at each speed")]
    even_at: Annotated[float | None, Out("rpm", "speed at which the output first carries the loads")]
    least: Annotated[float, Out("W", "smallest margin; below 0 the battery runs down there")]
    notes: tuple[str, ...] = ()


@formula(
    text="margin = output - sum(loads); even where the line between two speeds crosses the loads",
    source=("physics", "practice"),
    valid="outputs measured at rising speeds, at the voltage in use",
    not_for="peak loads such as the horn; and for a cold battery, which takes current itself",
)
def charging_balance(
    speeds: Annotated[Sequence[float], In("rpm", "engine speeds, rising")],
    outputs: Annotated[Sequence[float], In("W", "alternator or dynamo output at each speed")],
    loads: Annotated[Sequence[float], In("W", "everything switched on at once")],
) -> Balance:
    """Whether charging carries the loads, and from which speed on."""
    at_least("speeds", speeds, 2)
    same_length(speeds=speeds, outputs=outputs)
    need(all(a < b for a, b in itertools.pairwise(speeds)), "speeds must rise; put them in order")
    for i, (out, speed) in enumerate(zip(outputs, speeds, strict=True), 1):
        not_negative(**{f"outputs[{i}]": out, f"speeds[{i}]": speed})
    for i, load in enumerate(loads, 1):
        not_negative(**{f"loads[{i}]": load})
    total = sum(loads)
    margins = tuple(out - total for out in outputs)
    even = speeds[0] if margins[0] >= 0 else None
    for (n0, m0), (n1, m1) in zip(
        zip(speeds, margins, strict=True), list(zip(speeds, margins, strict=True))[1:], strict=False
    ):
        if even is None and m0 < 0 <= m1:
            even = n0 + (n1 - n0) * -m0 / (m1 - m0)
    note = f"loads add up to {total:g} W"
    return Balance(
        margins, even, min(margins), (note,) if even is not None else (note, "the output never carries these loads")
    )


@dataclass(frozen=True, slots=True)
class Windings:
    spread: Annotated[float, Out("%", "largest minus smallest over the mean")]
    mean: Annotated[float, Out("ohm", "mean, leads taken off")]
    notes: tuple[str, ...] = ()


@formula(
    text="spread = 100 (max - min)/mean after taking off the leads",
    source=("practice",),
    valid="two phases or more, measured cold with the same leads",
    not_for="finding a shorted turn in a low-resistance winding: compare the output too",
)
def winding_balance(
    resistances: Annotated[Sequence[float], In("ohm", "phase to phase")],
    leads: Annotated[float, In("ohm", "resistance of the leads, tips held together")] = 0.0,
) -> Windings:
    """How alike the phases of a winding are."""
    at_least("resistances", resistances, 2)
    not_negative(leads=leads)
    net = [r - leads for r in resistances]
    need(min(net) > 0, "a phase reads no more than the leads; measure with a milliohm meter, or the winding is shorted")
    mean = sum(net) / len(net)
    return Windings(100 * (max(net) - min(net)) / mean, mean, ("5 to 10 % is common practice, no source",))


@formula(
    text="R of parallel paths: 1/R = sum(1/Ri); here the least of the phases decides",
    source=("practice",),
    valid="each phase measured to earth, disconnected, dry",
    not_for="mains equipment",
)
def insulation(
    resistances: Annotated[Sequence[float], In("Mohm", "each phase to earth", symbol="Ri")],
) -> Annotated[float, Out("Mohm", "lowest; above 1 Mohm is common practice, no source", symbol="R")]:
    """How well a winding is insulated from earth."""
    at_least("resistances", resistances, 1)
    for i, r in enumerate(resistances, 1):
        not_negative(**{f"resistances[{i}]": r})
    positive(count=len(resistances))
    return min(resistances)
