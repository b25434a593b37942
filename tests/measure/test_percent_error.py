"""An instrument whose largest error is stated in per cent of the reading, with digits or an amount beside it."""

from __future__ import annotations

import math

import pytest

from restonb.measure import Characteristic, Instrument, Reading, check
from restonb.measure.reading_budget import error_words, measure

VOLTS = Characteristic("s", "volts", "voltage", "once", "V", instrument="meter")


def read(row: Characteristic, *values: float, unit: str = "") -> list[Reading]:
    return [Reading(row.sheet, row.key, str(n), v, unit or row.unit) for n, v in enumerate(values, 1)]


@pytest.mark.recalled(
    "JCGM 100:2008 4.3.7, example 2: 14e-6 of the reading and 2e-6 of the range, at 0.928571 V on 1 V"
)
def test_the_voltmeter_of_the_guide() -> None:
    """a = 14e-6 x 0.928571 V + 2e-6 x 1 V = 15 uV, taken as rectangular: u^2 = 75 uV^2, u = 8.7 uV."""
    meter = Instrument("meter", "voltmeter", "V", None, 2e-6, percent=14e-4)
    [part] = measure(VOLTS, read(VOLTS, 0.928571), {"meter": meter}).budget.components
    assert part.distribution == "rectangular"
    assert part.value * 1e6 == pytest.approx(15, abs=0.05)
    assert (part.u * 1e6) ** 2 == pytest.approx(75, abs=0.5)
    assert part.u * 1e6 == pytest.approx(8.7, abs=0.05)


@pytest.mark.parametrize(("torque", "half_width"), [(20.0, 0.8), (65.0, 2.6), (110.0, 4.4)])
def test_a_torque_wrench_errs_in_proportion(torque: float, half_width: float) -> None:
    """4 % (ISO 6789): hand calculation, a / sqrt(3), and a step of 0.5 N m as 0.5 / sqrt(12)."""
    row = Characteristic("s", "nut", "torque of the nut", "once", "N m", instrument="wrench")
    wrench = Instrument("wrench", "torque wrench", "N m", 0.5, 0.0, percent=4.0)
    budget = measure(row, read(row, torque), {"wrench": wrench}).budget
    assert budget.components[0].value == pytest.approx(half_width)
    assert budget.u == pytest.approx(math.hypot(half_width / math.sqrt(3), 0.5 / math.sqrt(12)))
    assert "error of wrench (4 % of the reading)" in str(budget)


def test_per_cent_and_digits_add_to_one_limit() -> None:
    """0.5 % + 2 digits of 0.01 V at 14.4 V: 0.072 V + 0.02 V."""
    meter = Instrument("meter", "multimeter", "V", 0.01, 0.02, percent=0.5)
    [error, _] = measure(VOLTS, read(VOLTS, 14.4), {"meter": meter}).budget.components
    assert error.value == pytest.approx(0.092)
    assert error_words(meter) == "0.5 % of the reading + 0.02 V"


def test_it_is_the_same_in_any_unit_and_sign() -> None:
    meter = Instrument("meter", "multimeter", "mV", 1.0, 2.0, percent=1.0)
    [error, _] = measure(VOLTS, read(VOLTS, -500.0, unit="mV"), {"meter": meter}).budget.components
    assert error.value == pytest.approx(0.007)  # 1 % of 500 mV and 2 mV


def test_where_it_decides_a_verdict() -> None:
    """14.75 V against 14.8 V: 0.1 % of the reading leaves it inside, 1 % does not."""
    row = VOLTS._replace(upper=14.8)
    words = [
        check(row, [Reading("s", "volts", "once", 14.75, "V")], {"meter": Instrument("meter", "", "V", 0.01, 0.0, percent=p)}).word
        for p in (0.1, 1.0)
    ]  # fmt: skip
    assert words == ["inside", "too close to call"]


def test_a_fixed_error_is_said_as_before() -> None:
    assert error_words(Instrument("c", "", "mm", 0.01, 0.03)) == "0.03 mm"
    assert error_words(Instrument("c", "", "mm", 0.01, None)) == "not known"
    assert error_words(Instrument("c", "", "count", 1, 0.0)) == "0"
