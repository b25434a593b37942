"""Battery, charging, loads and faults against printed tables and by hand."""

from __future__ import annotations

import pytest

from restonb.errors import FormulaError
from restonb.formulas import electrical


@pytest.mark.recalled("BCI Battery Service Manual: 12.65 V 100 %, 12.45 75, 12.24 50, 12.06 25, 11.89 0")
@pytest.mark.parametrize(("volts", "charge"), [(12.65, 100), (12.45, 75), (12.24, 50), (12.06, 25), (11.89, 0)])
def test_rest_voltage(volts: float, charge: float) -> None:
    assert electrical.rest_voltage(volts).charge == pytest.approx(charge)
    assert electrical.rest_voltage(volts / 2, 6).charge == pytest.approx(charge)
    got = electrical.rest_voltage(volts)
    assert got.low <= charge <= got.high


@pytest.mark.recalled("BCI Battery Service Manual: 0.004 per 10 degF from 80 degF")
@pytest.mark.parametrize(
    ("reading", "fahrenheit", "corrected"),
    [(1.250, 20, 1.226), (1.235, 100, 1.243), (1.250, 90, 1.254), (1.250, 70, 1.246)],
)
def test_specific_gravity(reading: float, fahrenheit: float, corrected: float) -> None:
    assert float(electrical.specific_gravity(reading, f"{fahrenheit} degF")) == pytest.approx(corrected, abs=5e-4)


@pytest.mark.recalled("BCI Battery Service Manual, load test: half the cold cranking current for 15 s")
@pytest.mark.parametrize(
    ("t", "least"), [(21, 9.6), (16, 9.5), (10, 9.4), (4, 9.3), (-1, 9.1), (-7, 8.9), (-12, 8.7), (-18, 8.5), (30, 9.6)]
)
def test_load_test(t: float, least: float) -> None:
    got = electrical.load_test(least, 180, t)
    assert got.least == pytest.approx(least)
    assert got.passes
    assert got.load == 90
    assert not electrical.load_test(least - 0.05, 180, t).passes


def test_drain_by_hand() -> None:
    """12 Ah, half of it, 5 mA: 6000 mAh / 5 mA = 1200 h = 50 days."""
    assert float(electrical.drain("12 Ah", "5 mA")) == pytest.approx(50)


@pytest.mark.recalled("UN Regulation 37")
@pytest.mark.parametrize(
    ("category", "power", "second"),
    [("P21W", 21, None), ("P21/5W", 21, 5), ("H4", 60, 55), ("R2", 45, 40), ("S2", 35, 35)],
)
def test_lamps(category: str, power: float, second: float | None) -> None:
    got = electrical.lamp(category)
    assert (got.power, got.second) == (power, second)


def test_current_and_fuse_by_hand() -> None:
    assert float(electrical.load_current(35, 6)) == pytest.approx(35 / 6)
    got = electrical.fuse(9, 16)
    assert (got.least, got.rating, got.colour) == (pytest.approx(11.25), 15, "blue")


@pytest.mark.published("UL 248-14: carries 100 %, opens within 60 min at 135 % and within 2 min at 200 %")
def test_glass_fuse() -> None:
    got = electrical.glass_fuse(20)
    assert (got.carries, got.within_an_hour, got.within_two_minutes) == (20, 27, 40)


def test_winding_balance_by_hand() -> None:
    assert electrical.winding_balance([0.32, 0.33, 0.31]).spread == pytest.approx(100 * 0.02 / 0.32)
    assert electrical.winding_balance([0.42, 0.43, 0.41], 0.1).spread == pytest.approx(6.25)


def test_charging_balance_by_hand() -> None:
    """Loads 70 W; output 40 W at 1000, 100 W at 2000: even at 1500."""
    got = electrical.charging_balance([1000, 2000, 4000], [40, 100, 120], [45, 5, 20])
    assert got.margins == pytest.approx((-30, 30, 50))
    assert got.even_at == pytest.approx(1500)
    assert electrical.charging_balance([1000, 2000], [40, 50], [60]).even_at is None


def test_fault_is_located() -> None:
    """A 0.8 V joint between switch and lamp among good ones; 0.8 V / 3 A."""
    got = electrical.locate_drop(
        [12.6, 12.55, 12.5, 11.7, 11.65], ["battery", "fuse", "switch", "connector", "lamp"], 3
    )
    assert got.worst == "switch to connector"
    assert got.over == ("switch to connector",)
    assert got.resistance == pytest.approx(0.8 / 3)
    assert sum(got.drops) == pytest.approx(12.6 - 11.65)


@pytest.mark.practice
@pytest.mark.parametrize(("gravity", "cells", "volts"), [(1.265, 6, 12.66), (1.265, 3, 6.33), (1.220, 1, 2.065)])
def test_voltage_by_gravity_is_the_rule_of_thumb(gravity: float, cells: int, volts: float) -> None:
    got = electrical.gravity_voltage(gravity, cells)
    assert got.voltage == pytest.approx(volts)
    assert "from memory, no source" in got.notes[0]
    assert got.cautions


@pytest.mark.recalled("BCI Battery Service Manual: 1.265 12.65 V, 1.225 12.45 V, 1.190 12.24 V")
@pytest.mark.parametrize(("gravity", "volts"), [(1.265, 12.65), (1.225, 12.45), (1.190, 12.24)])
def test_the_rule_of_thumb_keeps_to_the_table_down_to_half_full(gravity: float, volts: float) -> None:
    assert electrical.gravity_voltage(gravity).voltage == pytest.approx(volts, abs=0.05)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: electrical.gravity_voltage(1.155), "gravity"),
        (lambda: electrical.gravity_voltage(1.25, 5), "write 3 for a 6 V battery"),
        (lambda: electrical.rest_voltage(12.6, 24), "6 or 12"),
        (lambda: electrical.rest_voltage(12.6, 6), "check both"),
        (lambda: electrical.fuse(9, 10), "would not protect"),
        (lambda: electrical.fuse(30, 100), "split the circuit"),
        (lambda: electrical.locate_drop([12, 12.5], ["a", "b"]), "rises"),
        (lambda: electrical.locate_drop([12, 11], ["a"]), "as many"),
        (lambda: electrical.charging_balance([2000, 1000], [1, 2], [1]), "rise"),
        (lambda: electrical.winding_balance([0.1, 0.3], 0.2), "shorted"),
        (lambda: electrical.load_test(9, 100, -30), "extrapolated"),
        (lambda: electrical.specific_gravity(12.5, 20), "extrapolated"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]
