"""Colours that colour-blind readers and grey print keep apart, held against the published formulas."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest

from restonb import charts
from restonb.charts import _look

OKABE_ITO = {
    "ORANGE": (230, 159, 0), "SKY": (86, 180, 233), "GREEN": (0, 158, 115), "YELLOW": (240, 228, 66),
    "BLUE": (0, 114, 178), "VERMILLION": (213, 94, 0), "PURPLE": (204, 121, 167),
}  # fmt: skip

DEUTERANOPIA = np.array(
    [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
)
PROTANOPIA = np.array(
    [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
)
"""Machado, Oliveira, Fernandes (2009), severity 1.0, on linear RGB."""


def rgb(colour: str) -> np.ndarray:
    return np.array([int(colour[n : n + 2], 16) for n in (1, 3, 5)]) / 255


def linear(colour: str) -> np.ndarray:
    c = rgb(colour)
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    return float(linear(colour) @ [0.2126, 0.7152, 0.0722])


def contrast(a: str, b: str) -> float:
    """Contrast ratio, WCAG 2.1: (L1 + 0.05) / (L2 + 0.05)."""
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def lab(linear_rgb: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b* under D65."""
    m = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    t = m @ np.clip(linear_rgb, 0, 1) / np.array([0.9505, 1.0, 1.089])
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.published("WCAG 2.1, definition of contrast ratio: ranges from 1 to 21")
def test_the_formula_reaches_its_published_ends() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == 1.0


@pytest.mark.recalled("Okabe, Ito: Color Universal Design, 2008, the set of eight colours")
def test_the_palette_is_the_one_it_claims_to_be() -> None:
    for name, colour in OKABE_ITO.items():
        assert tuple(int(v) for v in np.round(rgb(getattr(_look, name)) * 255)) == colour


@pytest.mark.published("WCAG 2.1, 1.4.3 contrast (minimum): 4.5 for text; 1.4.11 non-text contrast: 3")
def test_text_and_shapes_stand_out_from_everything_they_lie_on() -> None:
    grounds = [_look.PAPER, _look.TRACK, _look.ZONE, _look.WEAR, *_look.TINTS.values()]
    for ground in grounds:
        assert contrast(_look.INK, ground) >= 7
        assert contrast(_look.MUTED, ground) >= 4.5
        for mark in _look.MARKS.values():
            assert contrast(mark.edge, ground) >= 3
    assert contrast(_look.RULE, _look.PAPER) >= 3


@pytest.mark.practice
def test_no_two_verdicts_share_a_shape_or_a_grey() -> None:
    marks = [_look.mark_of(word) for word in _look.WORST_FIRST]
    assert len({m.shape for m in marks}) == len(marks)
    judged = [_look.MARKS[w].face for w in ("inside", "too close to call", "outside", "not measured")]
    for a, b in combinations(judged, 2):
        assert contrast(a, b) > 1.2, (a, b)


@pytest.mark.recalled("Machado, Oliveira, Fernandes: A physiologically-based model ..., IEEE TVCG 15 (2009), table 1")
@pytest.mark.parametrize("seen", [DEUTERANOPIA, PROTANOPIA], ids=["deuteranopia", "protanopia"])
def test_verdict_colours_stay_apart_for_colour_blind_readers(seen: np.ndarray) -> None:
    faces = [_look.MARKS[w].face for w in ("inside", "too close to call", "outside", "not measured")]
    for a, b in combinations(faces, 2):
        difference = np.linalg.norm(lab(seen @ linear(a)) - lab(seen @ linear(b)))
        assert difference > 15, (a, b, difference)


@pytest.mark.practice
def test_the_smallest_type_is_legible_at_700_pixels(look: Any, four_feet: list[dict[str, Any]]) -> None:
    figure = charts.tolerance_bars(four_feet)
    assert figure.get_size_inches()[0] * 100 == pytest.approx(700)
    smallest = min(t.get_size() for a in figure.axes for t in a.texts)
    assert smallest * 100 / 72 >= 11
    grey = look.pixels(figure) @ [0.2126, 0.7152, 0.0722]
    assert grey.min() < 0.2
    assert grey.max() == pytest.approx(1.0)
