"""How charts look: one palette, one shape and one word per verdict, and the settings of matplotlib.

Colours are those of Okabe and Ito, 'Color Universal Design' (2008), chosen to be told apart by colour-blind
readers. They never stand alone: each verdict also has its own shape, and its word is written beside it.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from threading import RLock
from typing import Any

import matplotlib

BLUE = "#0072B2"
VERMILLION = "#D55E00"
ORANGE = "#E69F00"
GREEN = "#009E73"
SKY = "#56B4E9"
PURPLE = "#CC79A7"
YELLOW = "#F0E442"

INK = "#1A1A1A"
"""Text, outlines and limits."""
MUTED = "#4A4A4A"
"""Text of the second rank."""
RULE = "#8C8C8C"
"""Axes and connecting lines."""
TRACK = "#F3F3F3"
"""The ground of a row."""
ZONE = "#D3E5F1"
"""What lies inside the limits."""
WEAR = "#F8E7CB"
"""What lies between the limit when new and the wear limit."""
PAPER = "#FFFFFF"

TITLE, TEXT, SMALL = 12.5, 9.2, 8.4
"""Sizes of type in points. A figure is 7 in wide: at 700 px the smallest is a good 11 px high."""
FONT = "DejaVu Sans"


@dataclass(frozen=True, slots=True)
class Mark:
    """The shape and colours of a word."""

    shape: str
    face: str
    edge: str = INK
    scale: float = 1.0


MARKS: dict[str, Mark] = {
    "inside": Mark("o", BLUE),
    "too close to call": Mark("^", ORANGE, scale=1.15),
    "outside": Mark("X", VERMILLION, scale=1.2),
    "in doubt": Mark("P", YELLOW, scale=1.15),
    "measure again": Mark("v", YELLOW, scale=1.15),
    "not measured": Mark("s", PAPER, scale=0.9),
    "no limit": Mark("D", "#C4C4C4", scale=0.8),
}
TINTS = {
    "inside": ZONE,
    "too close to call": "#FBEBCB",
    "outside": "#F8DDCB",
    "in doubt": "#F7F3C4",
    "measure again": "#F7F3C4",
}
"""Grounds of cells and cards by verdict; paper for the rest."""
OTHER = Mark("D", PAPER, scale=0.85)
"""For a word that is not a verdict."""

WORST_FIRST = ("outside", "measure again", "too close to call", "in doubt", "not measured", "no limit", "inside")
"""As verdicts order them; what must be measured again counts as nothing, and stands before what was never measured."""

_SETTINGS: dict[Any, Any] = {
    "font.family": FONT,
    "font.size": TEXT,
    "text.color": INK,
    "text.hinting": "none",  # text is as wide on the screen as in print: what was measured to fit, fits
    "text.parse_math": False,  # what a person typed is never taken for a formula
    "axes.edgecolor": RULE,
    "axes.labelcolor": INK,
    "axes.labelsize": TEXT,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "axes.formatter.useoffset": False,
    "axes.unicode_minus": True,
    "figure.facecolor": PAPER,
    "savefig.facecolor": PAPER,
    "grid.color": "#DDDDDD",
    "grid.linewidth": 0.7,
    "hatch.color": "#7A7A7A",
    "hatch.linewidth": 0.7,
    "lines.linewidth": 1.4,
    "xtick.color": RULE,
    "ytick.color": RULE,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "svg.fonttype": "path",  # looks the same where the font is not installed
    "svg.hashsalt": "restonb",
    "path.simplify": False,
}


_ONE_AT_A_TIME = RLock()


@contextmanager
def style() -> Iterator[None]:
    """The settings under which every chart is drawn and written; what the notebook had set comes back after.

    Starts from matplotlib's own defaults, so that a chart looks the same whatever a person's settings are. One chart at a
    time: the settings belong to the whole process, and a kernel answers widgets in a thread beside the cells.
    """
    with _ONE_AT_A_TIME, matplotlib.rc_context():
        matplotlib.rcdefaults()
        for name, value in _SETTINGS.items():
            matplotlib.rcParams[name] = value
        yield


def mark_of(word: str) -> Mark:
    """The shape and colours of a verdict word."""
    return MARKS.get(word, OTHER)
