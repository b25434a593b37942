"""What tightening does: does a foot move, and does closing one joint strain its neighbour."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import SAME, In, Out, formula
from restonb.formulas.checks import at_least, exceeds, need, not_negative, positive, same_length
from restonb.formulas.seating import _given


@dataclass(frozen=True, slots=True)
class Flex:
    """How far the feet move when their bolts are tightened."""

    worst: Annotated[float, Out("mm", "largest movement")]
    worst_u: Annotated[float, Out("mm", "its standard uncertainty")]
    worst_foot: Annotated[int, Out(None, "foot that moves most")]
    over: Annotated[tuple[int, ...], Out(None, "feet that move more than the limit")]
    springs: Annotated[tuple[float, ...], Out("mm", "movement beyond the gap that was measured, foot by foot")]
    limit: Annotated[float, Out("mm", "largest movement allowed")]
    notes: tuple[str, ...]


@formula(
    text="movement = reading with the bolt tight - reading with it loose; spring = |movement| - gap",
    source=("practice",),
    valid="one bolt loosened at a time with all others tight; indicator on the mount, plunger on the foot beside the bolt",
    not_for="finding how thick a shim must be: a bent foot reads like a gap; measure with feelers at all corners of the foot",
)
def flex(
    movement: Annotated[
        Sequence[float], In("mm", "change of the indicator at each foot while its own bolt is loosened")
    ],
    gaps: Annotated[Sequence[float] | None, In("mm", "gap under each foot by feeler, bolts loose")] = None,
    reading_u: Annotated[float, In("mm", "standard uncertainty of one indicator reading")] = 0.0,
    limit: Annotated[float, In("mm", "largest movement allowed (common practice 0.05 mm, 0.002 in)")] = 0.05,
) -> Flex:
    """Whether tightening the feet bends the base, foot by foot.

    A foot that springs when its bolt is loosened was pulled down to a gap, or stands on an angled or soft surface. What it moves
    beyond its feeler gap is not cured by a shim of that gap.
    """
    need(
        3 <= len(movement) <= 8,
        f"'movement' has {len(movement)} values; give one for each foot, 3 to 8",
        field="movement",
    )
    need(
        all(math.isfinite(m) for m in movement),
        "'movement' has a value that is not a finite number; give mm",
        field="movement",
    )
    not_negative(reading_u=reading_u)
    positive(limit=limit)
    worst = max(range(len(movement)), key=lambda f: abs(movement[f]))
    over = tuple(f + 1 for f, m in enumerate(movement) if exceeds(abs(m), limit))
    springs: tuple[float, ...] = ()
    if gaps is not None:
        found = _given.measured(gaps, len(movement))
        springs = tuple(abs(m) - g for m, g in zip(movement, found, strict=True))
    return Flex(
        worst=abs(movement[worst]),
        worst_u=reading_u * math.sqrt(2),
        worst_foot=worst + 1,
        over=over,
        springs=springs,
        limit=limit,
        notes=_flex_notes(movement, over, springs, limit),
    )


def _flex_notes(
    movement: Sequence[float], over: tuple[int, ...], springs: tuple[float, ...], limit: float
) -> tuple[str, ...]:
    notes = []
    if len(over) == len(movement):
        notes.append("every foot moves: look for paint, burrs, dirt or too many thin shims before adding any")
    elif len(movement) == 4 and len(over) == 2 and (over[1] - over[0]) == 2:
        notes.append(
            f"the two ends of one diagonal move (feet {over[0]} and {over[1]}): the unit rocks about the other one"
        )
    elif over:
        notes.append(
            f"foot {_given.names([f - 1 for f in over])} is pulled down by the bolt: seating.shims plans the cure"
        )
    springy = [f for f, s in enumerate(springs) if exceeds(s, limit)]
    if springy:
        notes.append(
            f"foot {_given.names(springy)} moves more than its feeler gap: an angled or bent foot, or a springy pack; "
            "measure the gap at all corners of the foot"
        )
    return tuple(notes)


@dataclass(frozen=True, slots=True)
class Strain:
    """What closing a joint does to readings taken beside it."""

    shifts: Annotated[tuple[float, ...], Out(SAME, "change by closing the joint, position by position")]
    worst_shift: Annotated[float, Out(SAME, "largest change")]
    worst_u: Annotated[float, Out(SAME, "its standard uncertainty")]
    worst_position: Annotated[int, Out(None, "position with it, counted from 1")]
    stays: Annotated[tuple[float, ...], Out(SAME, "change that stays when the joint is opened again")]
    worst_stay: Annotated[float | None, Out(SAME, "largest change that stays")]
    strained: Annotated[bool, Out(None, "closing the joint moves something beyond the limit")]
    notes: tuple[str, ...]


@formula(
    text="shift = reading with the joint tight - reading with it open; what stays = reading opened again - reading open at first",
    source=("practice",),
    valid="the same positions, instrument and set-up three times: joint open, tight, open again; any one unit throughout",
    not_for="saying which part is at fault: it says that the joint pulls, and by how much",
)
def strain(
    before: Annotated[Sequence[float], In(SAME, "readings with the joint open")],
    tight: Annotated[Sequence[float], In(SAME, "readings at the same positions with the joint tight")],
    after: Annotated[Sequence[float] | None, In(SAME, "readings with the joint open again")] = None,
    limit: Annotated[
        float, In(SAME, "largest change allowed (common practice 0.05 mm, 0.002 in)", default="0.05 mm")
    ] = 0.05,
    reading_u: Annotated[float, In(SAME, "standard uncertainty of one reading")] = 0.0,
) -> Strain:
    """Whether closing this joint strains its neighbour, and whether the change goes back when it is opened.

    All readings of one kind, whatever it is (run-out in mm, free play in deg, turning torque in N m); the results are in the
    first unit that is stated. Plain numbers are taken as they are: the limit is then in their unit too.
    """
    at_least("before", before, 1)
    lists: dict[str, Sequence[object]] = {"before": before, "tight": tight}
    if after is not None:
        lists["after"] = after
    same_length(**lists)
    need(
        all(math.isfinite(v) for v in (*before, *tight, *(after or ()))),
        "a reading is not a finite number; give numbers",
    )
    positive(limit=limit)
    not_negative(reading_u=reading_u)
    shifts = tuple(t - b for t, b in zip(tight, before, strict=True))
    stays = tuple(a - b for a, b in zip(after, before, strict=True)) if after is not None else ()
    worst = max(range(len(shifts)), key=lambda i: abs(shifts[i]))
    stay = max((abs(s) for s in stays), default=None)
    return Strain(
        shifts=shifts,
        worst_shift=abs(shifts[worst]),
        worst_u=reading_u * math.sqrt(2),
        worst_position=worst + 1,
        stays=stays,
        worst_stay=stay,
        strained=exceeds(abs(shifts[worst]), limit),
        notes=_strain_notes(abs(shifts[worst]), stay, limit, reading_u),
    )


def _strain_notes(shift: float, stay: float | None, limit: float, reading_u: float) -> tuple[str, ...]:
    notes = []
    if shift <= max(2 * math.sqrt(2) * reading_u, 0.0) and shift > 0:
        notes.append("the change is no larger than the uncertainty of two readings: nothing is shown to move")
    if stay is None:
        notes.append("open the joint again and read once more: without it a slipped set-up looks like strain")
    elif exceeds(stay, limit):
        notes.append(
            "the change does not go back when the joint is opened: the set-up slipped, something settled afresh, or a part yielded"
        )
    elif exceeds(shift, limit):
        notes.append(
            "the change goes back when the joint is opened: the joint pulls its neighbour within its elastic range"
        )
    return tuple(notes)
