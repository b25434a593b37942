"""Threads by their trade names, and the names that must not be guessed."""

from __future__ import annotations

import pytest

from restonb.errors import QuantityError
from restonb.quantity import read_thread, standard_threads

MM = 25.4


@pytest.mark.parametrize(
    ("text", "series", "major", "pitch", "tpi", "full"),
    [
        ("3/8-16 UNC", "UNC", 9.525, MM / 16, 16, "3/8-16 UNC"),
        ("1/4-28 UNF", "UNF", 6.35, MM / 28, 28, "1/4-28 UNF"),
        ("#10-24 UNC", "UNC", 4.826, MM / 24, 24, "#10-24 UNC"),
        ("No.10-32", "UNF", 4.826, MM / 32, 32, "#10-32 UNF"),
        ("No 10-32 UNF", "UNF", 4.826, MM / 32, 32, "#10-32 UNF"),
        ("M8", "M", 8.0, 1.25, None, "M8x1.25"),
        ("M8x1.25", "M", 8.0, 1.25, None, "M8x1.25"),
        ("M8×1", "M", 8.0, 1.0, None, "M8x1"),
        ("m10 x 1.25", "M", 10.0, 1.25, None, "M10x1.25"),
        ("M26x1.5", "M", 26.0, 1.5, None, "M26x1.5"),
        ("1/4-26 BSCyc", "BSCyc", 6.35, MM / 26, 26, "1/4-26 BSCyc"),
        ("1/4 CEI", "BSCyc", 6.35, MM / 26, 26, "1/4-26 BSCyc"),
        ("5/16-22 BSF", "BSF", 7.9375, MM / 22, 22, "5/16-22 BSF"),
        ("1/2-12 BSW", "BSW", 12.7, MM / 12, 12, "1/2-12 BSW"),
        ("1/2 Whitworth", "BSW", 12.7, MM / 12, 12, "1/2-12 BSW"),
        ("BSF 5/16", "BSF", 7.9375, MM / 22, 22, "5/16-22 BSF"),
        ("1/2-13", "UNC", 12.7, MM / 13, 13, "1/2-13 UNC"),
        ("3/8 in UNF", "UNF", 9.525, MM / 24, 24, "3/8-24 UNF"),
        ('3/8" x 24 tpi UNF', "UNF", 9.525, MM / 24, 24, "3/8-24 UNF"),
        ("⅜-16 UNC", "UNC", 9.525, MM / 16, 16, "3/8-16 UNC"),
        (".375-16 UNC", "UNC", 9.525, MM / 16, 16, "3/8-16 UNC"),
        ("1-8 UNC", "UNC", 25.4, MM / 8, 8, "1-8 UNC"),
        ("3/8-20 UN", "UN", 9.525, MM / 20, 20, "3/8-20 UN"),
        ("3/8-16 UN", "UNC", 9.525, MM / 16, 16, "3/8-16 UNC"),
        ("2BA", "BA", 4.7, 0.81, None, "2BA"),
        ("BA 2", "BA", 4.7, 0.81, None, "2BA"),
        ("G 1/8", "G", 9.728, MM / 28, 28, "G 1/8"),
        ("G1/4-19", "G", 13.157, MM / 19, 19, "G 1/4"),
    ],
)
def test_read_thread(text: str, series: str, major: float, pitch: float, tpi: float | None, full: str) -> None:
    got = read_thread(text)
    assert (got.series, got.major, got.pitch, got.tpi, got.text) == (series, major, pytest.approx(pitch), tpi, full)


def test_hand_and_class_are_kept_apart_from_the_size() -> None:
    got = read_thread("9/16-20 BSCyc LH")
    assert got.left
    assert str(got) == "9/16-20 BSCyc-LH"
    assert not read_thread("9/16-20 BSCyc RH").left
    assert read_thread("3/8-16 UNC-2B").fit == "2B"
    assert read_thread("M8x1.25-6H").fit == "6H"
    assert read_thread("M8x1.25 - 6g LH") == read_thread("M8x1.25-6g-LH")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("3/8-16", "could be more than one thread: write 3/8-16 UNC or 3/8-16 BSW"),
        ("1/4-20", "write 1/4-20 UNC or 1/4-20 BSW"),
        ("1/4-26", "write 1/4-26 BSF or 1/4-26 BSCyc"),
        ("1/2 BSCyc", "write 1/2-26 BSCyc or 1/2-20 BSCyc"),
        ("1/4", "could be more than one thread"),
        ("3/8-18 UNC", "is not in the list: write 3/8-16 UNC"),
        ("1/2-13 BSW", "write 1/2-12 BSW"),
        ("1/8-27 NPT", "NPT threads are not in the list"),
        ("1/8 BSPT", "BSPT threads are not in the list"),
        ("3/8-16 ABC", "'ABC' is not a series"),
        ("M13", "no standard pitch: write the pitch too"),
        ("M8x3", r"not a metric thread: write M8x1\.25, M8x1, M8x0\.75"),
        ("M8x1.3", "not a metric thread"),
        ("M8x1,25", r"decimal comma: write 'M8x1\.25'"),
        ("M8x1.25x30", "has a length too"),
        ("M0", "no standard pitch"),
        ("12BA", "write one of 0BA"),
        ("G 1/8-20", "has 28 to the inch"),
        ("G 7/8", "write one of G 1/8"),
        ("#99-5 UNC", "not a listed size"),
        ("1/0-20 UNC", "divides by zero"),
        ("3/8-2 UN", "not a unified thread"),
        ("0.25 mm", "'MM' is not a series"),
        ("gearbox", "not a thread: write for example 'M8x1.25'"),
        ("", "nothing was typed"),
        ("x" * 200, "too long"),
    ],
)
def test_refused_by_name(text: str, says: str) -> None:
    with pytest.raises(QuantityError, match=says):
        read_thread(text)


@pytest.mark.parametrize("thread", standard_threads(), ids=str)
def test_full_name_reads_back(thread: object) -> None:
    assert read_thread(str(thread)) == thread


# the trap of the trade: one turn of a 1/2 in bolt goes in, then it binds
@pytest.mark.published("ASME B1.1 and BS 84: 1/2 UNC has 13, 1/2 BSW has 12 threads per inch")
def test_half_inch_trap() -> None:
    assert read_thread("1/2 UNC").tpi == 13
    assert read_thread("1/2 BSW").tpi == 12
    assert (read_thread("1/2 UNC").angle, read_thread("1/2 BSW").angle) == (60.0, 55.0)


@pytest.mark.published("BS 84: threads per inch of the BSW and BSF series")
@pytest.mark.parametrize(
    ("series", "tpi"),
    [
        ("BSW", {"1/8": 40, "3/16": 24, "1/4": 20, "5/16": 18, "3/8": 16, "7/16": 14, "1/2": 12, "9/16": 12, "5/8": 11,
                 "3/4": 10, "7/8": 9, "1": 8}),
        ("BSF", {"3/16": 32, "7/32": 28, "1/4": 26, "9/32": 26, "5/16": 22, "3/8": 20, "7/16": 18, "1/2": 16, "9/16": 16,
                 "5/8": 14, "3/4": 12, "7/8": 11, "1": 10}),
    ],
)  # fmt: skip
def test_whitworth_series(series: str, tpi: dict[str, int]) -> None:
    assert {one.text.split("-")[0]: one.tpi for one in standard_threads(series)} == tpi


@pytest.mark.recalled("ISO 261: no pitch of a size is listed twice, the coarse one first")
def test_coarse_pitch_comes_first() -> None:
    seen: dict[float, list[float]] = {}
    for one in standard_threads("M"):
        seen.setdefault(one.major, []).append(one.pitch)
    for major, pitches in seen.items():
        assert pitches == sorted(set(pitches), reverse=True), major


@pytest.mark.recalled("BS 93: P = 0.9^n mm and D = 6 P^1.2 mm, rounded to two figures")
@pytest.mark.parametrize("thread", standard_threads("BA"), ids=str)
def test_ba_sizes_follow_their_formula(thread: object) -> None:
    number = int(str(thread).removesuffix("BA"))
    exact = 0.9**number
    assert read_thread(str(thread)).pitch == pytest.approx(exact, abs=0.0051)
    assert read_thread(str(thread)).major == pytest.approx(6 * exact**1.2, abs=0.051)


@pytest.mark.recalled("ASME B1.1: a numbered size n is 0.060 + 0.013 n inches")
def test_numbered_sizes() -> None:
    for one in standard_threads("UNF"):
        if one.text.startswith("#"):
            number = int(one.text[1:].split("-")[0])
            assert one.major == pytest.approx((0.060 + 0.013 * number) * MM, rel=1e-12)
