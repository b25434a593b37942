"""Positions, uncertainty, verdicts: readings and limits in, a table of verdicts out."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from restonb.measure.model import Characteristic, Instrument, Reading
from restonb.measure.positions import (
    DERIVATIONS,
    WORKED_OUT,
    Derived,
    derived,
    expand,
    find_position,
    places_of,
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
    from restonb.measure.derivations import derive
    from restonb.measure.limits import Limits, limits_of, worn_in
    from restonb.measure.plan_view import Layout, Place, layout
    from restonb.measure.propagate import carried, correlated_means
    from restonb.measure.risk import Risks, guard_for_risk, normal_prior, risks
    from restonb.measure.settle import gauge_error_needed, readings_needed
    from restonb.measure.shape import Circle, Harmonic, fit_circle, harmonic, twist
    from restonb.measure.temperature import length_at_20
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
    from restonb.measure.verdicts import check, verdict_on
    from restonb.measure.wear import Wear, wear_rate

__all__ = [
    "COVERAGE",
    "DERIVATIONS",
    "RULES",
    "WORDS",
    "WORKED_OUT",
    "Budget",
    "Characteristic",
    "Circle",
    "Component",
    "Derived",
    "Harmonic",
    "Instrument",
    "Layout",
    "Limits",
    "Place",
    "Reading",
    "Risks",
    "TypeA",
    "Verdict",
    "Verdicts",
    "Wear",
    "acceptance_zone",
    "arcsine",
    "carried",
    "certificate",
    "check",
    "combine",
    "component",
    "correlated_means",
    "coverage_factor",
    "derive",
    "derived",
    "effective_dof",
    "expand",
    "find_position",
    "fit_circle",
    "gauge_error_needed",
    "guard_band",
    "guard_for_risk",
    "harmonic",
    "judge",
    "judge_one",
    "layout",
    "length_at_20",
    "limits_of",
    "normal_prior",
    "places_of",
    "probability_inside",
    "readings_needed",
    "rectangular",
    "resolution_step",
    "risks",
    "triangular",
    "twist",
    "type_a",
    "verdict_on",
    "verdict_words",
    "wear_rate",
    "worn_in",
    "worst",
]

_HOMES = {
    "budget": "Budget Component component",
    "decision": "RULES WORDS acceptance_zone guard_band judge judge_one probability_inside verdict_words worst",
    "derivations": "derive",
    "limits": "Limits limits_of worn_in",
    "plan_view": "Layout Place layout",
    "propagate": "carried correlated_means",
    "risk": "Risks guard_for_risk normal_prior risks",
    "settle": "gauge_error_needed readings_needed",
    "shape": "Circle Harmonic fit_circle harmonic twist",
    "temperature": "length_at_20",
    "uncertainty": "COVERAGE TypeA arcsine certificate combine coverage_factor effective_dof rectangular resolution_step triangular type_a",
    "verdict_table": "Verdict Verdicts",
    "verdicts": "check verdict_on",
    "wear": "Wear wear_rate",
}
_HOME_OF = {name: module for module, names in _HOMES.items() for name in names.split()}


def __getattr__(name: str) -> Any:
    """What is not needed to read a spec book is loaded when it is first asked for."""
    if name not in _HOME_OF:
        raise AttributeError(f"module 'restonb.measure' has no attribute '{name}'")
    return getattr(import_module(f"restonb.measure.{_HOME_OF[name]}"), name)
