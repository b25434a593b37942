"""Charts as text and bytes: the same chart gives the same file, on any day."""

from __future__ import annotations

import hashlib
import io
import re
from html import escape

from matplotlib.figure import Figure

from restonb.charts._look import style


def svg(figure: Figure, prefix: str | None = None) -> str:
    """The figure as one `<svg>` element: a file of its own, or inlined in HTML.

    The same figure gives the same text byte for byte. All ids start with a digest of the drawing (or with
    `prefix`), so that several charts can stand in one page. Title and role are set for screen readers.
    """
    buffer = io.StringIO()
    with style():
        figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None})
    drawn = buffer.getvalue()
    name = prefix or "c" + hashlib.sha256(drawn.encode()).hexdigest()[:10]
    body = drawn[drawn.index("<svg") :]
    body = re.sub(r"\s*<metadata>.*?</metadata>", "", body, flags=re.DOTALL)
    # A style element would reach every other drawing of the page.
    body = re.sub(r"\s*<defs>\s*<style.*?</style>\s*</defs>", "", body, flags=re.DOTALL)
    body = re.sub(r'\bid="([^"]+)"', rf'id="{name}-\1"', body)
    body = re.sub(r'href="#', f'href="#{name}-', body)
    body = re.sub(r"url\(#", f"url(#{name}-", body)
    look = "stroke-linejoin: round; stroke-linecap: butt; max-width: 100%; height: auto"
    opening = f'<svg id="{name}" role="img" aria-labelledby="{name}-title" style="{look}"'
    body = body.replace("<svg", opening, 1)
    end = body.index(">") + 1
    return f'{body[:end]}\n <title id="{name}-title">{escape(describe(figure))}</title>{body[end:]}'


def png(figure: Figure, dpi: float = 144) -> bytes:
    """The figure as a PNG; at 100 dpi it is 700 pixels wide. The same figure gives the same bytes."""
    buffer = io.BytesIO()
    with style():
        figure.savefig(buffer, format="png", dpi=dpi, metadata={"Software": None})
    return buffer.getvalue()


def describe(figure: Figure) -> str:
    """What the figure shows, in words, for a reader who cannot see it."""
    return str(figure.get_label())
