"""Positions, uncertainty, verdicts: readings and limits in, a table of verdicts out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from restonb._face import face

if TYPE_CHECKING:
    from restonb.measure.budget import Budget as Budget
    from restonb.measure.budget import Component as Component
    from restonb.measure.budget import component as component
    from restonb.measure.decision import RULES as RULES
    from restonb.measure.decision import WORDS as WORDS
    from restonb.measure.decision import acceptance_zone as acceptance_zone
    from restonb.measure.decision import guard_band as guard_band
    from restonb.measure.decision import judge as judge
    from restonb.measure.decision import judge_one as judge_one
    from restonb.measure.decision import probability_inside as probability_inside
    from restonb.measure.decision import verdict_words as verdict_words
    from restonb.measure.decision import worst as worst
    from restonb.measure.derivations import derive as derive
    from restonb.measure.limits import Limits as Limits
    from restonb.measure.limits import limits_of as limits_of
    from restonb.measure.limits import worn_in as worn_in
    from restonb.measure.model import Characteristic as Characteristic
    from restonb.measure.model import Instrument as Instrument
    from restonb.measure.model import Reading as Reading
    from restonb.measure.plan_view import Layout as Layout
    from restonb.measure.plan_view import Place as Place
    from restonb.measure.plan_view import layout as layout
    from restonb.measure.positions import DERIVATIONS as DERIVATIONS
    from restonb.measure.positions import WORKED_OUT as WORKED_OUT
    from restonb.measure.positions import Derived as Derived
    from restonb.measure.positions import derived as derived
    from restonb.measure.positions import expand as expand
    from restonb.measure.positions import find_position as find_position
    from restonb.measure.positions import places_of as places_of
    from restonb.measure.positions import repeats_in as repeats_in
    from restonb.measure.propagate import carried as carried
    from restonb.measure.propagate import correlated_means as correlated_means
    from restonb.measure.reading_budget import error_words as error_words
    from restonb.measure.risk import Risks as Risks
    from restonb.measure.risk import guard_for_risk as guard_for_risk
    from restonb.measure.risk import normal_prior as normal_prior
    from restonb.measure.risk import risks as risks
    from restonb.measure.settle import gauge_error_needed as gauge_error_needed
    from restonb.measure.settle import readings_needed as readings_needed
    from restonb.measure.shape import Circle as Circle
    from restonb.measure.shape import Harmonic as Harmonic
    from restonb.measure.shape import fit_circle as fit_circle
    from restonb.measure.shape import harmonic as harmonic
    from restonb.measure.shape import twist as twist
    from restonb.measure.temperature import length_at_20 as length_at_20
    from restonb.measure.uncertainty import COVERAGE as COVERAGE
    from restonb.measure.uncertainty import TypeA as TypeA
    from restonb.measure.uncertainty import arcsine as arcsine
    from restonb.measure.uncertainty import certificate as certificate
    from restonb.measure.uncertainty import combine as combine
    from restonb.measure.uncertainty import coverage_factor as coverage_factor
    from restonb.measure.uncertainty import effective_dof as effective_dof
    from restonb.measure.uncertainty import rectangular as rectangular
    from restonb.measure.uncertainty import resolution_step as resolution_step
    from restonb.measure.uncertainty import triangular as triangular
    from restonb.measure.uncertainty import type_a as type_a
    from restonb.measure.verdict_table import Verdict as Verdict
    from restonb.measure.verdict_table import Verdicts as Verdicts
    from restonb.measure.verdict_table import limits_text as limits_text
    from restonb.measure.verdict_table import uncertainty_text as uncertainty_text
    from restonb.measure.verdict_table import value_text as value_text
    from restonb.measure.verdict_table import without_raw as without_raw
    from restonb.measure.verdicts import check as check
    from restonb.measure.verdicts import verdict_on as verdict_on
    from restonb.measure.wear import Wear as Wear
    from restonb.measure.wear import wear_rate as wear_rate

_HOMES = {
    "budget": "Budget Component component",
    "decision": "RULES WORDS acceptance_zone guard_band judge judge_one probability_inside verdict_words worst",
    "derivations": "derive",
    "limits": "Limits limits_of worn_in",
    "model": "Characteristic Instrument Reading",
    "plan_view": "Layout Place layout",
    "positions": "DERIVATIONS Derived WORKED_OUT derived expand find_position places_of repeats_in",
    "propagate": "carried correlated_means",
    "reading_budget": "error_words",
    "risk": "Risks guard_for_risk normal_prior risks",
    "settle": "gauge_error_needed readings_needed",
    "shape": "Circle Harmonic fit_circle harmonic twist",
    "temperature": "length_at_20",
    "uncertainty": "COVERAGE TypeA arcsine certificate combine coverage_factor effective_dof rectangular resolution_step triangular type_a",
    "verdict_table": "Verdict Verdicts limits_text uncertainty_text value_text without_raw",
    "verdicts": "check verdict_on",
    "wear": "Wear wear_rate",
}
"""Module -> what it gives to other rooms. After a change: python tests/structure/faces.py"""

__all__, __getattr__, __dir__ = face(__name__, _HOMES)
