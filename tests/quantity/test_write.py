"""Digits that the uncertainty deserves, and none that it does not."""

from __future__ import annotations

import pytest

from restonb.errors import QuantityError
from restonb.quantity import Quantity, read, write, write_number


@pytest.mark.recalled("JCGM 100:2008, 7.2.6: y = 10.057 62 ohm with u = 27 mohm is rounded to 10.058 ohm")
def test_guide_example_resistance() -> None:
    assert write(10.05762, "ohm", u=0.027) == "10.058 Ω"


@pytest.mark.published("JCGM 100:2008, H.1: l = 50.000838 mm, u = 32 nm")
def test_guide_example_end_gauge() -> None:
    assert write(50.0008382, "mm", u=0.0000317) == "50.000838 mm"
    assert write(0.0317, "um", u=0.0317) == "0.032 µm"


@pytest.mark.parametrize(
    ("value", "u", "expected"),
    [
        (6.8, 0.011, "6.800 mm"),
        (6.8, 0.11, "6.80 mm"),
        (6.8, 1.1, "6.8 mm"),
        (12345.0, 120.0, "12340 mm"),
        (12345.0, 12.0, "12345 mm"),
        (0.0996, 0.0996, "0.10 mm"),  # 0.0996 itself rounds to 0.10
        (99.96, 9.996, "100 mm"),
        (0.0, 0.05, "0.000 mm"),
        (-0.0001, 0.05, "0.000 mm"),
        (1.0, 0.0, "1 mm"),
    ],
)
def test_two_digits_of_the_uncertainty(value: float, u: float, expected: str) -> None:
    assert write(value, "mm", u=u) == expected


@pytest.mark.parametrize(
    ("value", "resolution", "expected"),
    [
        (0.25, 0.01, "0.25 mm"),
        (0.2, 0.01, "0.20 mm"),
        (0.25, 0.005, "0.250 mm"),
        (2.5, 0.25, "2.50 mm"),
        (10.0, 1.0, "10 mm"),
        (1230.0, 10.0, "1230 mm"),
        (-0.001, 0.01, "0.00 mm"),
        (0.009842519685, 0.01 / 25.4, "0.0098 mm"),
    ],
)
def test_digits_of_the_resolution(value: float, resolution: float, expected: str) -> None:
    assert write(value, "mm", resolution=resolution) == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0.1 + 0.2, "0.3 mm"),
        (25.4 / 3, "8.46667 mm"),
        (1234567.0, "1234567 mm"),
        (1e-7, "0.0000001 mm"),
        (1e20, "100000000000000000000 mm"),
        (-0.0, "0 mm"),
        (0.25, "0.25 mm"),
        (100.0, "100 mm"),
    ],
)
def test_without_either_six_digits(value: float, expected: str) -> None:
    assert write(value, "mm") == expected


@pytest.mark.parametrize(
    ("unit", "expected"),
    [
        ("degC", "20 °C"), ("um", "20 µm"), ("ohm", "20 Ω"), ("kohm", "20 kΩ"), ("deg", "20°"), ("1", "20"),
        ("%", "20 %"), ("N m", "20 N m"), ("ft-lb", "20 ft-lb"), ("N/mm2", "20 N/mm²"), ("inch", "20 in"),
    ],
)  # fmt: skip
def test_signs_for_a_reader(unit: str, expected: str) -> None:
    assert write(20.0, unit) == expected


def test_quantity_writes_its_resolution() -> None:
    assert read("0.010 in").write() == "0.010 in"
    assert read("0.010 in").to("mm").write() == "0.25 mm"
    assert read("0.010 in").write(u=0.00012) == "0.01000 in"
    assert str(Quantity(3, "V")) == "3 V"


def test_ties_go_to_the_even_digit() -> None:
    assert write_number(0.125, resolution=0.01) == "0.12"
    assert write_number(0.135, resolution=0.01) == "0.14"
    assert write_number(2.675, resolution=0.01) == "2.68"  # as typed, not as the binary 2.67499...


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_refuses_what_is_no_number(value: float) -> None:
    with pytest.raises(QuantityError, match="not a measured number"):
        write(value, "mm")
