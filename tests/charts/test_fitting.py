"""Text that fits and scales that hold: for any names, any numbers."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.charts._plan import apart, fitted, hull
from restonb.charts._scale import view
from restonb.charts._text import cut, days, num, step_of, stepped, width, with_u, wrap

NUMBERS = st.floats(-1e6, 1e6, allow_nan=False)
NAMES = st.text(st.characters(codec="ascii", min_codepoint=32, exclude_characters="\x7f"), min_size=1, max_size=80)


@pytest.mark.practice
@given(st.lists(NUMBERS, max_size=20), st.lists(NUMBERS, max_size=3))
@settings(deadline=None)
def test_every_limit_is_on_the_scale(values: list[float], limits: list[float]) -> None:
    low, high = view(values, limits)
    assert low < high
    assert all(low <= limit <= high for limit in limits)
    assert all(map(math.isfinite, (low, high)))


@pytest.mark.practice
@given(st.lists(st.floats(0.0, 0.1), min_size=3, max_size=20), st.floats(10, 1e6))
@settings(deadline=None)
def test_one_outlier_never_squashes_the_rest(values: list[float], outlier: float) -> None:
    low, high = view([*values, outlier], [0.0, 0.1])
    assert high < 1.0
    assert all(low <= v <= high for v in values)


@pytest.mark.practice
@given(NAMES, st.floats(0.5, 4.0))
@settings(deadline=None, max_examples=50)
def test_cut_and_wrapped_text_keeps_to_its_room(name: str, room: float) -> None:
    assert width(cut(name, room)) <= room
    lines = wrap(name, room, lines=2)
    assert len(lines) <= 2
    assert all(width(line) <= room for line in lines)


@pytest.mark.practice
def test_a_cut_name_keeps_both_ends() -> None:
    short = cut("rear engine plate to frame lug, upper stud", 1.5)
    assert short.startswith("rear")
    assert short.endswith("stud")
    assert "…" in short


@pytest.mark.recalled("JCGM 100:2008, 7.2.4: m = (100.021 47 +/- 0.000 79) g, two digits of U")
def test_a_value_is_written_to_the_second_digit_of_its_uncertainty() -> None:
    assert with_u(100.02147, 0.00079) == "100.02147 ± 0.00079"
    assert with_u(0.12345, 0.0234) == "0.123 ± 0.023"
    assert with_u(-0.5, None) == "−0.5"


@pytest.mark.practice
def test_numbers_read_as_a_person_writes_them() -> None:
    assert num(None) == "–"
    assert stepped(0.2, step_of([0.05, 0.2])) == "0.20"
    assert days(["2026-03-20T08:00:00Z", "", "2026-03-14"]) == "2026-03-14 to 2026-03-20"


@pytest.mark.practice
@given(st.lists(st.floats(0, 5), min_size=1, max_size=8))
def test_labels_keep_their_order_and_distance(wanted: list[float]) -> None:
    placed = apart(sorted(wanted), 0.5, 0.0, 5.0)
    assert all(b - a >= 0.5 - 1e-9 for a, b in itertools.pairwise(placed))
    assert all(-1e-9 <= y <= 5.0 + 1e-9 for y in placed)


@pytest.mark.practice
def test_a_plan_keeps_its_proportions_and_its_outline() -> None:
    spots = fitted({"a": (0, 0), "b": (300, 0), "c": (300, 100), "d": (0, 100)}, (0.0, 0.0, 3.0, 3.0))
    assert spots["b"][0] - spots["a"][0] == pytest.approx(3.0)
    assert spots["a"][1] - spots["d"][1] == pytest.approx(1.0)
    assert len(hull([*spots.values(), (1.5, 1.5)])) == 4
