"""Bearing clearance against ISO 5753-1 and by hand."""

from __future__ import annotations

import pytest

from restonb.errors import FormulaError
from restonb.formulas import fits


@pytest.mark.published("ISO 5753-1, deep groove ball bearings, as printed in a maker's table; CN and C3 in two more")
@pytest.mark.parametrize(
    ("bore", "groups"),
    [
        (10, (0, 7, 2, 13, 8, 23, 14, 29)), (17, (0, 9, 3, 18, 11, 25, 18, 33)), (20, (0, 10, 5, 20, 13, 28, 20, 36)),
        (25, (1, 11, 5, 20, 13, 28, 23, 41)), (30, (1, 11, 5, 20, 13, 28, 23, 41)), (35, (1, 11, 6, 20, 15, 33, 28, 46)),
        (45, (1, 11, 6, 23, 18, 36, 30, 51)), (60, (1, 15, 8, 28, 23, 43, 38, 61)), (70, (1, 15, 10, 30, 25, 51, 46, 71)),
        (90, (1, 18, 12, 36, 30, 58, 53, 84)), (120, (2, 20, 15, 41, 36, 66, 61, 97)),
    ],
)  # fmt: skip
def test_table(bore: float, groups: tuple[int, ...]) -> None:
    for i, group in enumerate(("C2", "CN", "C3", "C4")):
        got = fits.bearing_clearance(bore, group)
        assert (got.least, got.most) == groups[2 * i : 2 * i + 2]
        assert (got.least_fitted, got.most_fitted) == (got.least, got.most)


@pytest.mark.recalled("rolling bearing catalogues: a fit takes 70 to 90 % of its interference from the clearance")
def test_what_a_fit_leaves() -> None:
    got = fits.bearing_clearance("25 mm", "CN", "10 um")
    assert (got.least_fitted, got.most_fitted) == (pytest.approx(5 - 9), pytest.approx(20 - 7))
    assert "it binds" in got.notes[0]


@pytest.mark.parametrize("bore", [9, 121, 0])
def test_refused(bore: float) -> None:
    with pytest.raises(FormulaError, match=r"extrapolated|above 0"):
        fits.bearing_clearance(bore)
