"""Verdicts as a filed run gives them: plain dicts, with the names of the contract."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import matplotlib.image
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from restonb.charts import png, style

GAP = {"sheet": "gearbox_mounting", "characteristic": "gap", "what": "gap under gearbox foot", "unit": "mm"}


@pytest.fixture
def verdict() -> Callable[..., dict[str, Any]]:
    """A filed verdict; what is not said is a gap of foot 1 against 0 to 0.10 mm."""

    def make(position: str = "foot 1", value: float | None = 0.02, word: str = "inside", **more: Any) -> dict[str, Any]:
        filed = {
            **GAP, "position": position, "value": value, "u": 0.005, "U": 0.01, "k": 2.0, "dof": None, "lower": 0.0,
            "upper": 0.10, "wear_limit": None, "verdict": word, "worn_in": None, "p_conform": None, "settle": "",
            "occasion": "as found", "typed": str(value), "seq": 1, "source": "workshop manual, page 42",
            "safety": False, "at": "2026-03-14T10:00:00+00:00",
        }  # fmt: skip
        return {**filed, **more}

    return make


@pytest.fixture
def four_feet(verdict: Callable[..., dict[str, Any]]) -> list[dict[str, Any]]:
    """One foot of each verdict."""
    return [
        verdict("foot 1", 0.02, "inside"),
        verdict("foot 2", 0.095, "too close to call", settle="4 more readings"),
        verdict("foot 3", 0.21, "outside"),
        verdict("foot 4", None, "not measured", u=None, U=None, at=""),
    ]


class Look:
    """What a reader sees of a figure."""

    @staticmethod
    def texts(figure: Figure) -> list[str]:
        """Every text that is drawn, the labels of the axes included."""
        png(figure, 50)
        return [t.get_text() for t in figure.findobj(Text) if t.get_text().strip() and t.get_visible()]

    @staticmethod
    def said(figure: Figure) -> str:
        """Everything written on the figure, in one line."""
        return " | ".join(Look.texts(figure))

    @staticmethod
    def boxes(figure: Figure) -> list[tuple[str, Bbox]]:
        """Where each text stands, in pixels; the labels of the axes are not among them."""
        with style():
            canvas = FigureCanvasAgg(figure)
            canvas.draw()
            renderer = canvas.get_renderer()
            drawn = [t for ax in figure.axes for t in ax.texts if t.get_text().strip()]
            return [(t.get_text(), Text.get_window_extent(t, renderer)) for t in drawn]

    @staticmethod
    def overlapping(figure: Figure) -> list[tuple[str, str]]:
        """Pairs of texts of the page that cover each other by more than a pixel."""
        placed = Look.boxes(figure)
        pairs = []
        for n, (first, a) in enumerate(placed):
            for second, b in placed[n + 1 :]:
                wide = min(a.x1, b.x1) - max(a.x0, b.x0)
                high = min(a.y1, b.y1) - max(a.y0, b.y0)
                if wide > 1 and high > 1:
                    pairs.append((first, second))
        return pairs

    @staticmethod
    def beyond(figure: Figure) -> list[str]:
        """Texts of the page that are cut by the edge of the figure."""
        wide, high = figure.get_size_inches() * figure.dpi
        return [t for t, b in Look.boxes(figure) if b.x0 < 0 or b.y0 < 0 or b.x1 > wide or b.y1 > high]

    @staticmethod
    def pixels(figure: Figure, dpi: float = 100) -> np.ndarray:
        """The figure as an array of red, green, blue in 0..1."""
        return matplotlib.image.imread(io.BytesIO(png(figure, dpi)))[..., :3]


@pytest.fixture
def look() -> type[Look]:
    """Ways to look at a figure."""
    return Look
