"""Limiting sizes against printed limits."""

from __future__ import annotations

import itertools
import math

import pytest

from restonb.errors import FormulaError
from restonb.formulas import threads
from restonb.formulas._tables import rows
from restonb.quantity import standard_threads

MM = 25.4


@pytest.mark.published("ISO 965-2, limits of sizes 6g")
@pytest.mark.parametrize(
    ("thread", "d_max", "d_min", "d2_max", "d2_min"),
    [
        ("M6", 5.974, 5.794, 5.324, 5.212),
        ("M7", 6.974, 6.794, 6.324, 6.212),
        ("M8", 7.972, 7.760, 7.160, 7.042),
        ("M8x1", 7.974, 7.794, 7.324, 7.212),
        ("M10x1.25", 9.972, 9.760, 9.160, 9.042),
    ],
)
def test_bolt_6g(thread: str, d_max: float, d_min: float, d2_max: float, d2_min: float) -> None:
    got = threads.limiting_sizes(thread)
    # the standard rounds to 1 um
    assert got.bolt_major_max == pytest.approx(d_max, abs=0.0011)
    assert got.bolt_major_min == pytest.approx(d_min, abs=0.0011)
    assert got.bolt_pitch_max == pytest.approx(d2_max, abs=0.0011)
    assert got.bolt_pitch_min == pytest.approx(d2_min, abs=0.0011)


@pytest.mark.published("ISO 965-2, limits of sizes 6H")
@pytest.mark.parametrize(
    ("thread", "d2_max", "d1_max"),
    [
        ("M6", 5.500, 5.153), ("M7", 6.500, 6.153), ("M8", 7.348, 6.912), ("M8x1", 7.500, 7.153), ("M10x1.25", 9.348, 8.912),
        ("M12", 11.063, 10.441), ("M14x1.25", 13.358, 12.912),
    ],
)  # fmt: skip
def test_hole_6h(thread: str, d2_max: float, d1_max: float) -> None:
    got = threads.limiting_sizes(thread)
    assert got.hole_pitch_max == pytest.approx(d2_max, abs=0.0011)
    assert got.hole_minor_max == pytest.approx(d1_max, abs=0.0011)


@pytest.mark.recalled("ISO 965-2, limits of sizes 6g/6H")
@pytest.mark.parametrize(
    ("thread", "bolt", "hole"),
    [
        ("M3", (2.980, 2.874, 2.655, 2.580), (2.775, 2.599)),
        ("M5", (4.976, 4.826, 4.456, 4.361), (4.605, 4.334)),
        ("M10", (9.968, 9.732, 8.994, 8.862), (9.206, 8.676)),
        ("M12x1.5", (11.968, 11.732, 10.994, 10.854), (11.216, 10.676)),
        ("M16", (15.962, 15.682, 14.663, 14.503), (14.913, 14.210)),
    ],
)
def test_recalled_6g_6h(thread: str, bolt: tuple[float, ...], hole: tuple[float, ...]) -> None:
    got = threads.limiting_sizes(thread)
    assert (got.bolt_major_max, got.bolt_major_min, got.bolt_pitch_max, got.bolt_pitch_min) == bolt
    assert (got.hole_pitch_max, got.hole_minor_max) == hole
    assert "recalled" in got.notes[0]


PRINTED = rows("restonb.formulas.threads", "limits_iso.csv")


@pytest.mark.published("ISO 965-1, formulas of the tolerances: the printed limits are these, rounded")
@pytest.mark.parametrize("row", PRINTED, ids=[row["thread"] for row in PRINTED])
def test_printed_limits_follow_the_formulas_of_the_standard(row: dict[str, str]) -> None:
    """The formulas, written out again here: every printed limit is within 10 um of them; rounding is by R40."""
    d, p = (float(x) for x in row["thread"][1:].split("x"))
    steps = (2.8, 5.6, 11.2, 22.4)
    middle = next(math.sqrt(a * b) for a, b in itertools.pairwise(steps) if a < d <= b)
    es, td2 = 15 + 11 * p, 90 * p**0.4 * middle**0.1
    td, td1 = 180 * p ** (2 / 3) - 3.15 / p**0.5, 230 * p**0.7 if p >= 1 else 433 * p - 190 * p**1.22
    d2, d1 = d - 0.649519 * p, d - 1.082532 * p
    by_formula = {
        "d_max": d - es / 1000,
        "d_min": d - (es + td) / 1000,
        "d2_max": d2 - es / 1000,
        "d2_min": d2 - (es + td2) / 1000,
        "D2_max": d2 + 1.32 * td2 / 1000,
        "D1_max": d1 + td1 / 1000,
    }
    for size, value in by_formula.items():
        if row[size]:
            assert float(row[size]) == pytest.approx(value, abs=0.0095), size


@pytest.mark.recalled("ISO 965-2: sizes that the table leaves to the formulas, M6x0.75 and M20")
def test_sizes_without_a_print_come_from_the_formulas_and_say_so() -> None:
    got = threads.limiting_sizes("M20")
    assert got.bolt_pitch_max == pytest.approx(18.334, abs=0.0095)
    assert got.bolt_pitch_min == pytest.approx(18.164, abs=0.0095)
    assert got.hole_pitch_max == pytest.approx(18.600, abs=0.0095)
    assert got.hole_minor_max == pytest.approx(17.744, abs=0.0145)
    assert "from the formulas" in got.notes[0]
    fine = threads.limiting_sizes("M6x0.75")
    assert fine.hole_minor_max == pytest.approx(5.378, abs=0.0095)
    assert "all else from the formulas" in threads.limiting_sizes("M14x1.25").notes[1]


@pytest.mark.recalled("DIN 13-20, limits of 6g: M10 d3 from 7.938 to 8.128 mm")
def test_m10_root_follows_from_the_6g_pitch_diameter() -> None:
    """d3 max = d2 max - (d2 - d3): 9.026 - 0.032 - 0.866 = 8.128."""
    got, basic = threads.limiting_sizes("M10"), threads.basic_sizes("M10")
    assert got.bolt_pitch_max - (basic.pitch_diameter - basic.root) == pytest.approx(8.128, abs=0.0011)


@pytest.mark.recalled("ASME B1.1: special pitches are toleranced for an engagement of 9 threads")
def test_special_pitch_by_hand() -> None:
    """3/8-20 UN: 0.0015 * 0.375^(1/3) + 0.0015 sqrt(0.45) + 0.015 * 0.05^(2/3) = 0.0041; allowance 0.0012."""
    got = threads.limiting_sizes("3/8-20 UN")
    assert (got.bolt_pitch_max - got.bolt_pitch_min) / MM == pytest.approx(0.0041, abs=1e-9)
    assert got.bolt_major_max / MM == pytest.approx(0.3738, abs=1e-9)


@pytest.mark.published("ASME B1.1, class 2B: largest pitch and minor diameter")
@pytest.mark.parametrize(
    ("thread", "pitch_max", "minor_max"),
    [("5/16-18 UNC", 0.2817, 0.265), ("3/8-16 UNC", 0.3401, 0.321), ("7/16-14 UNC", 0.3972, 0.376)],
)
def test_hole_2b(thread: str, pitch_max: float, minor_max: float) -> None:
    got = threads.limiting_sizes(thread)
    assert got.hole_pitch_max / MM == pytest.approx(pitch_max, abs=1e-9)
    assert got.hole_minor_max / MM == pytest.approx(minor_max, abs=1e-9)


@pytest.mark.recalled("ASME B1.1, classes 2A and 2B as printed in handbooks")
@pytest.mark.parametrize(
    ("thread", "bolt_pitch", "hole_minor"),
    [
        ("#10-24 UNC", (0.1619, 0.1586), (0.145, 0.156)), ("#10-32 UNF", (0.1688, 0.1658), (0.156, 0.164)),
        ("1/4-20 UNC", (0.2164, 0.2127), (0.196, 0.207)), ("1/4-28 UNF", (0.2258, 0.2225), (0.211, 0.220)),
        ("3/8-24 UNF", (0.3468, 0.3430), (0.330, 0.340)), ("1/2-13 UNC", (0.4485, 0.4435), (0.417, 0.434)),
        ("1/2-20 UNF", (0.4662, 0.4619), (0.446, 0.457)),
    ],
)  # fmt: skip
def test_printed_2a_2b(thread: str, bolt_pitch: tuple[float, float], hole_minor: tuple[float, float]) -> None:
    got = threads.limiting_sizes(thread)
    assert (got.bolt_pitch_max / MM, got.bolt_pitch_min / MM) == pytest.approx(bolt_pitch, abs=1e-9)
    assert (got.hole_minor_min / MM, got.hole_minor_max / MM) == pytest.approx(hole_minor, abs=1e-9)


def limited() -> list[str]:
    return [
        one.text for one in standard_threads()
        if (one.series == "M" and one.major >= 3 and one.pitch >= 0.5) or one.series in ("UNC", "UNF")
    ]  # fmt: skip


@pytest.mark.parametrize("thread", limited())
def test_bolt_and_hole_always_go_together(thread: str) -> None:
    """A largest bolt enters a smallest hole, and a smallest bolt still engages a largest hole."""
    got, basic = threads.limiting_sizes(thread), threads.basic_sizes(thread)
    assert got.bolt_major_min < got.bolt_major_max < basic.major
    assert got.bolt_pitch_min < got.bolt_pitch_max < got.hole_pitch_min < got.hole_pitch_max
    assert got.hole_minor_min < got.hole_minor_max < got.bolt_major_min


@pytest.mark.parametrize(
    ("thread", "says"),
    [
        ("1/2 BSW", "limits of BSW threads are not at hand"),
        ("1/4 BSCyc", "limits of BSCyc threads are not at hand"),
        ("M2", r"'pitch' is 0\.4 mm; it holds from 0\.5 to 4 mm and is not extrapolated"),
        ("M100x2", "'thread diameter' is 100 mm"),
        ("M36x4", None),
    ],
)
def test_nothing_is_extrapolated(thread: str, says: str | None) -> None:
    if says is None:
        assert threads.limiting_sizes(thread).fit == "6g/6H"
    else:
        with pytest.raises(FormulaError, match=says):
            threads.limiting_sizes(thread)


@pytest.mark.recalled("ISO 965-1, table of the tolerance TD1 of the hole's minor diameter, grade 6")
@pytest.mark.parametrize(
    ("thread", "micrometres"), [("M26x1.5", 300), ("M15x1.5", 300), ("M42x2", 375), ("M50x3", 500)]
)
def test_holes_that_no_print_lists_have_the_tabled_tolerance(thread: str, micrometres: float) -> None:
    got = threads.limiting_sizes(thread)
    assert "from the formulas" in got.notes[0]
    assert 1000 * (got.hole_minor_max - got.hole_minor_min) == pytest.approx(micrometres, rel=0.03)
