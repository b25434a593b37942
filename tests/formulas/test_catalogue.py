"""Looking a formula up: what is offered where there is none of that name."""

import pytest

from restonb.errors import FormulaError
from restonb.formulas import catalogue


@pytest.mark.parametrize(
    ("name", "offers"),
    [
        ("fasteners.torqe", "did you mean fasteners.torque"),
        ("seating.shim", "did you mean seating.shims?"),
        ("torqe", "did you mean fasteners.torque?"),  # the family forgotten
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
    with pytest.raises(FormulaError, match="'restonb calc' lists all") as refused:
        catalogue.find(name)
    assert "did you mean" not in str(refused.value)


def test_a_name_is_found():
    assert catalogue.find("seating.strain").name == "seating.strain"
