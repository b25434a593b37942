"""Basic sizes and stress areas against the printed tables."""

from __future__ import annotations

import pytest

from restonb.formulas import threads
from restonb.quantity import read_thread, standard_threads

MM = 25.4


@pytest.mark.published("ISO 724 basic dimensions")
@pytest.mark.parametrize(
    ("thread", "d2", "d1"),
    [
        ("M8", 7.188, 6.647),
        ("M10", 9.026, None),
        ("M6", None, 4.917),
        ("M14x1.25", 13.188, 12.647),
        ("M12", 10.863, 10.106),
    ],
)
def test_metric_basic_sizes(thread: str, d2: float | None, d1: float | None) -> None:
    got = threads.basic_sizes(thread)
    if d2 is not None:
        assert got.pitch_diameter == pytest.approx(d2, abs=0.0006)
    if d1 is not None:
        assert got.minor == pytest.approx(d1, abs=0.0006)


@pytest.mark.recalled("DIN 13-1: M10 d3 basic 8.160 mm, h3 0.920 mm")
def test_root_of_m10() -> None:
    got = threads.basic_sizes("M10")
    assert got.root == pytest.approx(8.160, abs=0.0006)
    assert got.depth == pytest.approx(0.920, abs=0.0006)


@pytest.mark.published("BS 84 basic sizes")
@pytest.mark.parametrize(
    ("thread", "effective", "minor"),
    [
        ("1/4-20 BSW", 0.2180, 0.1860),
        ("3/8-16 BSW", 0.3350, 0.2950),
        ("5/16-18 BSW", 0.2769, 0.2414),
        ("1/2-12 BSW", 0.4466, 0.3933),  # one printing has 0.4467
        ("5/8-11 BSW", 0.5668, 0.5086),
    ],
)
def test_whitworth_sizes(thread: str, effective: float, minor: float) -> None:
    got = threads.basic_sizes(thread)
    assert got.pitch_diameter / MM == pytest.approx(effective, abs=6e-5)
    assert got.minor / MM == pytest.approx(minor, abs=1.1e-4)
    assert got.angle == 55


@pytest.mark.recalled("BS 84 basic sizes of the fine series")
@pytest.mark.parametrize(
    ("thread", "effective", "minor"), [("5/16-22 BSF", 0.2834, 0.2543), ("1/2-16 BSF", 0.4600, 0.4200)]
)
def test_whitworth_fine_sizes(thread: str, effective: float, minor: float) -> None:
    got = threads.basic_sizes(thread)
    assert got.pitch_diameter / MM == pytest.approx(effective, abs=6e-5)
    assert got.minor / MM == pytest.approx(minor, abs=1.1e-4)


@pytest.mark.published("BS 811, minor diameters as printed in cycle thread tables")
@pytest.mark.parametrize(
    ("thread", "minor"),
    [
        ("1/4-26 BSCyc", 0.209), ("5/16-26 BSCyc", 0.2715),
        ("7/32-26 BSCyc", 0.178), ("9/32-26 BSCyc", 0.240), ("7/16-26 BSCyc", 0.397), ("1/2-26 BSCyc", 0.459),
        ("9/16-26 BSCyc", 0.522), ("5/8-26 BSCyc", 0.584),
        ("7/16-20 BSCyc", 0.384), ("1/2-20 BSCyc", 0.447), ("9/16-20 BSCyc", 0.509), ("5/8-20 BSCyc", 0.572),
        ("1/8-40 BSCyc", 0.098), ("5/32-32 BSCyc", 0.123), ("3/16-32 BSCyc", 0.154),
    ],
)  # fmt: skip
def test_cycle_minor_diameters(thread: str, minor: float) -> None:
    digits = 4 if round(minor, 3) != minor else 3
    assert threads.basic_sizes(thread).minor / MM == pytest.approx(minor, abs=0.6 * 10**-digits)


@pytest.mark.recalled("BS 93: depth 0.6 P, angle 47.5 degrees")
def test_ba_form() -> None:
    got = threads.basic_sizes("0BA")
    assert got.depth == pytest.approx(0.6)
    assert got.angle == 47.5


@pytest.mark.published("ISO 898-1:2013, nominal stress area of the coarse series")
@pytest.mark.parametrize(
    ("thread", "area"),
    [("M3", 5.03), ("M4", 8.78), ("M5", 14.2), ("M6", 20.1), ("M8", 36.6), ("M10", 58.0), ("M12", 84.3)],
)
def test_metric_stress_area(thread: str, area: float) -> None:
    assert float(threads.stress_area(thread)) == pytest.approx(area, rel=0.004)  # printed to three figures


@pytest.mark.recalled("ISO 898-1:2013, nominal stress area of the fine series")
@pytest.mark.parametrize(("thread", "area"), [("M8x1", 39.2), ("M10x1.25", 61.2)])
def test_metric_fine_stress_area(thread: str, area: float) -> None:
    assert float(threads.stress_area(thread)) == pytest.approx(area, rel=0.004)


@pytest.mark.published("ASME B1.1 and FED-STD-H28, tensile stress area")
@pytest.mark.parametrize(
    ("thread", "area"),
    [
        ("1/4-20 UNC", 0.0318),
        ("1/4-28 UNF", 0.0364),
        ("5/16-18 UNC", 0.0524),
        ("3/8-16 UNC", 0.0775),
        ("1/2-13 UNC", 0.1419),
    ],
)
def test_unified_stress_area(thread: str, area: float) -> None:
    assert threads.stress_area(thread).to("in2") == pytest.approx(area, abs=6e-5)


@pytest.mark.parametrize("thread", standard_threads(), ids=str)
def test_every_listed_thread_has_a_sound_form(thread: object) -> None:
    """Root below minor or equal, below pitch, below major; and the stress area lies between root and pitch circle."""
    one = read_thread(str(thread))
    got = threads.basic_sizes(one)
    assert 0 < got.root <= got.minor < got.pitch_diameter < got.major
    area = float(threads.stress_area(one))
    assert 0.7854 * got.root**2 < area < 0.7854 * got.pitch_diameter**2
