"""Press fits: Lamé by another road, heat by hand, and the trade's rules."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas.fits import (
    assembly_temperature,
    effective_interference,
    interference,
    press_force,
    press_pressure,
    seat_condition,
    when_running,
)


def grown(pressure: float, diameter: float, other: float, modulus: float, poisson: float) -> float:
    """Change of the fit diameter of a thick ring from Lamé's stresses: hoop and radial stress, then Hooke's law."""
    a, b = min(diameter, other) / 2, max(diameter, other) / 2
    if other > diameter:
        hoop, radial = pressure * (a * a + b * b) / (b * b - a * a), -pressure
    else:
        hoop, radial = -pressure * (a * a + b * b) / (b * b - a * a), -pressure
    return diameter * (hoop - poisson * radial) / modulus


@given(
    st.floats(0.005, 0.1),
    st.floats(10, 80),
    st.floats(1.2, 3),
    st.floats(0, 0.8),
    st.sampled_from([(71e3, 0.33), (207e3, 0.29)]),
)
def test_the_two_rings_share_the_interference(delta, d, wall, hollow, outer) -> None:
    pressure = float(press_pressure(delta, d, d * wall, d * hollow, outer[0], 207e3, outer[1], 0.29))
    shared = grown(pressure, d, d * wall, *outer) - grown(pressure, d, d * hollow, 207e3, 0.29)
    assert shared == pytest.approx(delta, rel=1e-9)


@pytest.mark.recalled("Lamé's equations, reference rows recomputed from stresses")
@pytest.mark.parametrize(
    ("given_", "pressure"),
    [
        ((0.025, 25, 50, 0, 207e3, 207e3, 0.292, 0.292), 77.625),
        ((0.03, 32, 44, 20, 71e3, 207e3, 0.33, 0.29), 15.6291),
    ],
)
def test_pressure_rows(given_, pressure) -> None:
    assert float(press_pressure(*given_)) == pytest.approx(pressure, rel=1e-4)


def test_force_row() -> None:
    assert float(press_force(60, 25, 20, 0.15)) == pytest.approx(14.1372, rel=1e-5)


def test_heating_row() -> None:
    """33 um interference and 25 um clearance at 47 mm, 23 um/m/K: 53.65 K."""
    result = assembly_temperature(0.033, 0.025, 47, 23)
    assert result.rise == pytest.approx(53.654, abs=1e-3)
    assert result.heat_to == pytest.approx(73.654, abs=1e-3)
    assert result.feasible
    assert any("gloves" in c for c in result.texts("cautions"))


@pytest.mark.practice
def test_heat_comes_with_its_cautions() -> None:
    said = " ".join(assembly_temperature(0.033, 0.025, 47, 23).texts("cautions"))
    for word in ("chlorinated", "flammable", "water near hot oil", "never heat magnesium", "ventilation"):
        assert word in said


def test_what_the_part_loses_on_the_way_is_added_to_the_oven_alone() -> None:
    """73.654 degC while they go together, and 20 K lost on the way."""
    result = assembly_temperature(0.033, 0.025, 47, 23, handling=20)
    assert (result.heat_to, result.oven) == pytest.approx((73.654, 93.654), abs=1e-3)
    assert assembly_temperature(0.033, 0.025, 47, 23, highest=90, handling=10).feasible
    assert not assembly_temperature(0.033, 0.025, 47, 23, highest=90, handling=20).feasible
    with pytest.raises(FormulaError, match="handling"):
        assembly_temperature(0.033, 0.025, 47, 23, handling=-1)


def test_hot_case_drops_its_bearing() -> None:
    """The key case: 33 um at 47 mm in aluminium (22) on steel (11.5) is gone at 100 degC."""
    assert float(when_running(0.033, 47, 100, 22, 11.5)) == pytest.approx(-0.00648, abs=1e-6)


@given(st.floats(0, 0.08), st.floats(0, 0.05), st.floats(10, 100), st.floats(-80, 20))
def test_heating_and_freezing_as_told_gives_the_clearance(inter, clear, d, cold) -> None:
    result = assembly_temperature(inter, clear, d, 22, 12.5, cold, 20, 250)
    assume(result.rise > 0)
    hole = d * (1 + 22e-6 * result.rise)
    shaft = (d + inter) - d * 12.5e-6 * (20 - cold)
    assert hole - shaft == pytest.approx(clear, abs=1e-9)


def test_too_hot_says_so() -> None:
    result = assembly_temperature(0.1, 0.05, 30, 11.5)
    assert not result.feasible
    assert "cool the inner part too" in result.texts("notes")[0]
    assert result.clearance_at_limit == pytest.approx(30 * 11.5e-6 * 100 - 0.1)


def test_sizes_are_brought_to_20_degrees() -> None:
    """ISO 1: 100 mm of aluminium measured at 35 degC is 100/(1 + 23.5e-6 x 15) at 20 degC."""
    got = float(interference(100.0, 100.0, "aluminium", "steel", 35, 20))
    assert got == pytest.approx(100 - 100 / (1 + 23.5e-6 * 15), abs=1e-9)
    assert float(interference(47.0, 47.02)) == pytest.approx(0.02)


@pytest.mark.recalled("rolling bearing catalogues, chapter on fits: apparent x d/(d + 2) ground, d/(d + 3) turned")
def test_effective_interference() -> None:
    assert float(effective_interference(0.03, 28, "ground")) == pytest.approx(0.028)
    assert float(effective_interference(0.03, 27, "turned")) == pytest.approx(0.027)


@pytest.mark.practice
def test_a_loose_seat_gets_proper_remedies_and_no_punch_marks() -> None:
    loose = seat_condition([47.02, 47.03], [46.995, 46.99], largest=0.0)
    assert loose.beyond == pytest.approx(0.04)
    assert "sleeve" in " ".join(loose.texts("steps"))
    assert "punch marks" in loose.texts("cautions")[0]
    assert not any("compound" in s for s in seat_condition([47.2], [47.0], 0.0).texts("steps"))
    assert seat_condition([46.98], [47.0], largest=0.0).texts("steps") == ()


@given(st.floats(0.001, 0.05), st.floats(10, 80))
def test_inches_and_millimetres_agree(delta, d) -> None:
    mm = float(press_pressure(delta, d, 2 * d, 0))
    inch = float(press_pressure(*(f"{v / 25.4:.14f} in" for v in (delta, d, 2 * d)), 0))
    assert inch == pytest.approx(mm, rel=1e-6)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: press_pressure(0.02, 25, 20, 0), "bore < diameter < outside"),
        (lambda: press_pressure(-0.02, 25, 50, 0), "interference"),
        (lambda: press_force(60, 25, 20, 0.9), "friction"),
        (lambda: when_running(0.03, 47, 400, 22, 11.5), "not extrapolated"),
        (lambda: interference(47, 1.85), "check the units"),
        (lambda: interference(47, 47, "wood"), "write one of"),
        (lambda: assembly_temperature(0.03, 0.02, 0, 22), "diameter"),
        (lambda: seat_condition([], [47], 0.0), "holes"),
        (lambda: seat_condition([47], [math.nan], 0.0), "finite"),
    ],
)
def test_impossible_input_is_refused_by_name(call, says) -> None:
    with pytest.raises(FormulaError, match=says):
        call()
