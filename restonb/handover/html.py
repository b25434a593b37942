"""The document as one HTML file: no outside address, no script, made to be read on a screen and to be printed.

Written piece by piece, so that a long document with many photographs does not stand in memory as a whole.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Iterator
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Any, TextIO

from restonb.handover.marks import MARKS

__all__ = ["write_html"]

_LONG = re.compile(r"(\S{28})(?=\S)")

# Nothing may be fetched or run, whatever a text or a drawing holds.
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


def write_html(data: dict[str, Any], folder: Path, out: TextIO) -> None:
    """Draw a report (`as_data`) into `out`. Pictures are read from below `folder` and put inside."""
    for piece in _document(data, folder):
        out.write(piece)


def _document(data: dict[str, Any], folder: Path) -> Iterator[str]:
    style = files(__package__).joinpath("report.css").read_text(encoding="utf-8")
    yield (
        f'<!DOCTYPE html>\n<html lang="{_attr(data["language"])}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{_text(data['title'])}</title>\n<style>\n{style}{_colours()}</style>\n</head>\n<body>\n"
    )
    yield '<a class="skip" href="#content">To the content</a>\n'
    yield f'<header>\n<h1>{_text(data["title"])}</h1>\n<p class="subtitle">{_text(data["subtitle"])}</p>\n</header>\n'
    yield '<main id="content">\n'
    for block in data["front"]["blocks"]:
        yield from _block(block, folder)
    yield from _contents(data["sections"])
    for number, section in enumerate(data["sections"], 1):
        yield from _section(section, folder, 2, str(number))
    yield (
        f"</main>\n<footer>Record up to entry {data['head_seq']}, {_text(data['made'])}. "
        f"Head digest <code>{_text(data['head_digest'])}</code></footer>\n</body>\n</html>\n"
    )


def _contents(sections: list[dict[str, Any]]) -> Iterator[str]:
    yield '<nav aria-label="Contents">\n<h2>Contents</h2>\n<ol>\n'
    for section in sections:
        yield f'<li><a href="#{_attr(section["key"])}">{_text(section["title"])}</a>'
        if section["sections"]:
            yield "<ol>"
            for sub in section["sections"]:
                yield f'<li><a href="#{_attr(sub["key"])}">{_text(sub["title"])}</a></li>'
            yield "</ol>"
        yield "</li>\n"
    yield "</ol>\n</nav>\n"


def _section(section: dict[str, Any], folder: Path, level: int, number: str) -> Iterator[str]:
    fresh = ' class="page"' if section["new_page"] else ""
    yield f'<section id="{_attr(section["key"])}"{fresh}>\n'
    yield f'<h{level}><span class="number">{number}</span> {_text(section["title"])}</h{level}>\n'
    for block in section["blocks"]:
        yield from _block(block, folder)
    for n, sub in enumerate(section["sections"], 1):
        yield from _section(sub, folder, min(level + 1, 6), f"{number}.{n}")
    yield "</section>\n"


def _block(block: dict[str, Any], folder: Path) -> Iterator[str]:
    yield from _DRAW[block["kind"]](block, folder)


def _paragraph(block: dict[str, Any], folder: Path) -> Iterator[str]:
    tone = block["tone"]
    for part in block["text"].split("\n"):
        if part.strip():
            shown = _mark_html({"text": part, "mark": block["mark"]})
            yield f'<p class="{_attr(tone)}">{shown}</p>\n' if tone else f"<p>{shown}</p>\n"


def _bullets(block: dict[str, Any], folder: Path) -> Iterator[str]:
    if block["title"]:
        yield f'<p class="listhead">{_text(block["title"])}</p>\n'
    yield "<ul>\n"
    for item in block["items"]:
        plain = "" if item["mark"] else ' class="plain"'
        yield f"<li{plain}>{_mark_html(item)}</li>\n"
    yield "</ul>\n"


def _facts(block: dict[str, Any], folder: Path) -> Iterator[str]:
    yield '<dl class="code">\n' if block["code"] else "<dl>\n"
    for label, text in block["rows"]:
        yield f"<div><dt>{_text(label)}</dt><dd>{_text(text)}</dd></div>\n"
    yield "</dl>\n"


def _table(block: dict[str, Any], folder: Path) -> Iterator[str]:
    # On a narrow screen it scrolls sideways, which must be possible with keys alone.
    yield f'<div class="wide" role="group" tabindex="0" aria-label="{_attr(block["title"] or "Table")}"><table>\n'
    if block["title"]:
        yield f"<caption>{_text(block['title'])}</caption>\n"
    heads = "".join(f'<th scope="col"{_kind(column)}>{_text(column["title"])}</th>' for column in block["columns"])
    yield f"<thead><tr>{heads}</tr></thead>\n<tbody>\n"
    for row in block["rows"]:
        if len(row) == 1:
            head, _, rest = row[0]["text"].partition("\n")
            more = f'<span class="small">{_text(rest)}</span>' if rest else ""
            wide = len(block["columns"])
            yield f'<tr class="group"><th scope="rowgroup" colspan="{wide}">{_text(head)}{more}</th></tr>\n'
            continue
        cells = "".join(
            f"<td{_kind(column)}>{_mark_html(cell)}</td>" for column, cell in zip(block["columns"], row, strict=True)
        )
        yield f"<tr>{cells}</tr>\n"
    yield "</tbody></table></div>\n"
    if block["note"]:
        yield f'<p class="small">{_text(block["note"])}</p>\n'


def _figure(block: dict[str, Any], folder: Path) -> Iterator[str]:
    yield from _picture(block, folder, "image/svg+xml")


def _photos(block: dict[str, Any], folder: Path) -> Iterator[str]:
    yield '<div class="photos">\n'
    for item in block["items"]:
        yield from _picture(item, folder, "image/jpeg")
    yield "</div>\n"


def _picture(item: dict[str, Any], folder: Path, kind: str) -> Iterator[str]:
    inside = base64.b64encode((folder / item["file"]).read_bytes()).decode("ascii")
    share = f' style="width: {100 * item["width"]:.0f}%"' if item.get("width", 1.0) < 1 else ""
    yield f'<figure><img{share} alt="{_attr(item["alt"])}" src="data:{kind};base64,'
    yield inside
    yield f'"><figcaption>{_text(item["caption"])}</figcaption></figure>\n'


_DRAW: dict[str, Callable[[dict[str, Any], Path], Iterator[str]]] = {
    "paragraph": _paragraph,
    "bullets": _bullets,
    "facts": _facts,
    "table": _table,
    "figure": _figure,
    "photos": _photos,
}


def _kind(column: dict[str, Any]) -> str:
    if column["number"]:
        return ' class="number"'
    return ' class="tight"' if not column["width"] else ""


def _mark_html(cell: dict[str, Any]) -> str:
    if cell.get("strip"):
        return _strip(cell["strip"], cell["mark"])
    shown = _text(cell["text"])
    if cell["mark"] not in MARKS:
        return shown
    return f'<span class="mark {_slug(cell["mark"])}" aria-hidden="true">{MARKS[cell["mark"]][0]}</span> {shown}'


def _strip(strip: dict[str, Any], mark: str) -> str:
    """A value between its limits; hidden from a screen reader, to whom the row says the same in words."""

    def part(name: str, left: float, width: float | None = None, text: str = "") -> str:
        wide = "" if width is None else f";width:{100 * width:.2f}%"
        return f'<span class="{name}" style="left:{100 * left:.2f}%{wide}">{text}</span>'

    worn, was = strip["worn"], strip["was"]
    zones = [(name, strip[name]) for name in ("used", "within") if strip[name]]
    parts = [part(name, ends[0], ends[1] - ends[0]) for name, ends in zones]
    parts += [part("tick", place) for place in strip["ticks"]]
    parts += [part("tick worn", worn)] if worn is not None else []
    parts += [part("was", was)] if was is not None else []
    parts.append(part("spread", strip["low"], strip["high"] - strip["low"]))
    shape, _ = MARKS.get(mark, ("●", ""))
    parts.append(part(f"mark {_slug(mark)}" if mark in MARKS else "mark", strip["value"], None, shape))
    return f'<span class="strip" aria-hidden="true">{"".join(parts)}</span>'


def _colours() -> str:
    return "".join(f".mark.{_slug(word)} {{ color: {colour} }}\n" for word, (_, colour) in MARKS.items())


def _slug(word: str) -> str:
    return word.replace(" ", "-")


def _text(text: str) -> str:
    """Escaped; a word too long for a column may break anywhere after 28 characters."""
    return "<wbr>".join(escape(part, quote=False) for part in _LONG.split(text) if part)


def _attr(text: str) -> str:
    return escape(text, quote=True)
