"""Slips of the bench: inches typed as millimetres, a decimal point that was left out. Remarked on, never refused."""

from __future__ import annotations

import pytest

from restonb.measure.model import Characteristic
from restonb.record.far_off import far_off_remark


def row(unit: str, **limits: float) -> Characteristic:
    return Characteristic("toy", "size", "a size", "once", unit, **limits)


@pytest.mark.parametrize(
    ("limits", "value", "unit", "says"),
    [
        (
            {"nominal": 177.8, "upper": 178.6},
            7.01,
            "mm",
            "7.01 mm is far from the nominal 177.8 mm; was 7.01 in meant?",
        ),
        ({"nominal": 72.0, "upper": 72.05}, 7.203, "mm", "7.203 mm is far from the nominal 72 mm"),  # 72.03
        ({"lower": 6.8, "upper": 7.4}, 710, "mm", "far from the upper limit 7.4 mm"),  # 7.10
        ({"lower": 6.8, "upper": 7.4}, 0.71, "mm", "far from the lower limit 6.8 mm"),
        ({"upper": 0.05}, 250, "mm", "250 mm is far from the upper limit 0.05 mm"),  # 0.250
        ({"nominal": 25.4}, 25.4, "in", "was 25.4 mm meant?"),
    ],
)
def test_a_slip_is_remarked_on(limits: dict[str, float], value: float, unit: str, says: str) -> None:
    assert says in far_off_remark(row("mm", **limits), value, unit)


@pytest.mark.parametrize(
    ("of", "limits", "value", "unit"),
    [
        ("mm", {"upper": 0.05}, 0.254, "mm"),  # a gap of 10 thou under a foot is met
        ("mm", {"upper": 0.05}, 0.0, "mm"),
        ("mm", {"upper": 0.05}, 0.0001, "mm"),
        ("mm", {"nominal": 177.8}, 7.012, "in"),
        ("Mohm", {"lower": 1.0}, 500, "Mohm"),  # the better the more
        ("Mohm", {"lower": 1.0}, 0.001, "Mohm"),  # a fault that is met
        ("count", {"upper": 1.0}, 30, "count"),
        ("degC", {"upper": 5.0}, 90, "degC"),
        ("mm", {}, 7.01, "mm"),
    ],
)
def test_what_is_met_at_the_bench_is_not(of: str, limits: dict[str, float], value: float, unit: str) -> None:
    assert far_off_remark(row(of, **limits), value, unit) == ""
