"""Lengths at 20 degC, ISO 1."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import MeasureError
from restonb.measure import Characteristic, Instrument, Reading, check, length_at_20, temperature
from restonb.quantity import material, materials

STEEL, ALUMINIUM = material("steel").expansion, 23e-6


@pytest.mark.parametrize(
    ("args", "length"),
    [
        ((50.0, 30.0, STEEL), 49.9943),  # true length at 30 degC
        ((100.0, 35.0, ALUMINIUM, 35.0, STEEL), 99.9828),  # steel calliper and aluminium part, both warm
        ((100.0, 20.0, ALUMINIUM, 20.0, STEEL), 100.0),
    ],
)
def test_length_at_20(args: tuple[float, ...], length: float) -> None:
    """Worked out by hand from the definition of linear expansion, ISO 1."""
    assert length_at_20(*args) == pytest.approx(length, abs=0.0001)


def test_a_gauge_is_of_the_steel_of_the_table_and_every_material_within_what_metal_may_be() -> None:
    assert temperature.STEEL == STEEL
    for one in materials().values():
        assert length_at_20(100.0, 250.0, one.expansion) < 100.0
        widest = temperature.unknown_expansion(1.0, 21.0)
        assert abs(one.expansion - STEEL) <= widest


@given(st.floats(1, 500), st.floats(-40, 250), st.floats(0, 30e-6))
@settings(deadline=None)
def test_gauge_and_part_of_one_material_cancel(length: float, celsius: float, alpha: float) -> None:
    """The reason why gauges are made of steel: they grow with the part (ISO 1)."""
    assert length_at_20(length, celsius, alpha, celsius, alpha) == pytest.approx(length, rel=1e-12)


@given(st.floats(1, 500), st.floats(-40, 250), st.floats(1e-6, 30e-6))
@settings(deadline=None)
def test_a_warm_part_is_shorter_at_20(length: float, celsius: float, alpha: float) -> None:
    grown = length * (1 + alpha * (celsius - 20))
    assert length_at_20(grown, celsius, alpha) == pytest.approx(length, rel=1e-12)


@pytest.mark.parametrize(
    ("args", "says"),
    [
        ((50, 300, STEEL), "part at 300 degC; measure it between -40 and 250"),
        ((50, 20, STEEL, -60), "gauge at -60 degC"),
        ((50, 20, 11.5), "steel is 11.5e-6"),
        ((50, 20, -1e-6), "steel is 11.5e-6"),
    ],
)
def test_out_of_range(args: tuple[float, ...], says: str) -> None:
    with pytest.raises(MeasureError, match=says):
        length_at_20(*args)


def piston(celsius: float | None, expansion: float | None = None, unit: str = "mm") -> object:
    row = Characteristic("engine", "piston", "piston skirt", "once", unit, lower=1.0, instrument="mic")
    gauge = Instrument("mic", "micrometer", "mm", 0.01, 0.005)
    reading = Reading("engine", "piston", "once", 100.0 if unit == "mm" else 12.0, unit, temperature=celsius)
    return check(row, [reading], {"mic": gauge}, expansion=expansion)[0]


def test_reading_is_brought_to_20() -> None:
    assert piston(35.0, ALUMINIUM).value == pytest.approx(99.9828, abs=0.0001)
    assert piston(35.0, {"piston": ALUMINIUM}).value == pytest.approx(99.9828, abs=0.0001)
    assert piston(None, ALUMINIUM).value == 100.0
    assert piston(20.0, ALUMINIUM).value == 100.0


def test_unknown_expansion_widens_the_uncertainty_and_says_so() -> None:
    """15 degC x 100 mm x (26 - 11.5)e-6 at most: 0.022 mm either way, rectangular."""
    cold, warm = piston(None), piston(35.0)
    assert warm.value == 100.0
    assert warm.u == pytest.approx((cold.u**2 + (100 * 15 * 14.5e-6) ** 2 / 3) ** 0.5, rel=1e-6)
    assert "expansion not stated" in str(warm.budget)


def test_only_lengths_grow() -> None:
    assert piston(35.0, ALUMINIUM, "V").value == 12.0
