"""Shear areas and engagement against the handbook's areas and hand calculation."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import threads
from restonb.quantity import standard_threads

LIMITED = [
    one.text
    for one in standard_threads()
    if one.series in ("UNC", "UNF") or (one.series == "M" and 3 <= one.major <= 16)
]
LIMITED = [name for name in LIMITED if not name.startswith("M") or float(name.split("x")[1]) >= 0.5]


@pytest.mark.published("FED-STD-H28, thread strip areas, 2A/2B, engagement of one diameter")
@pytest.mark.parametrize(
    ("thread", "bolt", "hole"),
    [
        ("#10-24 UNC", 0.050, 0.076), ("#10-32 UNF", 0.052, 0.074), ("1/4-20 UNC", 0.092, 0.135), ("1/4-28 UNF", 0.093, 0.130),
        ("3/8-24 UNF", 0.217, 0.299), ("7/16-14 UNC", 0.296, 0.428), ("1/2-13 UNC", 0.389, 0.562), ("1/2-20 UNF", 0.400, 0.541),
    ],
)  # fmt: skip
def test_strip_areas(thread: str, bolt: float, hole: float) -> None:
    got = threads.shear_areas(thread, threads.basic_sizes(thread).major)
    square_inch = 25.4**2
    assert got.bolt / square_inch == pytest.approx(bolt, abs=0.00061)
    assert got.hole / square_inch == pytest.approx(hole, abs=0.00061)


def by_hand(length: float, per_length: float, diameter: float, gap: float) -> float:
    """pi n Le D (1/(2n) + 0.57735 gap)."""
    return math.pi * per_length * length * diameter * (1 / (2 * per_length) + 0.57735 * gap)


def test_shear_areas_by_hand() -> None:
    """M8 over 8 mm from the printed 6g/6H limits: Kn 6.912, Es 7.042, Ds 7.760, En 7.348."""
    bolt = threads.bolt_shear_area(8, 1.25, 6.912, 7.042)
    hole = threads.hole_shear_area(8, 1.25, 7.760, 7.348)
    assert float(bolt) == pytest.approx(by_hand(8, 0.8, 6.912, 7.042 - 6.912), rel=1e-9)
    assert float(hole) == pytest.approx(by_hand(8, 0.8, 7.760, 7.760 - 7.348), rel=1e-9)
    assert float(bolt) == pytest.approx(97.2895, abs=6e-4)
    assert float(hole) == pytest.approx(134.628, abs=6e-3)
    whole = threads.shear_areas("M8", 8)
    assert whole.bolt == pytest.approx(float(bolt), rel=1e-3)
    assert whole.hole == pytest.approx(float(hole), rel=1e-3)


def test_least_engagement_by_hand() -> None:
    """2 At over the shear area of 1 mm; and the same figures in inches for 1/2-13."""
    assert float(threads.least_engagement(36.6, 1.25, 6.912, 7.042)) == pytest.approx(
        2 * 36.6 / by_hand(1, 0.8, 6.912, 0.130), rel=1e-9
    )
    inch = threads.least_engagement("0.1419 in2", f"{1 / 13:.12f} in", "0.434 in", "0.4435 in")
    assert inch.to("in") == pytest.approx(0.36434, abs=4e-6)
    assert inch.to("in") == pytest.approx(2 * 0.1419 / by_hand(1, 13, 0.434, 0.0095), rel=1e-9)


def test_soft_hole_needs_more() -> None:
    """J = (ASs 800)/(ASn 200) and Q = Le J, from the printed limits of M8: 2.89061 and 17.399 mm."""
    got = threads.needed_engagement("M8", 800, 200)
    assert got.ratio == pytest.approx(2.89061, rel=1e-3)
    assert got.needed == pytest.approx(17.399, rel=2e-3)
    assert got.equal == pytest.approx(6.019, rel=2e-3)
    assert got.diameters == pytest.approx(17.399 / 8, rel=2e-3)
    assert any("the hole is the weaker" in caution for caution in got.cautions)


@pytest.mark.practice
@pytest.mark.parametrize(("hole", "low", "high"), [(800, 0.6, 1.0), (250, 1.4, 2.0), (200, 1.8, 2.4)])
def test_needed_engagement_is_of_the_order_of_the_rules_of_thumb(hole: float, low: float, high: float) -> None:
    """A class 8.8 bolt: 1 D in steel of its own strength, 1.5 D in cast iron, 2 D in aluminium castings."""
    for thread in ("M6", "M8", "M10"):
        assert low < threads.needed_engagement(thread, 800, hole).diameters < high


def test_which_part_gives_way_first() -> None:
    soft = threads.stripping("M8", 8, 800, 150)
    assert soft.first == "the hole's thread strips"
    assert soft.at == soft.hole_strips < soft.bolt_breaks
    deep = threads.stripping("M8", 20, 800, 250)
    assert deep.first == "the bolt breaks"
    assert deep.at == pytest.approx(36.6 * 800, rel=1e-3)
    short = threads.stripping("M8", 3, 800, 900)
    assert short.first == "the bolt's thread strips"


@pytest.mark.published("ISO 898-1: stress area of M8 is 36.6 mm2")
@pytest.mark.parametrize(
    ("engagement", "bolt", "hole", "first"),
    [
        (20, 800, 900, "the bolt breaks"),
        (3, 800, 900, "the bolt's thread strips"),
        (8, 800, 100, "the hole's thread strips"),
    ],
)
def test_only_a_thread_that_strips_is_cautioned_against(
    engagement: float, bolt: float, hole: float, first: str
) -> None:
    """Which of three pulls is the least is seen by eye: 20 mm of M8 in steel holds more than the bolt's 36.6 mm2 * 800 MPa;
    3 mm do not; and 8 mm in metal of 100 MPa hold 8 mm * about 17 mm2/mm * 57.7 MPa, a quarter of the bolt.
    """
    got = threads.stripping("M8", engagement, bolt, hole)
    assert got.first == first
    pulls = {
        "the bolt breaks": got.bolt_breaks,
        "the bolt's thread strips": got.bolt_strips,
        "the hole's thread strips": got.hole_strips,
    }
    assert float(got.at) == min(map(float, pulls.values())) == float(pulls[first])
    assert len(got.cautions) == (0 if first == "the bolt breaks" else 1)


def test_whitworth_flanks_enter_the_areas() -> None:
    """At basic sizes gap = P/2 h...: ASn = pi Le D (1/2 + tan 27.5 * 0.640327)."""
    got = threads.shear_areas("3/8-16 BSW", 10)
    assert got.hole == pytest.approx(math.pi * 10 * 9.525 * (0.5 + math.tan(math.radians(27.5)) * 0.640327), rel=1e-6)
    assert "basic sizes" in got.notes[0]


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: threads.bolt_shear_area(8, 1.25, 8.5, 7.042), "does not reach into it"),
        (lambda: threads.hole_shear_area(8, 1.25, 6.0, 7.348), "does not reach into the hole's"),
        (lambda: threads.shear_areas("M8", 1), "less than one pitch"),
        (lambda: threads.shear_areas("M8", 0), "'engagement' is 0"),
        (lambda: threads.stripping("M8", 8, -800, 200), "'bolt_tensile' is -800"),
        (lambda: threads.stripping("M8", "8 N", 800, 200), "length is wanted"),
        (lambda: threads.needed_engagement("M8", 800, 0), "'hole_tensile' is 0"),
        (lambda: threads.stripping("M8", 8, 800, 200, 0.9), "'shear_share' is 0.9"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]


@settings(deadline=None)
@given(name=st.sampled_from(LIMITED), bolt=st.floats(300, 1300), hole=st.floats(80, 1300))
def test_needed_engagement_is_enough(name: str, bolt: float, hole: float) -> None:
    """Forward and back: at the needed engagement nothing strips below the pull that breaks the bolt.

    The needed engagement counts shear strength as half the tensile strength; so does this check.
    """
    needed = threads.needed_engagement(name, bolt, hole).needed
    if needed < threads.basic_sizes(name).pitch:
        return
    got = threads.stripping(name, needed, bolt, hole, 0.5)
    assert (
        min(got.bolt_strips, got.hole_strips) == pytest.approx(got.bolt_breaks, rel=1e-9)
        or got.first == "the bolt breaks"
    )
    assert min(got.bolt_strips, got.hole_strips) >= got.bolt_breaks * (1 - 1e-9)


@settings(deadline=None)
@given(name=st.sampled_from(LIMITED), engagement=st.floats(5, 40))
def test_areas_are_the_same_in_inches(name: str, engagement: float) -> None:
    mm = threads.shear_areas(name, f"{engagement:.6f} mm")
    inch = threads.shear_areas(name, f"{engagement / 25.4:.10f} in")
    assert mm.bolt == pytest.approx(inch.bolt, rel=1e-6)
    assert mm.hole == pytest.approx(inch.hole, rel=1e-6)


def test_a_thread_that_strips_first_is_warned_of_and_a_bolt_that_breaks_first_is_not() -> None:
    assert "does not" in threads.stripping("M8", 3, 800, 900).texts("cautions")[0]
    assert threads.stripping("M8", 20, 800, 900).texts("cautions") == ()
