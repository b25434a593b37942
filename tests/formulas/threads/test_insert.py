"""Wire thread inserts and bushes: geometry, printed taps, lengths by strength."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import threads
from restonb.formulas._tables import rows
from restonb.quantity import read_thread

TAPS = rows("restonb.formulas.threads", "insert_taps.csv")
DRILLS = rows("restonb.formulas.threads", "insert_drills.csv")


@pytest.mark.parametrize(
    ("thread", "major", "pitch", "minor"),
    [("M6", 7.29904, 6.64952, 6.21651), ("M8", 9.62380, 8.81190, 8.27063), ("M10", 11.94856, 10.97428, 10.32476)],
)
def test_geometry_by_hand(thread: str, major: float, pitch: float, minor: float) -> None:
    """D + 1.299038 P, D + 0.649519 P, D + 0.216506 P."""
    got = threads.insert_hole(thread)
    assert (got.major, got.pitch_diameter, got.minor) == pytest.approx((major, pitch, minor), abs=6e-6)


@pytest.mark.published("ASME B94.9 and Machinery's Handbook 31, Tables 25 and 26a, insert taps")
@pytest.mark.parametrize("row", TAPS, ids=[row["thread"] for row in TAPS])
def test_printed_taps_are_a_little_over_the_geometry(row: dict[str, str]) -> None:
    """Over by 0.0015 to 0.0039 in the major diameter, and by less in the pitch diameter: never under."""
    got = threads.insert_hole(row["thread"])
    over = float(row["major_min"]) - got.major / 25.4
    assert 0.0012 < over < 0.0040
    if row["pitch_min"]:
        assert 0.0003 < float(row["pitch_min"]) - got.pitch_diameter / 25.4 < 0.0025
    assert row["major_min"] in (got.tap_major or "")


@pytest.mark.published("ASME B94.9 insert tap table: least major diameters")
@pytest.mark.parametrize(
    ("thread", "printed", "geometric"),
    [("#4-40 UNC", 0.1463, 0.1445), ("#10-24 UNC", 0.2465, 0.2441), ("1/4-20 UNC", 0.3177, 0.3150), ("5/16-18 UNC", 0.3874, 0.3847), ("1/2-13 UNC", 0.6032, 0.5999)],
)  # fmt: skip
def test_geometric_minimum(thread: str, printed: float, geometric: float) -> None:
    got = threads.insert_hole(thread)
    assert got.major / 25.4 == pytest.approx(geometric, abs=6e-5)
    assert f"{printed:.4f}" in (got.tap_major or "")


@pytest.mark.published("Machinery's Handbook 31, Table 26a: basic pitch diameter of the M6 insert tap is 0.2618 in")
def test_m6_basic_pitch_diameter() -> None:
    assert threads.insert_hole("M6").pitch_diameter / 25.4 == pytest.approx(0.2618, abs=6e-5)


@pytest.mark.recalled("drills commonly sold with insert taps")
@pytest.mark.parametrize("row", DRILLS, ids=[row["thread"] for row in DRILLS])
def test_chosen_drill_is_one_that_is_sold(row: dict[str, str]) -> None:
    low, high = (float(x) for x in row["drills"].removesuffix(" mm").split(" to "))
    got = threads.insert_hole(row["thread"])
    assert low <= got.drill_diameter <= high
    assert got.minor < got.drill_diameter


def test_length_by_hand() -> None:
    """M8 of class 8.8 in metal of 180 MPa: 36.61 * 800 / (0.577 * 180 * pi * 9.6238 * 0.875 * 0.8) = 13.3 mm: 2 D."""
    got = threads.insert_length("M8", 800, 180)
    assert got.needed == pytest.approx(36.61 * 800 / (0.577 * 180 * 3.14159 * 9.6238 * 0.875 * 0.8), rel=1e-3)
    assert (got.length, got.diameters, got.strong_enough) == (16, 2, True)
    weak = threads.insert_length("M8", 1220, 60)
    assert (weak.diameters, weak.strong_enough) == (3, False)
    assert "strips before this bolt breaks" in weak.cautions[0]


@pytest.mark.practice
@pytest.mark.parametrize(("thread", "outside"), [("M6", "M10x1.25"), ("M8", "M12x1.5"), ("M10", "M14x1.5")])
def test_bush_is_two_sizes_up(thread: str, outside: str) -> None:
    got = threads.bush_choice(thread)
    assert got.outside == outside
    assert got.wall >= 1.0


def test_bush_wall_by_hand() -> None:
    """M12x1.5 round M8: (12 - 1.226869 * 1.5 - 8)/2 = 1.0798 mm."""
    assert threads.bush_choice("M8").wall == pytest.approx(1.0798, abs=6e-5)
    assert threads.bush_choice("M8", least_wall=1.5).outside == "M14x1.5"


@pytest.mark.parametrize(
    ("thread", "major", "minor"),
    [("1/4-20 BSW", 7.97643, 6.35), ("5/16-22 BSF", 9.41607, 7.9375), ("1/4-26 BSCyc", 7.39081, 6.35)],
)
def test_british_inserts_by_hand_and_marked_as_reasoned(thread: str, major: float, minor: float) -> None:
    """Whitworth: D + 2 x 0.640327 P outside, and D at the crests, since the form is as deep on both sides of its pitch line;
    cycle thread: 0.5327 P in place of 0.640327 P."""
    got = threads.insert_hole(thread)
    assert (got.major, got.minor) == pytest.approx((major, minor), abs=6e-6)
    assert any("no printed table is at hand" in caution for caution in got.cautions)
    assert got.drill_diameter > got.minor


def test_a_whitworth_insert_holds_by_its_own_flanks() -> None:
    """Area per mm: pi x major x (1/2 + tan 27.5 x 0.640327) x 0.8; 0.577 x 180 MPa; 1/4-20 BSW."""
    got = threads.insert_length("1/4-20 BSW", 695, 180)
    area = 3.14159265 * 7.97643 * (0.5 + 0.5205671 * 0.640327) * 0.8
    assert got.parent_strips / got.length == pytest.approx(0.577 * 180 * area, rel=1e-6)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: threads.insert_hole("2 BA"), "geometry of inserts for BA threads is not at hand"),
        (lambda: threads.insert_length("2 BA", 800, 200), "or take a solid bush"),
        (lambda: threads.insert_length("M8", 800, 200, 0.1), "'share' is 0.1"),
        (lambda: threads.bush_choice("M36"), "leaves 1 mm of wall round M36"),
        (lambda: threads.bush_choice("M8", "wood"), "write one of M fine"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]


@settings(deadline=None)
@given(thread=st.sampled_from([row["thread"] for row in TAPS]))
def test_insert_gives_back_the_bolts_own_thread(thread: str) -> None:
    """Forward and back: the hole less two wires of 0.649519 P is the bolt's thread again."""
    one, got = read_thread(thread), threads.insert_hole(thread)
    assert got.major - 2 * 0.649519 * one.pitch == pytest.approx(one.major, abs=2e-5)
    assert got.pitch_diameter - 2 * 0.649519 * one.pitch == pytest.approx(
        threads.basic_sizes(one).pitch_diameter, abs=2e-5
    )
    assert got.minor - 2 * 0.649519 * one.pitch == pytest.approx(threads.basic_sizes(one).minor, abs=2e-5)


@pytest.mark.recalled("drill charts for wire thread insert taps, UNC, coarse end")
@pytest.mark.parametrize(
    ("thread", "drill"),
    [("1/2-13 UNC", "17/32 in"), ("9/16-12 UNC", "19/32 in"), ("5/8-11 UNC", "21/32 in"), ("3/4-10 UNC", "25/32 in")],
)
def test_a_coarse_insert_takes_the_next_drill_of_the_box(thread: str, drill: str) -> None:
    assert str(threads.insert_hole(thread).drill) == drill
