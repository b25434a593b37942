"""The boundary of a formula: lists with one unit, mixed lists refused, uncertainties, and what a result may call its fields."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import pytest
from uncertainties import ufloat

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import positive
from restonb.quantity import Quantity


@formula(text="sum", source="geometry", valid="tests")
def total(values: Annotated[Sequence[float], In("mm", "values")]) -> Annotated[float, Out("mm", "sum")]:
    """Which sum they have."""
    return sum(values)


@formula(text="sum", source="geometry", valid="tests")
def area(points: Annotated[Sequence[tuple[float, float]], In("mm", "points")]) -> Annotated[float, Out("mm", "sum")]:
    """Which sum of all numbers points have."""
    return sum(x + y for x, y in points)


@formula(text="a + b", source="geometry", valid="tests")
def both(
    a: Annotated[float, In("mm", "one")], b: Annotated[float | None, In("mm", "other")] = None
) -> Annotated[float, Out("mm", "sum")]:
    """Which sum two lengths have."""
    return a + (b or 0)


@pytest.mark.parametrize(
    ("values", "mm"),
    [
        ("1, 2, 3", 6),
        ("1, 2, 3 in", 6 * 25.4),
        ("1 in, 2 mm, 0", 27.4),
        ("0, 2 thou, 8 thou, 0", 10 * 0.0254),
        ("1/2, 1/4 in", 0.75 * 25.4),
        ('1, 2"', 3 * 25.4),
        ([1, "1 in", Quantity(1, "cm")], 36.4),
    ],
)
def test_lists(values: object, mm: float) -> None:
    assert float(total(values)) == pytest.approx(mm)


def test_one_unit_holds_for_all_points() -> None:
    """Four corners of 12 by 8 inch: the numbers add up to 40 inch."""
    assert float(area("0,0; 12,0; 12,8; 0,8 in")) == pytest.approx(40 * 25.4)


@pytest.mark.parametrize("values", ["0, 2, 8 thou, 0", "1 in, 2", "1, 2 in, 3 in"])
def test_mixed_lists_are_refused(values: str) -> None:
    with pytest.raises(FormulaError, match="give each number its unit, or one behind the last"):
        total(values)


@pytest.mark.parametrize("a", ["10 +/- 2 mm", "10 mm ± 2 mm", "10±2", ufloat(10, 1)])
def test_uncertainty_behind_the_sign_is_expanded(a: object) -> None:
    result = both(a)
    assert float(result) == 10
    assert result.u == pytest.approx(1)


@pytest.mark.recalled("JCGM 100:2008 7.2.6: two digits of an uncertainty are enough")
def test_an_uncertainty_is_shown_with_two_digits() -> None:
    from restonb.formulas import fasteners

    result = fasteners.torque("15.9 ± 0.5 kN", "8 mm", "0.2 ± 0.05")
    assert "25.4 N m ± 6.4 (k = 2)" in str(result.working())


def test_results_feed_formulas() -> None:
    assert float(both(both(1, 2), "1 in")) == pytest.approx(28.4)


def test_none_stays_none() -> None:
    assert float(both(1, None)) == 1
    assert float(both("1 mm", "none")) == 1


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: both(), "missing a required argument: 'a'"),
        (lambda: both(None), "'a' is missing"),
        (lambda: both("1 N m"), "'a'"),
        (lambda: both(1, 2, 3), "takes"),
        (lambda: total(5), "give a list"),
        (lambda: total("a, b"), r"'values\[1\]'.*'values\[2\]'|'values"),
        (lambda: total([]), "empty list"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]


def test_a_field_may_not_hide_behind_the_result_s_own_names() -> None:
    @dataclass(frozen=True)
    class Bad:
        unit: Annotated[float, Out("mm", "hidden")]

    globals()["Bad"] = Bad

    def bad(x: Annotated[float, In("mm", "x")]) -> Bad:
        """Which."""
        return Bad(x)

    with pytest.raises(TypeError, match="'unit'"):
        formula(text="x", source="geometry", valid="tests")(bad)


@formula(text="how far", source="geometry", valid="tests")
def chosen(
    size: Annotated[float, In("mm", "size")],
    series: Annotated[str, In(None, "how close", ("fine", "coarse"))] = "fine",
    wet: Annotated[bool, In(None, "wet")] = False,
    count: Annotated[int, In("1", "how many")] = 1,
) -> Annotated[float, Out("mm", "size")]:
    """Which size is chosen."""
    positive(size=size)
    return size


@pytest.mark.parametrize(
    ("call", "field", "write", "given"),
    [
        (lambda: chosen("3 N m"), "size", "a number in mm", "3 N m"),
        (lambda: chosen(None), "size", "a number in mm", None),
        (lambda: chosen("abc"), "size", "a number in mm", "abc"),
        (lambda: chosen(1, "fime"), "series", "one of fine, coarse", "fime"),
        (lambda: chosen(1, "fine", "perhaps"), "wet", "yes or no", "perhaps"),
        (lambda: chosen(1, count=1.5), "count", "a whole number", 1.5),
        (lambda: chosen("-1 mm"), "size", "a number above 0", -1),
        (lambda: total([1, "x"]), "values[2]", "a number in mm", "x"),
    ],
)
def test_a_refusal_carries_what_it_is_about(call: object, field: str, write: str, given: object) -> None:
    with pytest.raises(FormulaError) as refused:
        call()  # type: ignore[operator]
    error = refused.value
    assert (error.field, error.write, error.given) == (field, write, given)
    assert error.place.startswith("tests.") or "test_boundary" in error.place


def test_a_refusal_by_the_formula_itself_carries_its_argument_too() -> None:
    from restonb.formulas import chain

    with pytest.raises(FormulaError) as refused:
        chain.elongation("100 mm", 0, "15.875 mm")
    error = refused.value
    assert (error.place, error.field, error.given, error.write) == (
        "chain.elongation",
        "over_links",
        0,
        "a whole number",
    )


def test_two_bad_arguments_are_two_errors_in_one() -> None:
    with pytest.raises(FormulaError) as refused:
        chosen("3 N m", "fime")
    assert [one.field for one in refused.value.each] == ["size", "series"]
    assert refused.value.field == "size"


def test_an_error_raised_with_a_sentence_alone_still_works() -> None:
    error = FormulaError("a sentence")
    assert (str(error), error.field, error.place, error.write, error.given) == ("a sentence", "", "", "", None)


def test_a_list_that_cannot_be_read_shows_how_one_is_written() -> None:
    from restonb.formulas import seating

    with pytest.raises(FormulaError, match=r"give a list, such as '0,0; 300,0; 300,200'"):
        seating.rest(5, [0, 0, 0.2, 0])
    with pytest.raises(FormulaError, match=r"give a list, such as '0\.05, 0\.1, 0\.2'"):
        seating.rest("0,0; 300,0; 300,200; 0,200", 0.2)
