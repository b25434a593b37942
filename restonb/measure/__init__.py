"""Positions, uncertainty, verdicts: readings and limits in, a table of verdicts out."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from restonb.measure.model import Characteristic, Instrument, Reading
from restonb.measure.positions import (
    DERIVATIONS,
    Derived,
    Layout,
    Place,
    derived,
    expand,
    find_position,
    layout,
)

if TYPE_CHECKING:
    from restonb.measure.budget import Budget, Component, component
    from restonb.measure.decision import (
        RULES,
        WORDS,
        acceptance_zone,
        guard_band,
        judge,
        judge_one,
        probability_inside,
        verdict_words,
        worst,
    )
    from restonb.measure.limits import Limits, limits_of, worn_in
    from restonb.measure.temperature import EXPANSION, length_at_20
    from restonb.measure.uncertainty import (
        COVERAGE,
        TypeA,
        arcsine,
        certificate,
        combine,
        coverage_factor,
        effective_dof,
        rectangular,
        resolution_step,
        triangular,
        type_a,
    )
    from restonb.measure.verdict_table import Verdict, Verdicts
    from restonb.measure.verdicts import check

__all__ = [
    "COVERAGE",
    "DERIVATIONS",
    "EXPANSION",
    "RULES",
    "WORDS",
    "Budget",
    "Characteristic",
    "Component",
    "Derived",
    "Instrument",
    "Layout",
    "Limits",
    "Place",
    "Reading",
    "TypeA",
    "Verdict",
    "Verdicts",
    "acceptance_zone",
    "arcsine",
    "certificate",
    "check",
    "combine",
    "component",
    "coverage_factor",
    "derived",
    "effective_dof",
    "expand",
    "find_position",
    "guard_band",
    "judge",
    "judge_one",
    "layout",
    "length_at_20",
    "limits_of",
    "probability_inside",
    "rectangular",
    "resolution_step",
    "triangular",
    "type_a",
    "verdict_words",
    "worn_in",
    "worst",
]

_HOMES = {
    "budget": ("Budget", "Component", "component"),
    "decision": (
        "RULES",
        "WORDS",
        "acceptance_zone",
        "guard_band",
        "judge",
        "judge_one",
        "probability_inside",
        "verdict_words",
        "worst",
    ),
    "limits": ("Limits", "limits_of", "worn_in"),
    "temperature": ("EXPANSION", "length_at_20"),
    "uncertainty": (
        "COVERAGE",
        "TypeA",
        "arcsine",
        "certificate",
        "combine",
        "coverage_factor",
        "effective_dof",
        "rectangular",
        "resolution_step",
        "triangular",
        "type_a",
    ),
    "verdict_table": ("Verdict", "Verdicts"),
    "verdicts": ("check",),
}
_HOME_OF = {name: module for module, names in _HOMES.items() for name in names}


def __getattr__(name: str) -> Any:
    """Names that are not needed to read a spec book come when they are first asked for."""
    if name not in _HOME_OF:
        raise AttributeError(f"module 'restonb.measure' has no attribute '{name}'")
    return getattr(import_module(f"restonb.measure.{_HOME_OF[name]}"), name)
