"""Labels to print, cut out and tie: text and a code to scan on each, several on a sheet of paper, as inline SVG."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from restonb.errors import RestonbError

__all__ = ["BAR", "PAPERS", "Label", "Layout", "lay_out", "module_size"]

PAPERS = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "Letter": (215.9, 279.4)}
"""Width and height in mm: ISO 216 for A4 and A5; Letter is 8.5 in x 11 in."""
BAR = 50.0
"""Length in mm of the bar on each sheet, by which the scale of the print is measured."""
QUIET = 4
"""Modules left white round a code: ISO/IEC 18004."""
_PAD, _FOOT, _BOLD, _WIDE = 1.5, 9.0, 1.12, 0.56


@dataclass(frozen=True, slots=True)
class Label:
    """One label: a heading, lines of text, and what its code says."""

    head: str
    lines: tuple[str, ...]
    code: str


@dataclass(frozen=True, slots=True)
class Layout:
    """How labels lie on paper, all in mm: the size of one, the margin of the paper, the gap between two."""

    paper: str
    width: float
    height: float
    margin: float
    gap: float

    @property
    def columns(self) -> int:
        return int((self.usable[0] + self.gap) // (self.width + self.gap))

    @property
    def rows(self) -> int:
        return int((self.usable[1] - _FOOT + self.gap) // (self.height + self.gap))

    @property
    def usable(self) -> tuple[float, float]:
        """Width and height within the margins."""
        if self.paper not in PAPERS:
            raise RestonbError(f"no paper '{self.paper}'; write {', '.join(PAPERS)}")
        wide, tall = PAPERS[self.paper]
        return wide - 2 * self.margin, tall - 2 * self.margin


def lay_out(labels: Sequence[Label], layout: Layout) -> list[str]:
    """One SVG for each sheet of paper, in its true size within the margins.

    Raises RestonbError where a label is larger than the paper, or too small for text and code.
    """
    if layout.width < 2 * layout.height:
        raise RestonbError(f"a label of {layout.width:g} x {layout.height:g} mm has no room for text beside its code; "
                           f"make it at least {2 * layout.height:g} mm wide")  # fmt: skip
    if layout.height < 10 or layout.gap < 0 or layout.margin < 0:
        raise RestonbError("labels are at least 10 mm high, and neither gap nor margin is below 0")
    each = layout.columns * layout.rows if min(layout.columns, layout.rows) > 0 else 0
    if each < 1:
        raise RestonbError(f"a label of {layout.width:g} x {layout.height:g} mm does not fit on {layout.paper}")
    pages = [labels[i : i + each] for i in range(0, len(labels), each)]
    return [_page(page, layout, n, len(pages)) for n, page in enumerate(pages, 1)]


def module_size(label: Label, layout: Layout) -> float:
    """Side in mm of one module of its code as printed; below about 0.33 mm a telephone may not read it."""
    return (layout.height - 2 * _PAD) / (len(_matrix(label.code)) + 2 * QUIET)


def _page(labels: Sequence[Label], layout: Layout, number: int, of: int) -> str:
    wide, tall = layout.usable
    parts = []
    for n, label in enumerate(labels):
        row, column = divmod(n, layout.columns)
        x, y = column * (layout.width + layout.gap), row * (layout.height + layout.gap)
        parts.append(f'<g transform="translate({x:g} {y:g})">{_label(label, layout)}</g>')
    used = -(-len(labels) // layout.columns) * (layout.height + layout.gap)
    parts.append(_bar(used + 2, number, of))
    high = min(tall, used + 2 + _FOOT)
    return (
        f'<svg width="{wide:g}mm" height="{high:g}mm" viewBox="0 0 {wide:g} {high:g}" '
        f'font-family="DejaVu Sans, Arial, sans-serif" style="break-after: page; max-width: none">{"".join(parts)}</svg>'
    )


def _bar(y: float, number: int, of: int) -> str:
    ticks = "".join(f'<line x1="{x}" x2="{x}" y1="{y:g}" y2="{y + 3:g}"/>' for x in (0.15, BAR + 0.15))
    said = f"this bar is {BAR:g} mm long when the sheet is printed at 100 %; sheet {number} of {of}"
    return (
        f'<g stroke="#000" stroke-width="0.3"><line x1="0.15" x2="{BAR + 0.15:g}" y1="{y + 1.5:g}" y2="{y + 1.5:g}"/>'
        f'{ticks}</g><text x="{BAR + 3:g}" y="{y + 2.5:g}" font-size="2.8">{said}</text>'
    )


def _label(label: Label, layout: Layout) -> str:
    side = layout.height - 2 * _PAD
    left, room = _PAD + side + 1, layout.width - side - 2 * _PAD - 1
    step = min(4.4, (layout.height - 2 * _PAD) / (len(label.lines) + 1.3))
    parts = [
        f'<rect width="{layout.width:g}" height="{layout.height:g}" fill="#fff" stroke="#000" stroke-width="0.15" '
        'stroke-dasharray="1 1"/>',
        _code(label.code, side),
        _text(label.head, left, _PAD + 0.95 * step, 0.95 * step, room, bold=True),
    ]
    parts += [_text(line, left, _PAD + (n + 2.1) * step, 0.74 * step, room) for n, line in enumerate(label.lines)]
    return "".join(parts)


def _text(text: str, x: float, y: float, size: float, room: float, bold: bool = False) -> str:
    """One line, made smaller where it is long, and cut where that would be too small to read."""
    needed = len(text) * _WIDE * (_BOLD if bold else 1)
    size = min(size, max(1.7, room / max(needed, 1)))
    most = int(room / (size * _WIDE * (_BOLD if bold else 1)))
    shown = text if len(text) <= most else text[: max(most - 1, 1)] + "…"
    weight = ' font-weight="bold"' if bold else ""
    return f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:.2f}"{weight}>{escape(shown)}</text>'


def _code(text: str, side: float) -> str:
    """The code as one path of dark modules, its quiet zone within `side`."""
    matrix = _matrix(text)
    scale = side / (len(matrix) + 2 * QUIET)
    runs = []
    for y, row in enumerate(matrix):
        x = 0
        while x < len(row):
            length = next((n for n in range(len(row) - x) if not row[x + n]), len(row) - x)
            if length:
                runs.append(f"M{x + QUIET} {y + QUIET}h{length}v1h-{length}z")
            x += length or 1
    return (
        f'<path transform="translate({_PAD} {_PAD}) scale({scale:.5f})" fill="#000" shape-rendering="crispEdges" '
        f'd="{"".join(runs)}"/>'
    )


def _matrix(text: str) -> list[list[int]]:
    """QR code of ISO/IEC 18004 with error correction of level M, without its quiet zone."""
    import segno

    found: Any = segno.make(text, error="m", micro=False, boost_error=False).matrix
    return [[int(bit) for bit in row] for row in found]
