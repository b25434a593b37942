"""The box at the top of a sheet as it is shown: what was found, what to do, what is open."""

from __future__ import annotations

from html import escape

from restonb.bench._look import Shown, chip, state_chip, step_items
from restonb.record import BOX_MIME, SHAPES, Box

__all__ = ["box_shown", "not_yet", "pointer"]


def box_shown(box: Box, name: str, note: str) -> Shown:
    """The box of the sheet of that name, and below it `note`: whether it is filed."""
    html = [f'<p class="standing">{state_chip(box.word)}</p>']
    if box.found:
        found = "".join(f"<li>{one.number} × {chip(one.word).html} {escape(one.where)}</li>" for one in box.found)
        html.append(f'<p><b>Found</b></p><ul class="found">{found}</ul>')
    if box.steps:
        head = "Decided" if box.all_settled else "What to do"
        html.append(f'<p><b>{head}</b></p><ul class="steps">{step_items(box.steps)}</ul>')
    for head, lines in (("Decided", box.decided), ("Open", box.open)):
        if lines:
            html.append(f"<p><b>{head}</b></p><ul>{''.join(f'<li>{escape(line)}</li>' for line in lines)}</ul>")
    html.append(f'<p class="small">{escape(note)}</p>')
    text = "\n".join((*box.lines(name), f"  {note}"))
    return Shown(
        f'<div class="box {box.word.replace(" ", "-")}">{"".join(html)}</div>', text, {BOX_MIME: {"word": box.word}}
    )


def not_yet(name: str) -> Shown:
    """The box while the sheet has not come to its end."""
    said = "Not decided yet: run this sheet to its end."
    html = f'<div class="box not-known"><p class="standing">{state_chip("not known")} {said}</p></div>'
    return Shown(html, f"{name}: {SHAPES['not known']} not known. {said}", {BOX_MIME: {"word": "not known"}})


def pointer(box: Box, name: str, note: str) -> Shown:
    """The end of a sheet whose box stands above: its word, whether it is filed, and where the rest is."""
    above = "What was found, what to do and what is open is at the top."
    html = f'<div class="filed"><p>{state_chip(box.word)} {escape(note)} {above}</p></div>'
    return Shown(
        html, f"{name}: {SHAPES[box.word]} {box.word}. {note} {above}", {BOX_MIME: {"word": box.word, "end": True}}
    )
