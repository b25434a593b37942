"""What a person types at the bench, and what they must not be misread as."""

from __future__ import annotations

import math

import pytest

from restonb.errors import QuantityError
from restonb.quantity import Quantity, read


@pytest.mark.parametrize(
    ("text", "value", "unit", "resolution"),
    [
        ("0.010 in", 0.010, "in", 0.001),
        (".010 in", 0.010, "in", 0.001),
        ("-2 mm", -2.0, "mm", 1.0),
        ("+2 mm", 2.0, "mm", 1.0),
        ("\u22122 mm", -2.0, "mm", 1.0),  # typographic minus
        ("\u20132 mm", -2.0, "mm", 1.0),  # en dash
        ("3/8 in", 0.375, "in", None),
        ("1-1/2 in", 1.5, "in", None),
        ("1 1/2 in", 1.5, "in", None),
        ("-1 1/2 in", -1.5, "in", None),
        ("1½ in", 1.5, "in", None),
        ("1 ½″", 1.5, "in", None),
        ("-½ in", -0.5, "in", None),
        ("1-½ in", 1.5, "in", None),
        ('⅜"', 0.375, "in", None),
        ("1\u20444 in", 0.25, "in", None),  # fraction slash
        ('13/64"', 0.203125, "in", None),
        ("1e6 ohm", 1e6, "ohm", 1e6),
        ("1.50e-3 V", 0.0015, "V", 1e-5),
        ("2.5E3 ohm", 2500.0, "ohm", 100.0),
        ("10 thou", 10.0, "thou", 1.0),
        ("10 mil", 10.0, "thou", 1.0),
        ("10 \u00b5m", 10.0, "um", 1.0),  # micro sign
        ("10 \u03bcm", 10.0, "um", 1.0),  # Greek mu
        ("4.7 k\u03a9", 4.7, "kohm", 0.1),  # Greek omega
        ("4.7 k\u2126", 4.7, "kohm", 0.1),  # ohm sign
        ("20.5 °C", 20.5, "degC", 0.1),
        ("20.5°C", 20.5, "degC", 0.1),
        ("20.5 \u2103", 20.5, "degC", 0.1),
        ("68 degF", 68.0, "degF", 1.0),
        ("24 N m", 24.0, "N m", 1.0),
        ("24Nm", 24.0, "N m", 1.0),
        ("24 N·m", 24.0, "N m", 1.0),
        ("18 ft-lb", 18.0, "ft-lb", 1.0),
        ("18 lbf ft", 18.0, "ft-lb", 1.0),
        ("18 lbf·ft", 18.0, "ft-lb", 1.0),
        ("90 in-lb", 90.0, "in-lb", 1.0),
        ("2.5 kgf m", 2.5, "kgf m", 0.1),
        ("32 psi", 32.0, "psi", 1.0),
        ("32 PSI", 32.0, "psi", 1.0),
        ("1500 RPM", 1500.0, "rpm", 1.0),
        ("499 cc", 499.0, "cc", 1.0),
        ("50 %", 50.0, "%", 1.0),
        ("6' ", 6.0, "ft", 1.0),
        ("0.08 ohm/1000ft", 0.08, "ohm/1000ft", 0.01),
        ("13.3 Ω/km", 13.3, "ohm/km", 0.1),
        ("11.5 um/m/K", 11.5, "um/m/K", 0.1),
        ("2 N/mm²", 2.0, "N/mm2", 1.0),
        ("  0.25   mm  ", 0.25, "mm", 0.01),
    ],
)
def test_read(text: str, value: float, unit: str, resolution: float | None) -> None:
    got = read(text)
    assert (got.value, got.unit, got.resolution) == (value, unit, resolution)
    assert got.typed == text.strip()


@pytest.mark.parametrize(("text", "value"), [("0.30", 0.3), ("0.1", 0.1), ("2.675", 2.675), ("1e-7", 1e-7)])
def test_value_is_the_nearest_float_of_the_decimal(text: str, value: float) -> None:
    assert read(text, "in").value == value


def test_zero_has_no_sign() -> None:
    for text in ("-0 mm", "-0.00 mm", "-0/8 in"):
        assert math.copysign(1.0, read(text).value) == 1.0


def test_bare_number_takes_the_wanted_unit() -> None:
    assert read("0.010", "in") == Quantity(0.010, "in", "0.010", 0.001)
    assert read("3/8", "in").value == 0.375
    assert read("12", "inch").unit == "in"
    assert read("1.265", "1").unit == "1"


def test_typed_unit_is_kept_beside_the_wanted_one() -> None:
    got = read("10 thou", "mm")
    assert (got.value, got.unit) == (10.0, "thou")
    in_mm = got.to("mm")
    assert (in_mm.value, in_mm.resolution, in_mm.typed) == (0.254, 0.0254, "10 thou")


REFUSED = [
    # decimal comma and separators: the fix is shown
    ("0,25 mm", "mm", "decimal comma: write '0.25 mm'"),
    (",5 mm", "mm", "decimal comma: write '0.5 mm'"),
    ("-1,5", "mm", "decimal comma: write '-1.5'"),
    ("1,000 mm", "mm", r"separator inside the number: write '1000 mm' or '1\.000 mm'"),
    ("12,345.6 mm", "mm", r"write '12345\.6 mm'"),
    ("1 000 mm", "mm", "write '1000 mm'"),
    ("1\u202f000 mm", "mm", "write '1000 mm'"),
    ("1'000 mm", "mm", "write '1000 mm'"),
    ("1_000 mm", "mm", "write '1000 mm'"),
    # letters for digits
    ("O.25 mm", "mm", r"letter O inside the number: write '0\.25 mm'"),
    ("0.O25", "mm", r"write '0\.025'"),
    ("1O mm", "mm", "write '10 mm'"),
    ("l0 mm", "mm", "letter l inside the number: write '10 mm'"),
    # units
    ("1 1/2 furlong", "mm", "'furlong' is not a unit of length: write one of mm, in, thou"),
    ("1 1/2 furlong", None, "there is no unit 'furlong' in the list"),
    ("5 milimetres", None, "did you mean mm"),
    ("5 furlong", None, "there is no unit 'furlong' in the list: write for example"),  # neither a turn nor a gallon
    ("5 psii", "bar", "'psii' is not a unit of pressure: write one of psi, bar$"),
    ("5 MV", "V", "'MV' is not a unit of voltage: write one of mV, V"),
    ("5 mm in", None, "more than one number or unit"),
    ("5 ft 6 in", "in", r"more than one number or unit: write one of each, like '0\.25 in'"),
    ("5' 6\"", "in", "more than one number or unit"),
    ("1 mm 2", "mm", "more than one number or unit"),
    ("2 x 3 mm", "mm", "more than one number or unit"),
    ("1-2 mm", "mm", "more than one number or unit"),
    ("3/8-16 UNC", "mm", "is a thread, not one number"),
    ("M8x1.25", "mm", "does not begin with a number"),
    ("5", None, "'5' has no unit: write it after the number"),
    ("3/8", "mm", r"fraction without a unit where mm is wanted: write '3/8 in' if it is inches, or '0\.375 mm'"),
    # numbers
    ("", "mm", "nothing was typed"),
    ("   ", "mm", "nothing was typed"),
    ("nan", "mm", "not a measured number"),
    ("inf mm", "mm", "not a measured number"),
    ("-inf", "mm", "not a measured number"),
    ("mm", "mm", "has no number"),
    ("5.", "mm", "is not one number"),
    ("1.2.3", "mm", "is not one number"),
    ("1/0 in", "in", "divides by zero"),
    ("1 3/2 in", "in", "a fraction that is not less than 1: write it as '2 1/2'"),
    ("1/2/3 in", "in", "more than one number"),
    ("1.5/2 in", "in", "more than one number"),
    ("--2", "mm", "does not begin with a number"),
    ("1e400 mm", "mm", "out of range"),
    ("1e-999999999 mm", "mm", "out of range"),
    ("9" * 60, "mm", "out of range"),
    ("±2 mm", "mm", "begins with ±"),
    ("~2 mm", "mm", "begins with ~"),
    ("x" * 5000, "mm", "5000 characters long"),
    ("\u0663 mm", "mm", "does not begin with a number"),  # an Arabic digit
    # kinds
    ("12 N m", "J", "'12 N m' is torque, where energy is wanted: write it in J, kJ"),
    ("12 J", "ft-lb", "'12 J' is energy, where torque is wanted: write it in ft-lb, N m"),
    ("12 kg", "N", "'12 kg' is mass, where force is wanted: write it in N, kN"),
    ("5 K", "degC", "'5 K' is temperature difference, where temperature is wanted: write it in degC, degF"),
    ("5 degC", "K", "write it in K"),
    ("10 deg", "degC", "'10 deg' is angle, where temperature is wanted"),
    ("3 V", "A", "'3 V' is voltage, where current is wanted: write it in A, mA"),
]


@pytest.mark.parametrize(("text", "unit", "says"), REFUSED)
def test_refused_with_what_to_write(text: str, unit: str | None, says: str) -> None:
    with pytest.raises(QuantityError, match=says) as caught:
        read(text, unit)
    message = str(caught.value)
    assert "\n" not in message
    assert len(message) < 250


@pytest.mark.parametrize("text", [None, 5, 0.25, b"5 mm"])
def test_only_text_is_read(text: object) -> None:
    with pytest.raises(QuantityError, match="a quantity is text"):
        read(text, "mm")  # type: ignore[arg-type]


@pytest.mark.practice
@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1 1/2 in", 1.5),  # a general parser reads 0.5
        ("1-1/2 in", 1.5),  # ... or a half less than one
        ("10 mil", 0.010),  # ... an angle
        ("10 thou", 0.010),
        ('3/8"', 0.375),
        ("0.25 mm", 0.25 / 25.4),
    ],
)
def test_shop_notation_that_a_general_parser_misreads(text: str, inches: float) -> None:
    assert read(text, "in").to("in").value == pytest.approx(inches, rel=1e-15)


def test_quantity_refuses_what_is_no_measured_value() -> None:
    for value in (float("nan"), float("inf"), True):
        with pytest.raises(QuantityError, match="not a measured number"):
            Quantity(value, "mm")
    with pytest.raises(QuantityError, match="resolution of 0"):
        Quantity(1.0, "mm", resolution=0.0)
    with pytest.raises(QuantityError, match="there is no unit 'mmm'"):
        Quantity(1.0, "mmm")


def test_quantity_knows_its_kind_and_code() -> None:
    got = Quantity(24, "Nm")
    assert (got.unit, got.kind, got.ucum) == ("N m", "torque", "N.m")
    with pytest.raises(AttributeError, match="cannot be changed: make another"):
        got.value = 3.0  # type: ignore[misc]
    with pytest.raises(QuantityError, match="N m is a unit of torque"):
        got.to("J")
