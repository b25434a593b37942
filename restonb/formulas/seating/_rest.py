"""Which feet carry, and how the unit rocks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import not_negative
from restonb.formulas.seating import _footing, _given


@dataclass(frozen=True, slots=True)
class Rested:
    """A unit at rest on its feet, as measured."""

    carrying: Annotated[tuple[int, ...], Out(None, "feet that carry")]
    gaps: Annotated[tuple[float, ...], Out("mm", "gap at each foot")]
    gaps_u: Annotated[tuple[float, ...], Out("mm", "standard uncertainty of each")]
    worst: Annotated[float, Out("mm", "largest gap")]
    worst_u: Annotated[float, Out("mm", "its standard uncertainty")]
    other_gaps: Annotated[tuple[float, ...], Out("mm", "gaps in the other state, where it can rest in two")]
    rocks: Annotated[tuple[str, ...], Out(None, "rocking")]
    drops: Annotated[tuple[float, ...], Out("mm", "how far each foot goes down when it is leant on")]
    axis: Annotated[tuple[int, ...], Out(None, "feet about which it rocks farthest")]
    firm: Annotated[bool, Out(None, "stands firm")]
    misfit: Annotated[float, Out("mm", "how far the gaps are from any one resting state")]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@formula(
    text="min z(mass centre) over planes z(x, y) with z(foot) >= -gap(foot); gap at rest = z(foot) + gap(foot); z = height above the base, x, y = place on plan",
    source=("geometry",),
    valid="3 to 8 feet, a frame that is stiff against the gaps, gaps measured in one position without touching the unit",
    not_for="a base plate that bends when it is tightened; ask seating.flex for that",
)
def rest(
    feet: Annotated[Sequence[tuple[float, float]], In("mm", "plan position x,y of each foot")],
    gaps: Annotated[Sequence[float], In("mm", "gap under each foot, bolts loose")],
    mass: Annotated[
        Sequence[float] | None, In("mm", "plan position x,y of the mass centre; else the middle of the feet")
    ] = None,
    gap_u: Annotated[float, In("mm", "standard uncertainty of one gap")] = 0.0,
) -> Rested:
    """Which feet carry, how large the gaps are, and about which feet the unit rocks, by how much.

    The unit is a rigid frame that settles with its mass as low as it can go. Three feet always carry; with the mass over the line
    between two carrying feet it rests in either of two states, and both are given. Feet count from 1.
    Refuses feet on one line, a mass outside the feet, negative gaps and lists that do not match.
    """
    on = _footing.footing(feet, mass)
    found = _given.measured(gaps, len(on.feet))
    not_negative(gap_u=gap_u)
    heights = [-g for g in found]
    states = _given.nearest_first(_footing.rest(on, heights), found)
    state = states[0]
    rocks = _footing.rocking(on, heights, state)
    us = _footing.spread(on, state, [gap_u] * len(found))
    worst = max(range(len(found)), key=lambda f: (state.gaps[f], us[f]))
    return Rested(
        carrying=tuple(f + 1 for f in state.carrying),
        gaps=state.gaps,
        gaps_u=us,
        worst=state.gaps[worst],
        worst_u=us[worst],
        other_gaps=states[1].gaps if len(states) > 1 else (),
        rocks=tuple(_rock(r) for r in rocks),
        drops=tuple(next((r.drop for r in rocks if r.foot == f), 0.0) for f in range(len(found))),
        axis=tuple(f + 1 for f in max(rocks, key=lambda r: r.drop).pivot) if rocks else (),
        firm=not rocks,
        misfit=_given.misfit(on, found)[0],
        notes=_notes(on, states, mass is None),
        cautions=tuple(c for c in [_given.misfit_text(on, found, gap_u)] if c),
    )


def _rock(rock: _footing.Rock) -> str:
    about = f"about feet {_given.names(rock.pivot)}" if len(rock.pivot) > 1 else "off its feet"
    text = f"foot {rock.foot + 1} goes down {rock.drop:.3g} mm {about}"
    return text + (f" while foot {_given.names(rock.lifts)} lifts {rock.rise:.3g} mm" if rock.lifts else "")


def _notes(on: _footing.Footing, states: tuple[_footing.State, ...], middle: bool) -> tuple[str, ...]:
    notes = []
    if middle and len(on.feet) > 3:
        notes.append(f"mass centre not given: the middle of the feet ({on.mass[0]:g}, {on.mass[1]:g}) mm is taken")
    if len(states) > 1:
        notes.append(
            f"the mass lies over the line between two carrying feet: it can rest in {len(states)} states, and a touch moves it "
            "from one to the other; measure all gaps in the same one"
        )
    if len(on.feet) == 3:
        notes.append("three feet always carry and never rock")
    return tuple(notes)
