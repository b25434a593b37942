"""Where in a chain of joints the voltage is lost."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import at_least, need, positive, same_length


@dataclass(frozen=True, slots=True)
class Drops:
    drops: Annotated[tuple[float, ...], Out("V", "lost in each segment")]
    worst: Annotated[str, Out(None, "segment that loses most above what it may")]
    excess: Annotated[float, Out("V", "how much more than allowed it loses; 0 or less is good")]
    resistance: Annotated[float | None, Out("ohm", "resistance of that segment", symbol="R")]
    over: Annotated[tuple[str, ...], Out(None, "every segment that loses more than it may")]
    notes: tuple[str, ...] = ()


@formula(
    text="drop = U at one point - U at the next; R = drop / I",
    source=("physics", "practice"),
    valid="voltages to battery minus, along the current, with the load switched on",
    not_for="readings with no current: an open joint then looks good up to the break",
)
def locate_drop(
    voltages: Annotated[Sequence[float], In("V", "at each point along the current, from the battery on", symbol="U")],
    points: Annotated[Sequence[str], In(None, "name of each point")],
    current: Annotated[float | None, In("A", "current that flows meanwhile", symbol="I")] = None,
    allowed: Annotated[Sequence[float] | None, In("V", "loss allowed in each segment; else 0.1 V")] = None,
) -> Drops:
    """Which joint or wire of a circuit loses the voltage."""
    at_least("voltages", voltages, 2)
    same_length(voltages=voltages, points=points)
    names = [f"{a} to {b}" for a, b in itertools.pairwise(points)]
    limits = list(allowed) if allowed is not None else [0.1] * len(names)
    need(len(limits) == len(names), f"{len(names)} segments; give {len(names)} allowed losses")
    drops = [a - b for a, b in itertools.pairwise(voltages)]
    rising = [n for n, d in zip(names, drops, strict=True) if d < -0.02]
    need(not rising, f"the voltage rises from {rising[0] if rising else ''}; check the order of the points")
    if current is not None:
        positive(current=current)
    over = [d - limit for d, limit in zip(drops, limits, strict=True)]
    worst = max(range(len(over)), key=lambda i: over[i])
    notes = [] if current else ["without the current no resistance can be given; measure it too"]
    if drops[worst] > 0.5 * voltages[0]:
        notes.append("more than half the voltage is lost in one segment: it may be open")
    return Drops(
        tuple(drops),
        names[worst],
        over[worst],
        drops[worst] / current if current else None,
        tuple(n for n, o in zip(names, over, strict=True) if o > 1e-12),
        tuple(notes),
    )
