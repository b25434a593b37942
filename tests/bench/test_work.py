"""A measured value that a formula refuses is an open point of the sheet, with the formula's reason; it never fails the run."""

import pytest

from restonb import bench
from restonb.decisions import NotYet
from restonb.formulas import chain
from restonb.stated import Build


@pytest.fixture
def sheet(tmp_path):
    return bench.sheet("toy", Build.create(tmp_path / "build", "Toy"))


def left(sheet):
    return [(step.state, step.finding, step.values["reason"]) for step in sheet._filing.left.values()]


def test_sixteen_links_counted_as_twenty_are_left_open(sheet):
    """16.1 links of 15.875 mm are 255.588 mm; over 20 links that would be 19.5 % too short."""
    found = sheet.work(chain.elongation, 255.588, 20, 15.875)
    assert isinstance(found, NotYet)
    ((state, finding, reason),) = left(sheet)
    assert (state, finding) == ("not known", "refused")
    assert reason == found.missing[0]
    assert "-19.5 %" in reason


def test_the_same_refusal_stands_once(sheet):
    sheet.work(chain.elongation, 255.588, 20, 15.875)
    sheet.work(chain.elongation, 255.588, 20, 15.875)
    assert len(left(sheet)) == 1


def test_what_the_formula_takes_leaves_nothing_open(sheet):
    """320.675 mm over 20 links of 15.875 mm (317.5 mm) is 1 % longer."""
    assert float(sheet.work(chain.elongation, 320.675, 20, 15.875)) == pytest.approx(1.0)
    assert left(sheet) == []


def test_what_is_still_missing_is_not_a_refusal(sheet):
    assert isinstance(sheet.work(chain.elongation, NotYet(("length",)), 20, 15.875), NotYet)
    assert left(sheet) == []
