"""The closed list of units: every factor against an independent registry, the published ones by their figures."""

from __future__ import annotations

import csv
import math
from collections import Counter
from pathlib import Path

import numpy as np
import pint
import pytest

import restonb.quantity
from restonb.errors import QuantityError
from restonb.quantity import (
    convert,
    convert_difference,
    kinds,
    names_of,
    same_kind,
    unit,
    unit_to_show,
    units,
)

REGISTRY = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
FILE = Path(restonb.quantity.__file__).with_name("units.csv")

DIMENSIONS = {
    "length": "[length]",
    "angle": "",
    "mass": "[mass]",
    "force": "[force]",
    "torque": "[energy]",
    "energy": "[energy]",
    "pressure": "[pressure]",
    "voltage": "[energy] / [current] / [time]",
    "current": "[current]",
    "resistance": "[energy] / [current] ** 2 / [time]",
    "temperature": "[temperature]",
    "temperature difference": "[temperature]",
    "speed": "[length] / [time]",
    "rotational speed": "1 / [time]",
    "volume": "[length] ** 3",
    "area": "[length] ** 2",
    "time": "[time]",
    "power": "[power]",
    "frequency": "1 / [time]",
    "ratio": "",
    "count": "",
}


@pytest.mark.parametrize("name", units())
def test_factor_agrees_with_pint(name: str) -> None:
    """The factor and the offset regenerate from the expression beside them, in SI base units."""
    one = unit(name)
    base = REGISTRY.Quantity(1.0, REGISTRY.parse_units(one.pint)).to_base_units()
    assert one.factor + one.offset == pytest.approx(base.magnitude, rel=2e-15)
    if one.offset:
        zero = REGISTRY.Quantity(0.0, REGISTRY.parse_units(one.pint)).to_base_units()
        assert one.offset == pytest.approx(zero.magnitude, rel=2e-15)


@pytest.mark.parametrize("kind", DIMENSIONS)
def test_all_units_of_a_kind_have_its_dimension(kind: str) -> None:
    wanted = REGISTRY.get_dimensionality(DIMENSIONS[kind]) if DIMENSIONS[kind] else REGISTRY.UnitsContainer()
    for name in names_of(kind):
        assert REGISTRY.parse_units(unit(name).pint).dimensionality == wanted, name


@pytest.mark.parametrize("kind", kinds())
def test_units_of_one_kind_share_a_dimension(kind: str) -> None:
    first, *others = (REGISTRY.parse_units(unit(name).pint).dimensionality for name in names_of(kind))
    assert all(other == first for other in others)


def test_kinds_that_the_bench_needs_are_there() -> None:
    needed = {
        *DIMENSIONS, "resistance per length", "linear density", "expansion", "charge", "acceleration", "density",
        "kinematic viscosity", "stiffness",
    }  # fmt: skip
    assert needed <= set(kinds())


def test_ucum_codes_and_spellings_belong_to_one_unit() -> None:
    codes = Counter(one.ucum for one in units().values())
    # one code may serve two of our names only where both are exactly the same unit
    for code in (code for code, n in codes.items() if n > 1):
        pytest.fail(f"UCUM code {code} stands at {[n for n, one in units().items() if one.ucum == code]}")
    spellings = Counter(text for one in units().values() for text in {one.name, one.symbol, *one.aliases})
    assert [text for text, n in spellings.items() if n > 1] == []


@pytest.mark.parametrize("name", units())
def test_every_spelling_finds_its_unit(name: str) -> None:
    one = unit(name)
    for text in (one.name, one.symbol, *one.aliases):
        assert unit(text) is one


def test_file_has_no_empty_cell_and_no_stray_space() -> None:
    with FILE.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            for key, cell in row.items():
                assert cell == cell.strip(), row
                assert cell or key == "aliases", row


# UCUM, the case sensitive codes of its tables
@pytest.mark.recalled("The Unified Code for Units of Measure, version 2.1")
@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("in", "[in_i]"), ("ft", "[ft_i]"), ("thou", "[mil_i]"), ("mile", "[mi_i]"), ("lb", "[lb_av]"),
        ("lbf", "[lbf_av]"), ("psi", "[psi]"), ("degC", "Cel"), ("degF", "[degF]"), ("hp", "[HP]"),
        ("mmHg", "mm[Hg]"), ("imp pt", "[pt_br]"), ("%", "%"), ("ppm", "[ppm]"), ("gn", "[g]"), ("cmil", "[cml_i]"),
        ("ohm", "Ohm"), ("l", "L"), ("deg", "deg"), ("cSt", "cSt"), ("N m", "N.m"), ("J", "J"),
    ],
)  # fmt: skip
def test_ucum_code(name: str, code: str) -> None:
    assert unit(name).ucum == code


@pytest.mark.recalled("NIST SP 811 (2008), Appendix B.8; factors in bold are exact")
@pytest.mark.parametrize(
    ("value", "a", "b", "expected"),
    [
        (1, "in", "mm", 25.4), (1, "ft", "m", 0.3048), (1, "yd", "m", 0.9144), (1, "mile", "m", 1609.344),
        (1, "thou", "um", 25.4), (1, "lb", "kg", 0.45359237), (1, "oz", "g", 28.349523125),
        (1, "lbf", "N", 4.4482216152605), (1, "kgf", "N", 9.80665), (1, "in2", "mm2", 645.16),
        (1, "in3", "cc", 16.387064), (1, "mph", "km/h", 1.609344), (1, "bar", "kPa", 100),
        (1, "kgf/cm2", "kPa", 98.0665), (1, "degF", "degC", -17.22222222222222), (212, "degF", "degC", 100),
        (1, "PS", "W", 735.49875), (1, "gn", "m/s2", 9.80665), (1, "turn", "deg", 360), (1, "Ah", "Wh", None),
        (1, "US gal", "l", 3.785411784), (1, "imp gal", "l", 4.54609), (1, "imp pt", "ml", 568.26125),
    ],
)  # fmt: skip
def test_exact_factors(value: float, a: str, b: str, expected: float | None) -> None:
    if expected is None:
        with pytest.raises(QuantityError, match="charge"):
            convert(value, a, b)
    else:
        assert convert(value, a, b) == expected


@pytest.mark.recalled("NIST SP 811 (2008), Appendix B.8; factors given to seven figures")
@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        ("psi", "Pa", 6894.757), ("ft-lb", "N m", 1.355818), ("in-lb", "N m", 0.1129848), ("hp", "W", 745.6999),
        ("in-oz", "N m", 0.007061552), ("inHg", "kPa", 3.386389), ("mmHg", "Pa", 133.3224), ("rpm", "rad/s", 0.1047198),
        ("deg", "rad", 0.01745329), ("lb/ft", "kg/m", 1.488164), ("lb/in3", "kg/m3", 27679.90), ("lbf/in", "N/m", 175.1268),
        ("cmil", "mm2", 5.067075e-4), ("ksi", "MPa", 6.894757), ("US fl oz", "ml", 29.57353), ("imp fl oz", "ml", 28.41306),
    ],
)  # fmt: skip
def test_rounded_factors(a: str, b: str, expected: float) -> None:
    half_of_last_figure = 0.5001 * 10.0 ** (math.floor(math.log10(expected)) - 6)
    assert convert(1.0, a, b) == pytest.approx(expected, abs=half_of_last_figure)


def test_torque_is_not_energy() -> None:
    assert same_kind("N m", "ft-lb")
    assert not same_kind("N m", "J")
    with pytest.raises(QuantityError, match=r"N m is a unit of torque .* J, a unit of energy: write one of N m"):
        convert(1.0, "N m", "J")


def test_mass_is_not_force() -> None:
    with pytest.raises(QuantityError, match="kg is a unit of mass"):
        convert(1.0, "kg", "kgf")


@pytest.mark.parametrize("inch", [0.1, 0.2, 0.3, 0.7, 1.1, 2.3, 0.001, 12.3456])
def test_inches_become_the_exact_decimal(inch: float) -> None:
    """What a person works out with pencil and paper, not what binary floats make of it."""
    digits = round(inch * 10000) * 254
    assert convert(inch, "in", "mm") == digits / 100000


def test_arrays_keep_their_shape() -> None:
    grid = np.array([[0.1, 0.2], [0.3, 4.0]])
    assert convert(grid, "in", "mm") == pytest.approx(np.array([[2.54, 5.08], [7.62, 101.6]]))
    assert convert(np.array([-40.0, 100.0]), "degC", "degF") == pytest.approx([-40.0, 212.0])
    assert convert_difference(np.array([1.0, 5.0]), "degC", "degF") == pytest.approx([1.8, 9.0])


def test_difference_of_temperatures_has_no_offset() -> None:
    assert convert_difference(1.0, "degC", "degF") == 1.8
    assert convert_difference(9.0, "degF", "K") == 5.0
    assert convert_difference(5.0, "K", "delta degF") == 9.0
    with pytest.raises(QuantityError, match="temperature difference"):
        convert(5.0, "K", "degC")


def test_not_finite_values_pass_through() -> None:
    assert math.isnan(convert(math.nan, "in", "mm"))
    assert convert(math.inf, "in", "mm") == math.inf


@pytest.mark.parametrize(
    ("wrong", "right"), [("furlong", "list"), ("milimetre", "mm"), ("bars ", None), ("MV", "mV"), ("", "list")]
)
def test_unknown_unit_names_near_ones(wrong: str, right: str | None) -> None:
    if right is None:
        assert unit(wrong).name == "bar"
    else:
        with pytest.raises(QuantityError, match=rf"there is no unit '{wrong}'.*{right}"):
            unit(wrong)


def test_capitals_that_are_prefixes_are_kept_apart() -> None:
    assert unit("mohm").factor == 1e-3
    assert unit("Mohm").factor == 1e6
    assert unit("THOU").name == "thou"
    with pytest.raises(QuantityError, match="MOHM"):
        unit("MOHM")


@pytest.mark.parametrize(
    ("asked", "mapping", "expected"),
    [
        ("length", {}, "mm"),
        ("in", {}, "in"),
        ("mm", {"length": "in"}, "in"),
        ("length", {"length": "inch"}, "in"),
        ("mm", {"torque": "ft-lb"}, "mm"),
        ("N m", {"torque": "ft-lb"}, "ft-lb"),
        ("um", {"length": "in", "um": "thou"}, "thou"),
    ],
)
def test_shown(asked: str, mapping: dict[str, str], expected: str) -> None:
    assert unit_to_show(asked, mapping) == expected


def test_shown_refuses_a_unit_of_another_kind() -> None:
    with pytest.raises(QuantityError, match="'J' is a unit of energy, not of torque: write one of N m"):
        unit_to_show("N m", {"torque": "J"})


@pytest.mark.parametrize(
    ("own", "chosen"),
    [("in", "mm"), ("cm", "mm"), ("m", "m"), ("mile", "mile"), ("um", "um"), ("thou", "mm"), ("length", "mm")],
)
def test_a_unit_of_quite_another_size_keeps_itself(own: str, chosen: str) -> None:
    """Lengths in mm do not turn a stopping distance of 37 m into 37000 mm; naming the unit itself does."""
    assert unit_to_show(own, {"length": "mm"}) == chosen
    assert unit_to_show("m", {"length": "mm", "m": "ft"}) == "ft"
