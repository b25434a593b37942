"""Looking a formula up: what is offered where there is none of that name."""

import pytest

from restonb.errors import FormulaError
from restonb.formulas import catalogue


@pytest.mark.parametrize(
    ("name", "offers"),
    [
        ("fasteners.torqe", "did you mean fasteners.torque"),
        ("seating.shim", "did you mean seating.shims?"),
        ("torqe", "did you mean clutch.torque or fasteners.torque?"),  # the family forgotten
        ("fastener.torque", "did you mean fasteners.torque?"),  # the family mistyped
        ("battery", "electrical.load_test"),  # a word of what it answers
        ("chain.wire", "no formula 'chain.wire'"),
    ],
)
def test_near_names_are_offered(name, offers):
    with pytest.raises(FormulaError) as refused:
        catalogue.find(name)
    assert offers in str(refused.value)


@pytest.mark.parametrize("name", ["nosuch.thing", "electrical.ohms", "xyzzy", ""])
def test_nothing_far_away_is_offered(name):
    with pytest.raises(FormulaError, match="'restonb calc' lists the families") as refused:
        catalogue.find(name)
    assert "did you mean" not in str(refused.value)


def test_a_name_is_found():
    assert catalogue.find("seating.strain").name == "seating.strain"


def test_families_are_told_with_what_they_are_about_and_how_many_formulas_they_have() -> None:
    families = catalogue.families()
    assert sum(number for _, number in families.values()) == len(catalogue.formulas())
    assert all(about.endswith(".") for about, _ in families.values())


def test_a_name_that_is_not_found_is_carried_by_the_error() -> None:
    with pytest.raises(FormulaError) as refused:
        catalogue.find("seating.shim")
    assert (refused.value.field, refused.value.given, refused.value.write) == ("name", "seating.shim", "seating.shims")
