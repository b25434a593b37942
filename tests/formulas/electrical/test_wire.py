"""Wire against ASTM B258, IEC 60228, IEC 60028 and tables of copper wire."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import electrical


@pytest.mark.published("ASTM B258, AWG diameters in mm")
@pytest.mark.parametrize(("n", "d"), [(-3, 11.684), (2, 6.544), (4, 5.189), (6, 4.115), (10, 2.588), (12, 2.053), (14, 1.628), (16, 1.291), (18, 1.024), (24, 0.5106), (26, 0.4049), (28, 0.3211), (30, 0.2546)])  # fmt: skip
def test_awg_diameter(n: int, d: float) -> None:
    assert electrical.awg(n).diameter == pytest.approx(d, abs=0.0006)


@pytest.mark.recalled("NBS Handbook 100 (1966), Copper Wire Tables: annealed copper at 20 degC")
@pytest.mark.parametrize(("n", "r"), [(10, 3.277), (12, 5.211), (14, 8.286), (16, 13.17), (18, 20.95)])
def test_awg_resistance(n: int, r: float) -> None:
    assert electrical.awg(n).resistance == pytest.approx(r, rel=2e-3)


@pytest.mark.recalled("NBS Handbook 100 (1966), Copper Wire Tables: ohm per 1000 ft")
@pytest.mark.parametrize(("n", "r"), [(9, 0.7921), (11, 1.26), (13, 2.003), (15, 3.184), (17, 5.064), (19, 8.051)])
def test_awg_resistance_per_1000_ft(n: int, r: float) -> None:
    assert electrical.awg(n).resistance * 0.3048 == pytest.approx(r, rel=2e-3)


@pytest.mark.published("IEC 60228 Tables 1 to 3")
@pytest.mark.parametrize(
    ("area", "kind", "values"),
    [("flexible", None, (39, 26, 19.5, 13.3, 7.98, 4.95, 3.3, 1.91, 1.21, 0.78)), ("flexible, tinned", None, (40.1, 26.7, 20.0, 13.7, 8.21, 5.09, 3.39, 1.95, 1.24, 0.795)), ("solid or stranded", None, (36, 24.5, 18.1, 12.1, 7.41, 4.61, 3.08, 1.83, 1.15, 0.727)), ("solid or stranded, tinned", None, (36.7, 24.8, 18.2, 12.2, 7.56, 4.70, 3.11, 1.84))],
)  # fmt: skip
def test_metric_wire(area: str, kind: None, values: tuple[float, ...]) -> None:
    for size, printed in zip((0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25), values, strict=False):
        assert float(electrical.metric_wire(size, area)) == printed


@pytest.mark.recalled("NFPA 70 chapter 9, Table 8: 12 AWG has 6530 circular mils; K = 12.9 for copper is practice")
def test_drop_lesson() -> None:
    """20 A, 100 ft one way: K = 12.9 ohm circular mil per foot makes 12.9/6530 ohm per foot, 7.9 V in all."""
    per_1000_ft = 12.9 / 6530 * 1000
    assert float(electrical.voltage_drop("20 A", f"{per_1000_ft} ohm/1000ft", "100 ft")) == pytest.approx(7.9, abs=0.05)


@pytest.mark.recalled("NFPA 70 chapter 9, Table 8: No. 16 stranded, 4.99 ohm per 1000 ft")
def test_drop_lesson_16() -> None:
    assert float(electrical.voltage_drop(4, "4.99 ohm/1000ft", "100 ft")) == pytest.approx(4.0, abs=0.05)


def test_drop_and_hot_resistance_by_hand() -> None:
    assert float(electrical.voltage_drop(10, 7.98, 3)) == pytest.approx(2 * 10 * 7.98 * 3 / 1000)
    assert float(electrical.voltage_drop(4.6, 13.3, 2.5, return_wire=False)) == pytest.approx(4.6 * 13.3 * 2.5 / 1000)
    assert float(electrical.hot_resistance(7.98, 60)) == pytest.approx(7.98 * (1 + 0.00393 * 40))


@settings(deadline=None)
@given(st.floats(0.5, 20), st.floats(0.2, 5), st.floats(0.1, 1.0))
def test_wire_for_is_the_smallest_that_serves(current: float, length: float, allowed: float) -> None:
    """Brute force over the table, with its own arithmetic."""
    table = {0.5: (39, 5), 0.75: (26, 7.5), 1: (19.5, 10), 1.5: (13.3, 16), 2.5: (7.98, 25), 4: (4.95, 32)}
    fits = [
        a
        for a, (r, load) in table.items()
        if load >= current and current * r * (1 + 0.00393 * 20) * length * 2 / 1000 <= allowed
    ]
    if fits:
        assert electrical.wire_for(current, length, allowed).area == min(fits)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: electrical.awg(41), "extrapolated"),
        (lambda: electrical.metric_wire(1.25), "take one of"),
        (lambda: electrical.metric_wire(50, "solid or stranded"), "not tabled"),
        (lambda: electrical.hot_resistance(8, -240), "not extrapolated"),
        (lambda: electrical.wire_for(60, 3), "shorten the run"),
        (lambda: electrical.voltage_drop("10 V", 8, 3), "A"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]
