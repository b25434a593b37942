"""What thread is this? Facts of the trade: which threads start into one another."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import threads
from restonb.quantity import read_thread, standard_threads

NAMES = [one.text for one in standard_threads()]


@pytest.mark.published("ASME B1.1 and BS 84: 1/2 UNC has 13 threads per inch and 60 degrees, 1/2 BSW has 12 and 55")
def test_half_inch_trap_is_named_with_its_differences() -> None:
    got = threads.look_alikes("1/2-13 UNC")
    assert got.others == ("1/2-12 BSW",)
    assert "same diameter" in got.notes[0]
    assert "pitch 8.3% coarser" in got.notes[0]  # 13/12 - 1
    assert "out of step after 3.0 turns" in got.notes[0]  # a quarter of 1/13 over (1/12 - 1/13)
    assert "flanks 55 against 60 degrees" in got.notes[0]


@pytest.mark.published("ASME B1.1 and BS 84: 1/4 to 7/16 coarse have equal pitches, 60 against 55 degrees")
@pytest.mark.parametrize("size", ["1/4-20", "5/16-18", "3/8-16", "7/16-14"])
def test_equal_pitch_other_angle(size: str) -> None:
    assert (
        f"{size} BSW: same diameter, same pitch, flanks 55 against 60 degrees"
        in threads.look_alikes(f"{size} UNC").notes
    )


@pytest.mark.published("BS 84 and BS 811: 1/4 BSF and 1/4 cycle both have 26 threads per inch, 55 against 60 degrees")
def test_quarter_inch_of_26() -> None:
    got = threads.identify("0.248 in", tpi=26)
    assert set(got.candidates) == {"1/4-26 BSF", "1/4-26 BSCyc"}
    assert got.likeliest == "1/4-26 BSF or 1/4-26 BSCyc"
    assert any("60 and 55 degree" in caution for caution in got.cautions)


@pytest.mark.parametrize(
    ("diameter", "pitch", "tpi", "thread"),
    [
        ("7.9 mm", "1.25 mm", None, "M8x1.25"),
        ("7.85 mm", "1 mm", None, "M8x1"),
        ("0.495 in", None, 12, "1/2-12 BSW"),
        ("0.495 in", None, 13, "1/2-13 UNC"),
        ("0.310 in", None, 22, "5/16-22 BSF"),
        ("0.373 in", None, 24, "3/8-24 UNF"),
        ("0.187 in", None, 32, "#10-32 UNF or 3/16-32 BSF or 3/16-32 BSCyc"),
        ("4.65 mm", "0.81 mm", None, "2BA"),
    ],
)
def test_real_bolts(diameter: str, pitch: str | None, tpi: float | None, thread: str) -> None:
    got = threads.identify(diameter, pitch, tpi)
    assert got.likeliest in thread or got.likeliest == thread


def test_hole_is_told_by_its_bore() -> None:
    got = threads.identify("6.8 mm", "1.25 mm", part="hole")
    assert got.likeliest == "M8x1.25"


def test_diameter_alone_does_not_settle_it() -> None:
    got = threads.identify("6.3 mm")
    assert set(got.candidates) == {"1/4-20 UNC", "1/4-28 UNF", "1/4-20 BSW", "1/4-26 BSF", "1/4-26 BSCyc"}
    assert got.pitch_off is None
    assert "the diameter alone does not settle it: measure the pitch" in got.cautions


def test_refused() -> None:
    with pytest.raises(FormulaError, match="no thread of the tables has"):
        threads.identify("8 mm", "1.6 mm")
    with pytest.raises(FormulaError, match="not both"):
        threads.identify("8 mm", "1.25 mm", 20)
    with pytest.raises(FormulaError, match="'diameter' is -8"):
        threads.identify(-8)
    with pytest.raises(FormulaError, match="write one of bolt, hole"):
        threads.identify("8 mm", part="nut")


@settings(deadline=None)
@given(name=st.sampled_from(NAMES), worn=st.floats(0, 0.15), off=st.floats(-1, 1))
def test_a_slightly_worn_bolt_is_still_found(name: str, worn: float, off: float) -> None:
    one = read_thread(name)
    diameter = one.major - worn * one.pitch
    assert name in threads.identify(diameter, one.pitch * (1 + off / 100)).candidates


@settings(deadline=None)
@given(name=st.sampled_from(NAMES))
def test_identification_is_the_same_in_inches(name: str) -> None:
    one = read_thread(name)
    mm = threads.identify(f"{one.major:.6f} mm", f"{one.pitch:.6f} mm")
    inch = threads.identify(f"{one.major / 25.4:.8f} in", tpi=25.4 / one.pitch)
    assert set(mm.candidates) == set(inch.candidates)


@settings(deadline=None)
@given(name=st.sampled_from(NAMES))
def test_looking_alike_is_mutual_for_equal_diameters(name: str) -> None:
    one = read_thread(name)
    for other in threads.look_alikes(one).others:
        two = read_thread(other)
        if two.major == one.major and abs(one.pitch / two.pitch - 1) < 0.09:
            assert name in threads.look_alikes(two).others
