"""Drills by the names on their boxes."""

from __future__ import annotations

from itertools import pairwise

import pytest

from restonb.errors import QuantityError
from restonb.quantity import DRILL_SETS, read_drill, standard_drills

MM = 25.4


@pytest.mark.recalled("ASME B94.11M, number, letter and fraction sizes")
@pytest.mark.parametrize(
    ("text", "label", "inches"),
    [
        ("#7", "#7", 0.2010), ("No. 7", "#7", 0.2010), ("no 7", "#7", 0.2010), ("#1", "#1", 0.2280), ("#80", "#80", 0.0135),
        ("F", "F", 0.257), ("letter f", "F", 0.257), ("E", "E", 0.250), ("A", "A", 0.234), ("Z", "Z", 0.413),
        ("13/64", "13/64 in", 0.203125), ("13/64 in", "13/64 in", 0.203125), ('1/4"', "1/4 in", 0.25),
        ("0.201 in", "0.201 in", 0.2010),
    ],
)  # fmt: skip
def test_inch_drills(text: str, label: str, inches: float) -> None:
    got = read_drill(text)
    assert got.label == label
    assert got.diameter == pytest.approx(inches * MM, rel=1e-12)


def test_metric_drills() -> None:
    assert (read_drill("6.8 mm").label, read_drill("6.8 mm").diameter) == ("6.8 mm", 6.8)
    assert read_drill("10mm").label == "10 mm"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("7", "write '#7' or '7 mm' or '7 in'"),
        ("6.8", "write '6.8 mm' or '6.8 in'"),
        ("#81", "write '#1' to '#80'"),
        ("#0", "write '#1' to '#80'"),
        ("6,8 mm", r"decimal comma: write '6\.8 mm'"),
        ("1/3 in", "not a fraction drill: write a size in 1/64 in"),
        ("-3 mm", "not a drill that can be bought"),
        ("500 mm", "not a drill that can be bought"),
        ("5 kg", "length is wanted"),
        ("", "not a drill"),
        ("x" * 100, "too long"),
    ],
)
def test_refused(text: str, says: str) -> None:
    with pytest.raises(QuantityError, match=says):
        read_drill(text)


def test_sets_are_complete_and_strictly_rising() -> None:
    counts = {name: len(standard_drills(name)) for name in DRILL_SETS}
    assert counts == {"number": 80, "letter": 26, "fraction": 64, "metric": 126}
    for name in DRILL_SETS:
        sizes = [drill.diameter for drill in standard_drills(name)]
        assert all(a < b for a, b in pairwise(sizes)), name
    assert len(standard_drills()) == sum(counts.values())
    with pytest.raises(QuantityError, match="no drill set 'wood'"):
        standard_drills("wood")


@pytest.mark.recalled("ASME B94.11M: the letters go on where the numbers end, and E is 1/4 in")
def test_letters_follow_numbers() -> None:
    assert read_drill("#1").diameter < read_drill("A").diameter
    assert read_drill("E").diameter == read_drill("1/4").diameter


@pytest.mark.parametrize("drill", standard_drills(), ids=str)
def test_every_label_reads_back(drill: object) -> None:
    assert read_drill(str(drill)).diameter == pytest.approx(drill.diameter, rel=1e-12)  # type: ignore[attr-defined]
