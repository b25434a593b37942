"""A measured value that a formula refuses is an open point of the sheet, with the formula's reason."""

import pytest
from restonb.decisions.tried import tried

from restonb import bench
from restonb.bench._values import NotYet
from restonb.formulas import chain
from restonb.stated import Build


@pytest.fixture
def sheet(tmp_path):
    return bench.sheet("toy", Build.create(tmp_path / "build", "Toy"))


def test_sixteen_links_counted_as_twenty_are_left_open(sheet):
    """16.1 links of 15.875 mm are 255.588 mm; over 20 links that would be 19.5 % too short."""
    found = tried(sheet, chain.elongation, 255.588, 20, 15.875)
    assert isinstance(found, NotYet)
    assert "makes -19.5 %; count the links" in found.text
    assert sheet._filing.open == [f"not worked out: {found.missing[0]}"]


def test_what_the_formula_takes_leaves_nothing_open(sheet):
    """320.675 mm over 20 links of 15.875 mm (317.5 mm) is 1 % longer."""
    assert float(tried(sheet, chain.elongation, 320.675, 20, 15.875)) == pytest.approx(1.0)
    assert sheet._filing.open == []
