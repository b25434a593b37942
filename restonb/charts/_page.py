"""The sheet of paper under every chart: a title that answers, the facts, the drawing, the key, the notes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Text

from restonb.charts._look import INK, MUTED, PAPER, SMALL, TEXT, TITLE, Mark, mark_of
from restonb.charts._text import width, wrap

WIDTH = 7.0
EDGE = 0.14
LINE = 0.178


class Chart(Figure):
    """A figure that carries its description and shows itself in a notebook the way it is filed."""

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> tuple[dict[str, Any], dict[str, Any]]:
        from restonb.charts._export import describe, png, svg

        text = describe(self)
        # A notebook that is not trusted shows no SVG: it falls back on the PNG.
        data = {"image/svg+xml": svg(self), "image/png": png(self), "text/plain": text}
        return data, {"image/png": {"alt": text, "width": 700}, "image/svg+xml": {"alt": text}}


@dataclass(frozen=True, slots=True)
class Key:
    """One entry of the key: a mark, a line or a patch, and what it stands for."""

    text: str
    mark: Mark | None = None
    line: dict[str, Any] | None = None
    patch: dict[str, Any] | None = None


def verdict_key(words: Iterable[str]) -> list[Key]:
    """Key entries for verdict words, each once."""
    return [Key(w, mark_of(w)) for w in dict.fromkeys(words)]


def mark(ax: Axes, x: float, y: float, look: Mark | str, size: float = 8.0, zorder: float = 5) -> None:
    """A mark in data coordinates; a dark outline keeps pale colours visible on paper."""
    m = mark_of(look) if isinstance(look, str) else look
    ax.plot(
        [x], [y], ls="none", marker=m.shape, ms=size * m.scale, mfc=m.face, mec=m.edge, mew=1.0,
        zorder=zorder, clip_on=False,
    )  # fmt: skip


class Page:
    """A chart in the making. Places are in inches from the top left corner; `body` is the height drawn."""

    def __init__(
        self,
        title: str,
        facts: Sequence[str],
        body: float,
        *,
        alt: str = "",
        word: str | Mark = "",
        key: Sequence[Key] = (),
        notes: Sequence[str] = (),
    ) -> None:
        head = _balanced(title, WIDTH - 2 * EDGE - (0.3 if word else 0))
        sub = _flow([f for f in facts if f], WIDTH - 2 * EDGE)
        under = [line for note in notes if note for line in wrap(note, WIDTH - 2 * EDGE, SMALL, lines=3)]
        keys = _rows_of(key)
        self.top = EDGE + 0.24 * len(head) + LINE * len(sub) + 0.12
        self.bottom = self.top + body
        self.height = self.bottom + (0.1 if keys or under else 0) + 0.24 * len(keys) + 0.165 * len(under) + 0.1
        self.figure = Chart(figsize=(WIDTH, self.height))
        FigureCanvasAgg(self.figure)
        self.canvas = self.figure.add_axes((0, 0, 1, 1))
        self.canvas.set_axis_off()
        self.canvas.set_xlim(0, WIDTH)
        self.canvas.set_ylim(self.height, 0)
        self._head(head, sub, word)
        y = self.bottom + 0.1
        for entries in keys:
            self._keys(entries, y + 0.1)
            y += 0.24
        for number, line in enumerate(under):
            self.write(EDGE, y + 0.02 + 0.165 * number, line, size=SMALL, color=MUTED, va="top")
        said = alt or ". ".join([title.rstrip("."), *(f for f in facts if f)])
        self.figure.set_label(said if said.endswith(".") else f"{said}.")

    def _head(self, head: list[str], sub: list[str], word: str | Mark) -> None:
        indent = EDGE + (0.3 if word else 0)
        if word:
            self.mark(EDGE + 0.1, EDGE + 0.085, word, 11.5)
        for number, line in enumerate(head):
            self.write(indent, EDGE + 0.24 * number, line, size=TITLE, bold=True, va="top")
        for number, line in enumerate(sub):
            y = EDGE + 0.24 * len(head) + 0.04 + LINE * number
            self.write(EDGE, y, line, color=MUTED, va="top")

    def _keys(self, entries: Sequence[Key], y: float) -> None:
        x = EDGE
        for entry in entries:
            if entry.mark:
                self.mark(x + 0.12, y, entry.mark, 8)
            if entry.patch:
                self.canvas.add_patch(Rectangle((x, y - 0.065), 0.24, 0.13, **entry.patch))
            if entry.line:
                self.canvas.plot([x, x + 0.24], [y, y], **entry.line)
            self.write(x + 0.31, y, entry.text, size=SMALL)
            x += _key_width(entry)

    def write(
        self, x: float, y: float, text: str, *, size: float = TEXT, bold: bool = False, color: str = INK,
        ha: str = "left", va: str = "center", **more: Any,
    ) -> Text:  # fmt: skip
        """Text at a place."""
        weight = "bold" if bold else "normal"
        return self.canvas.text(x, y, text, size=size, weight=weight, color=color, ha=ha, va=va, **more)

    def stack(self, x: float, y: float, text: str, room: float, **more: Any) -> None:
        """Text in `room` inches, centred on y: in two smaller lines where one is too short."""
        if width(text) <= room:
            self.write(x, y, text, **more)
            return
        lines = wrap(text, room, SMALL, lines=2)
        head, joined, tail = text.partition(" / ")
        if joined and max(width(head + " /", SMALL), width(tail, SMALL)) <= room:
            lines = [head + " /", tail]
        for number, line in enumerate(lines):
            self.write(x, y + 0.135 * (number - (len(lines) - 1) / 2), line, size=SMALL, **more)

    def halo(self, x: float, y: float, text: str, **more: Any) -> Text:
        """Text that stays readable where it crosses a line."""
        box = {"facecolor": PAPER, "edgecolor": "none", "pad": 1.2, "alpha": 0.9}
        return self.write(x, y, text, bbox=box, **more)

    def mark(self, x: float, y: float, look: Mark | str, size: float = 8.0) -> None:
        """A mark at a place."""
        mark(self.canvas, x, y, look, size)

    def axes(self, left: float, top: float, wide: float, high: float) -> Axes:
        """Axes for data at a place."""
        box = (left / WIDTH, 1 - (top + high) / self.height, wide / WIDTH, high / self.height)
        ax = self.figure.add_axes(box)
        ax.patch.set_visible(False)  # words of the page may stand under it
        return ax


def _balanced(title: str, room: float) -> list[str]:
    """The lines of the title; no word is left alone in the last."""
    lines = wrap(title, room, TITLE, bold=True, lines=3)
    if len(lines) > 1 and width(lines[-1], TITLE, bold=True) < 0.25 * room:
        narrower = wrap(title, 0.8 * room, TITLE, bold=True, lines=3)
        return narrower if len(narrower) == len(lines) else lines
    return lines


def _flow(facts: Sequence[str], room: float) -> list[str]:
    """Facts in lines, broken between facts where possible."""
    lines: list[str] = []
    line = ""
    for fact in facts:
        longer = f"{line}  ·  {fact}" if line else fact
        if width(longer) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = wrap(fact, room, lines=2)
        lines += full
    return [*lines, line] if line else lines


def _key_width(entry: Key) -> float:
    return 0.31 + width(entry.text, SMALL) + 0.26


def _rows_of(key: Sequence[Key]) -> list[list[Key]]:
    lines: list[list[Key]] = []
    used = WIDTH
    for entry in key:
        wide = _key_width(entry)
        if used + wide > WIDTH - EDGE + 0.2:
            lines.append([])
            used = EDGE
        lines[-1].append(entry)
        used += wide
    return lines
