"""What the handed-over document says, as plain data. HTML and PDF are both drawn from it, so they cannot differ.

A `Report` is built once (see `contents`). `as_data` turns it into JSON-ready data and is the one place where
every text passes through `clean`: what reaches a renderer holds no control character and no trick of direction.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any, ClassVar

__all__ = [
    "Block",
    "Bullets",
    "Cell",
    "Column",
    "FactRows",
    "Figure",
    "Paragraph",
    "Photo",
    "Photos",
    "Report",
    "Section",
    "Strip",
    "Table",
    "as_data",
    "clean",
]


@dataclass(frozen=True, slots=True)
class Strip:
    """A value between its limits, drawn as one line: every number is a share of its width, 0 to 1.

    `within` is the stretch inside the limits, `used` that from a limit to the wear limit, `ticks` the limits themselves,
    `worn` the wear limit, `low` to `high` the value with its uncertainty, `was` the value as found. It adds no word: the
    row says the same.
    """

    within: tuple[float, float] | None
    used: tuple[float, float] | None
    ticks: tuple[float, ...]
    worn: float | None
    low: float
    high: float
    value: float
    was: float | None = None


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table. `mark` is a word of the toolkit (a verdict, a state) that gives it shape and colour.

    With a `strip` it is drawn, and has no text.
    """

    text: str
    mark: str = ""
    strip: Strip | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """`width` is a share of the free width; 0 is 'as wide as its text'. `number` aligns right."""

    title: str
    width: float = 1.0
    number: bool = False


@dataclass(frozen=True, slots=True)
class Paragraph:
    """`tone`: '' plain, 'lead' larger, 'small', 'caution' where work can hurt, 'state' with a `mark`."""

    kind: ClassVar[str] = "paragraph"
    text: str
    tone: str = ""
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Bullets:
    kind: ClassVar[str] = "bullets"
    items: tuple[Cell, ...]
    title: str = ""


@dataclass(frozen=True, slots=True)
class FactRows:
    """Label and text, in two columns. `code` sets the texts in a fixed pitch: digests."""

    kind: ClassVar[str] = "facts"
    rows: tuple[tuple[str, str], ...]
    code: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of one cell head the rows below them; a line break in such a cell sets off what is less important."""

    kind: ClassVar[str] = "table"
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing: `file` is an SVG below the folder of the data; `alt` says in words what it shows.

    `width` is the share of the page's width that it takes.
    """

    kind: ClassVar[str] = "figure"
    file: str
    alt: str
    caption: str
    width: float = 1.0


@dataclass(frozen=True, slots=True)
class Photo:
    """One photograph: `file` is a JPEG below the folder of the data, upright and without its place."""

    file: str
    alt: str
    caption: str


@dataclass(frozen=True, slots=True)
class Photos:
    kind: ClassVar[str] = "photos"
    items: tuple[Photo, ...]


Block = Paragraph | Bullets | FactRows | Table | Figure | Photos


@dataclass(frozen=True, slots=True)
class Section:
    """`key` is a stable name for links: letters, digits and '-'."""

    key: str
    title: str
    blocks: tuple[Block, ...] = ()
    sections: tuple[Section, ...] = ()
    new_page: bool = False


@dataclass(frozen=True, slots=True)
class Report:
    """The whole document. `made` is the time of the record's head, so that one state gives one document."""

    title: str
    subtitle: str
    made: str
    head_seq: int
    head_digest: str
    front: Section
    sections: tuple[Section, ...]
    language: str = "en"
    running: str = field(default="")
    """Stands at the head of every page."""


# Marks that turn or hide the direction of text, zero-width marks, and line separators.
_TRICKS = re.compile("[\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]")

_UNSEEN = ("Cc", "Cs", "Cn", "Co")


def clean(text: str) -> str:
    """`text` with every character that cannot be seen, or that changes how others are seen, made visible.

    Line breaks stay, tabs become a space. Control characters, marks of direction, unpaired surrogates and
    numbers that stand for no character come out as their number: [U+202E].
    """
    text = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " "))
    return "".join(c if c == "\n" or _seen(c) else f"[U+{ord(c):04X}]" for c in text)


def _seen(c: str) -> bool:
    return unicodedata.category(c) not in _UNSEEN and not _TRICKS.match(c)


def as_data(part: Any) -> Any:
    """`part` (a report or a piece of one) as dicts, lists, numbers and cleaned text. Blocks carry their 'kind'."""
    if isinstance(part, str):
        return clean(part)
    if is_dataclass(part) and not isinstance(part, type):
        data = {f.name: as_data(getattr(part, f.name)) for f in fields(part)}
        kind = getattr(part, "kind", None)
        return {"kind": kind, **data} if kind else data
    if isinstance(part, list | tuple):
        return [as_data(p) for p in part]
    return part
