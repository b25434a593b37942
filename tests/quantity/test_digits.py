"""Numbers that were worked out are shown with the digits that they deserve."""

import pytest

from restonb.bench._values import Known
from restonb.formulas import seating
from restonb.quantity.digits import result_number, result_text, uncertainty_of


@pytest.mark.recalled(
    "JCGM 100:2008 7.2.6: an uncertainty is given to two figures at most, and the value to its last one"
)
def test_its_own_uncertainty_decides():
    """u = 0.0042 mm is U = 0.0084 mm: the fourth decimal is the second figure of that."""
    assert result_text(0.279449, "mm", u=0.0042) == "0.2794 mm"
    assert result_text(15873.4, "N", u=1600) == "15900 N"


def test_else_the_readings_of_its_kind_on_the_sheet():
    """A bore gauge good to 0.007 mm: thousandths; a feeler good to 0.012 mm: hundredths."""
    assert result_text(68.011000000004, "mm", least_U=0.0072) == "68.011 mm"
    assert result_text(0.013600000001, "mm", least_U=0.012) == "0.01 mm"
    assert result_text(0.0009999999999, "mm", least_U=0.0072) == "0.001 mm"


def test_else_three_figures_and_never_more_than_a_workshop_can_tell():
    assert result_text(21980.756049646723, "N") == "22000 N"
    assert result_text(1.2663826530612246, "1") == "1.27"
    assert result_text(-0.007639437223140236, "deg") == "-0.01°"
    assert result_text(36745.26571532454, "mile") == "36700 mile"


def test_what_is_counted_stays_whole():
    assert result_text(12345, "1") == "12345"
    assert result_text(106.0, "count") == "106"


def test_a_length_keeps_its_thousandths_however_long_it_is():
    """Four figures would make a bore of 68.141 mm one of 68.14 mm."""
    assert result_number(68.141, "mm") == "68.141"
    assert result_number(0.016833333, "mm") == "0.017"
    assert result_number(0.00042, "mm") == "0.0004"
    assert result_number(2.6827, "in") == "2.6827"
    assert result_number(1158.318, "N") == "1158"
    assert result_number(1e-15, "mm") == "0"


def test_where_an_uncertainty_comes_with_a_value_it_is_found():
    assert uncertainty_of(Known(1.0, 0.1, "mm")) == 0.1
    assert uncertainty_of(0.5) is None
    assert uncertainty_of(seating.stack(0.2, [0.1])) is None
