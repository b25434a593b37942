"""What a cell shows: HTML with its own style beside the same in plain text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from html import escape
from importlib.resources import files
from typing import Any

from restonb.record import SHAPES

__all__ = [
    "HtmlCell", "Shown", "bullets", "chip", "joined", "state_chip", "step_items", "steps_shown", "styled", "table", "text_table",
]  # fmt: skip

KINDS = {"too close to call": "too-close", "not measured": "not-measured", "no limit": "no-limit"}
"""The class of a word's style, where it is not the word itself."""


class Shown:
    """Something shown under a cell. `extra` adds outputs of other MIME types."""

    def __init__(self, html: str, text: str, extra: dict[str, Any] | None = None) -> None:
        self.html = html
        self.text = text
        self.extra = extra or {}

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        return {"text/html": styled(self.html), "text/plain": self.text, **self.extra}

    def _repr_html_(self) -> str:
        return styled(self.html)

    def __repr__(self) -> str:
        return self.text


class HtmlCell(str):
    """The text of a table cell, with the HTML to show for it."""

    html: str

    def __new__(cls, text: str, html: str) -> HtmlCell:
        cell = super().__new__(cls, text)
        cell.html = html
        return cell


def styled(html: str) -> str:
    """The HTML with the style that it needs: an output may stand alone in any page."""
    return f'<div class="restonb"><style>{_css()}</style>{html}</div>'


@lru_cache(maxsize=1)
def _css() -> str:
    return files("restonb.bench").joinpath("look.css").read_text(encoding="utf-8")


def chip(word: str) -> HtmlCell:
    """A verdict word with its shape."""
    text = f"{SHAPES.get(word, '◇')} {word}"
    return HtmlCell(text, f'<span class="word {_slug(word)}">{escape(text)}</span>')


def state_chip(word: str) -> str:
    """The HTML of the state of a step, or of the one word of a sheet, with its shape."""
    shown = f"{SHAPES.get(word, '◇')} {word}"
    return f'<span class="state {_slug(word)}">{escape(shown)}</span>'


def _slug(word: str) -> str:
    return KINDS.get(word, word.replace(" ", "-"))


def table(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    caption: str = "",
    numeric: Iterable[str] = (),
    tight: Iterable[str] = (),
) -> Shown:
    """A table; columns that are empty in every row are left out.

    `numeric` names the heads to align right, `tight` those whose cells are kept on one line.
    """
    found = [list(row) for row in rows]
    kept = [i for i in range(len(heads)) if any(row[i] for row in found)] if found else list(range(len(heads)))
    names = [heads[i] for i in kept]
    kinds = {**dict.fromkeys(tight, ' class="tight"'), **dict.fromkeys(numeric, ' class="num"')}
    marks = [kinds.get(name, "") for name in names]
    head = "".join(f'<th scope="col"{m}>{escape(n)}</th>' for n, m in zip(names, marks, strict=True))
    body = "".join(
        "<tr>" + "".join(f"<td{m}>{_html(row[i])}</td>" for i, m in zip(kept, marks, strict=True)) + "</tr>"
        for row in found
    )
    top = f"<caption>{_html(caption)}</caption>" if caption else ""
    html = f"<table>{top}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    return Shown(html, text_table(names, [[row[i] for i in kept] for row in found], caption))


def text_table(heads: Sequence[str], rows: Sequence[Sequence[str]], caption: str = "") -> str:
    """The same in columns of plain text."""
    lines = [list(heads), *[[str(cell) for cell in row] for row in rows]]
    wide = [max(map(len, column)) for column in zip(*lines, strict=True)]
    told = ["  ".join(c.ljust(w) for c, w in zip(line, wide, strict=True)).rstrip() for line in lines]
    return "\n".join(([str(caption)] if caption else []) + told)


def bullets(lines: Sequence[str], kind: str, head: str = "") -> Shown:
    """A list in a box of the kind 'caution', 'decision', 'todo' or 'filed'."""
    top = f"<p><b>{escape(head)}</b></p>" if head else ""
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    text = "\n".join(([f"{head}:"] if head else []) + [f"- {line}" for line in lines])
    return Shown(f'<div class="{kind}">{top}<ul>{items}</ul></div>', text)


def steps_shown(steps: Sequence[Mapping[str, Any]]) -> Shown:
    """The steps of a decision: state and sentence, in the order of the work. Only what is settled throughout looks so."""
    states = {step["state"] for step in steps}
    kind = "decision stop" if "stop" in states else "decision settled" if states == {"settled"} else "decision"
    text = "\n".join(f"{SHAPES[step['state']]} {step['state']}: {step['text']}" for step in steps)
    return Shown(f'<div class="{kind}"><ul class="steps">{step_items(steps)}</ul></div>', text)


def step_items(steps: Iterable[Mapping[str, Any]]) -> str:
    """The HTML of steps as items of a list."""
    return "".join(f"<li>{state_chip(step['state'])} {escape(step['text'])}</li>" for step in steps)


def joined(parts: Sequence[Shown]) -> Shown:
    """Several, one below the other."""
    return Shown("".join(part.html for part in parts), "\n".join(part.text for part in parts))


def _html(cell: str) -> str:
    return cell.html if isinstance(cell, HtmlCell) else escape(cell)
