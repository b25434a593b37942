"""Tap drills against the charts, and percentages by both conventions."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import threads
from restonb.formulas._tables import rows
from restonb.quantity import read_drill, read_thread, standard_threads

LISTED = rows("restonb.formulas.threads", "tap_drills.csv")
COMMON = [one.text for one in standard_threads() if 3 <= one.major <= 12.8]


@pytest.mark.recalled("Machinery's Handbook, tap drill charts: these drills give 75 to 78 % of thread")
@pytest.mark.parametrize(
    ("thread", "drill", "percent"),
    [("1/4-20 UNC", "#7", 75), ("5/16-18 UNC", "F", 77), ("3/8-16 UNC", "5/16 in", 77), ("1/2-13 UNC", "27/64 in", 78)],
)
def test_chart_percentage(thread: str, drill: str, percent: float) -> None:
    assert threads.thread_percent(thread, drill).chart == pytest.approx(percent, abs=0.9)


def test_percentage_by_hand() -> None:
    """100 (8 - 6.8)/(1.299038 * 1.25) and 100 (6 - 5)/1.299038; by the other convention D - D1 is 1.082532 P."""
    assert threads.thread_percent("M8", "6.8 mm").chart == pytest.approx(120 / (1.299038 * 1.25), rel=1e-6)
    assert threads.thread_percent("M6", "5 mm").chart == pytest.approx(100 / 1.299038, rel=1e-6)
    assert threads.thread_percent("M6", "5 mm").basic == pytest.approx(100 / 1.082532, rel=1e-6)


@pytest.mark.practice
@pytest.mark.parametrize("thread", ["M5", "M6", "M8", "M10", "M12", "M8x1"])
def test_drill_of_diameter_less_pitch_is_77_percent(thread: str) -> None:
    basic = threads.basic_sizes(thread)
    drill = f"{basic.major - basic.pitch:.2f} mm"
    assert threads.thread_percent(thread, drill).chart == pytest.approx(77, abs=0.1)


def test_conventions_differ_by_a_fifth() -> None:
    got = threads.thread_percent("3/8-16 UNC", "5/16 in")
    assert got.basic / got.chart == pytest.approx(1.2, rel=1e-9)


def test_drill_for_percent_by_hand() -> None:
    """8 - 0.65 * 1.299038 * 1.25 = 6.94453."""
    assert float(threads.drill_for_percent("M8", 65)) == pytest.approx(6.94453, abs=5e-6)


# ISO 2306, BS 1157 and shop charts, each row with its source in the table
@pytest.mark.published("ISO 2306, BS 1157 and the tap drill charts of Machinery's Handbook")
@pytest.mark.parametrize("row", LISTED, ids=[row["thread"] for row in LISTED])
def test_listed_drill_gives_a_sound_thread(row: dict[str, str]) -> None:
    """Every printed drill lies between the hole's least and largest minor diameter, or near it where none is printed."""
    got = threads.thread_percent(row["thread"], row["drill"])
    assert 60 < got.chart < 93
    series = row["thread"].split()[-1]
    if series not in ("BSW", "BSF"):
        at = threads.limiting_sizes(row["thread"])
        assert at.hole_minor_min - 0.03 <= read_drill(row["drill"]).diameter <= at.hole_minor_max


@pytest.mark.published("ISO 2306, BS 1157 and the tap drill charts of Machinery's Handbook")
@pytest.mark.parametrize(
    ("thread", "sets", "drill"),
    [
        ("M6", "metric", "5 mm"), ("M8", "metric", "6.8 mm"), ("M10", "metric", "8.5 mm"), ("M8x1", "metric", "7 mm"),
        ("1/4-20 UNC", "number, letter", "#7"), ("5/16-18 UNC", "number, letter", "F"), ("3/8-16 UNC", "fraction", "5/16 in"),
        ("1/2-13 UNC", "fraction", "27/64 in"), ("5/16-22 BSF", "metric", "6.8 mm"), ("3/8-20 BSF", "metric", "8.3 mm"),
    ],
)  # fmt: skip
def test_tap_drill_from_the_sets_at_hand(thread: str, sets: str, drill: str) -> None:
    got = threads.tap_drill(thread, 76, sets)
    assert got.drill == drill
    assert got.listed == drill


@pytest.mark.parametrize(
    ("thread", "drill", "says"),
    [
        ("M8", "8 mm", "as large as the thread"),
        ("M8", "9 mm", "as large as the thread"),
        ("M8", "6.8", "'drill': '6.8' has no unit"),
        ("M8", "6,8 mm", "decimal comma"),
    ],
)
def test_drills_that_are_refused(thread: str, drill: str, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        threads.thread_percent(thread, drill)


def test_drill_below_the_minor_diameter_warns_of_a_broken_tap() -> None:
    assert "breaks" in threads.thread_percent("M8", "6.5 mm").cautions[0]
    assert "strip" in threads.thread_percent("M8", "7.3 mm").cautions[0]
    assert threads.thread_percent("M8", "6.8 mm").cautions == ()
    assert threads.thread_percent("M8", "7.1 mm").cautions == ()  # 55 %
    assert "only 49 %" in threads.thread_percent("M8", "7.2 mm").cautions[0]
    # Whitworth threads can be cut fuller than a hand tap likes before the minor diameter is reached
    assert "expect it to bind" in threads.thread_percent("1/4 BSW", "4.9 mm").cautions[0]  # 89 %
    assert threads.thread_percent("1/4 BSW", "5 mm").cautions == ()  # 83 %


def test_sets_that_do_not_hold_a_drill() -> None:
    with pytest.raises(FormulaError, match=r"no drill of number suits M14x2: one near 12\.05 mm is wanted"):
        threads.tap_drill("M14", sets="number")
    with pytest.raises(FormulaError, match="wood"):
        threads.tap_drill("M8", sets="wood")


@settings(deadline=None)
@given(thread=st.sampled_from(COMMON), percent=st.floats(30, 100), convention=st.sampled_from(["chart", "basic"]))
def test_drill_for_a_percentage_gives_that_percentage(thread: str, percent: float, convention: str) -> None:
    diameter = float(threads.drill_for_percent(thread, percent, convention))
    got = threads.thread_percent(thread, f"{diameter:.9f} mm")
    assert getattr(got, convention) == pytest.approx(percent, abs=1e-5)


@settings(deadline=None)
@given(thread=st.sampled_from(COMMON), drill=st.floats(2.5, 10))
def test_percentage_is_the_same_in_inches(thread: str, drill: float) -> None:
    major = threads.basic_sizes(thread).major
    if drill >= major - 0.01:
        return
    mm = threads.thread_percent(thread, f"{drill:.6f} mm").chart
    inch = threads.thread_percent(thread, f"{drill / 25.4:.9f} in").chart
    assert mm == pytest.approx(inch, abs=1e-4)


@pytest.mark.practice
@pytest.mark.parametrize("thread", ["M3", "M8", "M24", "M36"])
def test_a_drill_is_called_too_small_by_a_share_of_the_pitch(thread: str) -> None:
    """A fiftieth of the pitch is let pass on a fine thread and on a coarse one: what a drill's name rounds off."""
    basic, pitch = threads.basic_sizes(thread).minor, read_thread(thread).pitch
    for share, small in ((0.01, False), (0.03, True)):
        cautions = " ".join(threads.thread_percent(thread, f"{basic - share * pitch:.4f} mm").texts("cautions"))
        assert ("smaller than the minor diameter" in cautions) is small
