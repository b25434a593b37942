"""Limits and fits: against printed limits of ISO 286 and ISO 492, and an independent package where it reaches."""

from __future__ import annotations

import pressfit
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas._tables import rows
from restonb.formulas.fits import bearing_seat, fit, limits

PRINTED = [r for r in rows("restonb.formulas.fits", "iso286.csv") if r["standing"] == "seen"]


@pytest.mark.published("ISO 286-2, limits of holes and shafts read in two reproductions")
@pytest.mark.parametrize(
    "row", [r for r in PRINTED if r["letter"] not in "jJ"], ids=lambda r: f"{r['letter']}{r['grade']}<={r['to_mm']}"
)
def test_rule_and_deviations_give_every_printed_limit(row) -> None:
    """286 printed rows, each at both ends of its band: the rule (width, deviation, delta) knows nothing of them."""
    for size in (float(row["over_mm"]) + 0.001, float(row["to_mm"])):
        result = limits(row["letter"] + row["grade"], size)
        assert (result.lower, result.upper) == (float(row["lower_um"]), float(row["upper_um"]))


@pytest.mark.published("ISO 286-2")
@pytest.mark.parametrize(
    ("code", "size", "upper", "lower"),
    [
        ("H7", 25, 21, 0),
        ("H6", 25, 13, 0),
        ("H8", 40, 39, 0),
        ("K6", 47, 3, -13),
        ("K7", 47, 7, -18),
        ("M7", 52, 0, -30),
        ("N7", 62, -9, -39),
        ("P7", 25, -14, -35),
        ("J7", 47, 14, -11),
        ("g6", 25, -7, -20),
        ("h6", 20, 0, -13),
        ("j6", 20, 9, -4),
        ("k5", 25, 11, 2),
        ("k6", 30, 15, 2),
        ("m6", 35, 25, 9),
        ("n6", 25, 28, 15),
        ("p6", 50, 42, 26),
        ("H7", 18, 18, 0),
        ("H7", 18.001, 21, 0),
    ],
)
def test_printed_limits(code, size, upper, lower) -> None:
    result = limits(code, size)
    assert (result.upper, result.lower) == (upper, lower)
    assert result.most == pytest.approx(size + upper / 1000)


@pytest.mark.published("ISO 286-1, tolerance unit i = 0.45 D^(1/3) + 0.001 D; IT6 = 10 i, IT7 = 16 i, IT8 = 25 i")
@pytest.mark.parametrize(("grade", "times"), [(6, 10), (7, 16), (8, 25)])
@pytest.mark.parametrize(
    ("over", "to"), [(3, 6), (6, 10), (10, 18), (18, 30), (30, 50), (50, 80), (80, 120), (120, 180)]
)
def test_widths_follow_the_formula_of_the_standard(grade, times, over, to) -> None:
    mean = (over * to) ** 0.5
    width = limits(f"H{grade}", to).upper
    assert width == pytest.approx(times * (0.45 * mean ** (1 / 3) + 0.001 * mean), abs=max(1.0, 0.03 * width))


@given(
    size=st.floats(0.5, 500),
    hole=st.sampled_from([f"H{g}" for g in pressfit.GRADES]),
    shaft=st.sampled_from(
        [
            f"{letter}{g}"
            for letter in ("d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "s", "u")
            for g in pressfit.GRADES
        ]
    ),
)
@settings(deadline=None, max_examples=400)
def test_equal_to_the_package_pressfit_over_its_range(size, hole, shaft) -> None:
    """Its tables of widths and s, u are ours too: this holds the rules and the bands, not those numbers."""
    grade = int(shaft.lstrip("abcdefghijklmnopqrstuvwxyz"))
    letter = shaft.rstrip("0123456789")
    ours = limits(shaft, size)
    width = pressfit.it_value(size, grade)
    if letter == "js":
        assert ours.upper == width / 2
    else:
        deviation = pressfit.shaft_deviation(size, letter, grade)
        assert (ours.upper if letter in "defgh" else ours.lower) == deviation
    assert ours.upper - ours.lower == pytest.approx(width)
    assert fit(hole, shaft, size).hole == (0, pressfit.it_value(size, int(hole[1:])))


@given(st.floats(3.1, 180), st.sampled_from("kmnp"), st.integers(6, 7))
@settings(deadline=None)
def test_hole_and_shaft_basis_fits_are_the_same_fit(size, letter, grade) -> None:
    """ISO 286-1: the delta rule makes H7/p6 and P7/h6 the same fit (hole one grade coarser than the shaft)."""
    one = fit(f"H{grade}", f"{letter}{grade - 1}", size)
    other = fit(f"{letter.upper()}{grade}", f"h{grade - 1}", size)
    assert (one.least, one.most) == (other.least, other.most)


@pytest.mark.published("ISO 492, class Normal")
@pytest.mark.parametrize(
    ("part", "size", "lower"),
    [
        ("bore", 10, -8),
        ("bore", 18, -8),
        ("bore", 30, -10),
        ("bore", 50, -12),
        ("bore", 80, -15),
        ("bore", 120, -20),
        ("outside", 18, -8),
        ("outside", 30, -9),
        ("outside", 50, -11),
        ("outside", 80, -13),
        ("outside", 120, -15),
        ("outside", 150, -18),
        ("outside", 180, -25),
    ],
)
def test_bearing_tolerances(part, size, lower) -> None:
    result = bearing_seat(part, size, "H7" if part == "outside" else "h6")
    assert (result.shaft if part == "outside" else result.hole) == (lower, 0)


def test_bearing_on_shaft_and_in_housing() -> None:
    """Reference rows: k5 shaft of 25 mm gives 2 to 21 um interference; N7 housing of 47 mm gives -33 to +3 um clearance."""
    shaft = bearing_seat("bore", 25, "k5")
    assert (-shaft.most, -shaft.least) == (2, 21)
    assert shaft.kind == "interference"
    housing = bearing_seat("outside", 47, "N7")
    assert (housing.least, housing.most) == (-33, 3)
    assert housing.kind == "transition"


@pytest.mark.practice
def test_kinds_of_fit() -> None:
    assert [fit("H7", s, 25).kind for s in ("g6", "k6", "p6")] == ["clearance", "transition", "interference"]


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: limits("Q7", 25), "no table for letter"),
        (lambda: limits("7H", 25), "letter and grade"),
        (lambda: limits("H14", 25), "grade from 5 to 11"),
        (lambda: limits("H7", 501), "not extrapolated"),
        (lambda: limits("H7", 0), "not extrapolated"),
        (lambda: limits("K9", 25), "K5 to K8"),
        (lambda: limits("j9", 25), "js9"),
        (lambda: fit("h7", "k6", 25), "capital"),
        (lambda: bearing_seat("bore", 25, "K6"), "on a shaft"),
        (lambda: bearing_seat("outside", 47, "k6"), "in a housing"),
        (lambda: bearing_seat("bore", 200, "k6"), "no bearing bore"),
    ],
)
def test_impossible_input_is_refused_by_name(call, says) -> None:
    with pytest.raises(FormulaError, match=says):
        call()


@pytest.mark.parametrize(
    ("code", "size", "note"),
    [("j7", 100, "recalled"), ("r6", 200, "recalled"), ("K7", 230, "open package"), ("H11", 25, "open package")],
)
def test_limits_that_were_not_read_in_print_say_so(code: str, size: float, note: str) -> None:
    """The standing column of the tables is shown with the answer."""
    assert any(note in text for text in limits(code, size).texts("notes"))


@pytest.mark.parametrize(("code", "size"), [("H7", 25), ("k6", 30), ("N7", 52), ("j6", 20), ("js6", 20)])
def test_limits_read_in_print_carry_no_remark(code: str, size: float) -> None:
    assert limits(code, size).texts("notes") == ()


def test_a_fit_and_a_bearing_seat_pass_the_remark_on() -> None:
    assert any("j7" in text for text in fit("H7", "j7", 100).texts("notes"))
    assert any("j7" in text for text in bearing_seat("bore", 100, "j7").texts("notes"))


@pytest.mark.recalled(
    "ISO 286-1: M6 from 250 to 315 mm is -9 um, by its own footnote; M7 and M8 follow the rule of the differences"
)
@pytest.mark.parametrize(("code", "lower", "upper"), [("M6", -41, -9), ("M7", -52, 0), ("M8", -72, 9)])
def test_the_footnote_of_m6_is_for_m6_alone(code: str, lower: float, upper: float) -> None:
    got = limits(code, 300)
    assert (float(got.lower), float(got.upper)) == pytest.approx((lower, upper))
