"""A formula's answer as a notebook shows it: the numbers that matter, the rest folded, the source below."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from typing import Any

from restonb.bench._look import Shown, table
from restonb.quantity import result_number, write

__all__ = ["working"]


def working(result: Any, names: Sequence[str] = ()) -> Shown:
    """Answer, formula, the parts `names` (all, when none is named), notes, source; everything else folded away."""
    of, data = result.formula, result.data()
    parts = {p.name: p for p in result.parts if p.value not in (None, ())}
    first = [parts[n] for n in names if n in parts] or list(parts.values())
    shown = table(("", ""), [_row(p, parts) for p in first])
    head = f"<p><b>{escape(of.answers)}</b><br><code>{escape(of.text)}</code></p>"
    html = [head, shown.html.replace('<thead><tr><th scope="col"></th><th scope="col"></th></tr></thead>', "")]
    for field, tag in (("steps", "ol"), ("cautions", "ul"), ("notes", "ul")):
        texts = result.texts(field)
        if texts:
            items = "".join(f"<li>{escape(t)}</li>" for t in texts)
            box = "caution" if field == "cautions" else ""
            html.append(f'<div class="{box}"><p><b>{field.capitalize()}</b></p><{tag}>{items}</{tag}></div>')
    folded = [(g.label, _argument_text(g)) for g in result.given if g.value is not None]
    folded += [_row(p, parts) for p in parts.values() if p not in first and not _is_u(p.name, parts)]
    inside = table(("put in, and worked out", "value"), folded).html
    html.append(f"<details><summary>all numbers, put in and worked out</summary>{inside}</details>")
    foot = f"Source: {'; '.join(data['source'])}. Valid: {of.valid}." + (
        f" Not for: {of.not_for}." if of.not_for else ""
    )
    html.append(f'<p class="small">{escape(foot)}</p>')
    return Shown(f'<div class="working">{"".join(html)}</div>', result.working())


def _row(part: Any, parts: dict[str, Any]) -> tuple[str, str]:
    """What it is, and the value with its uncertainty, from the part itself or from the part named '..._u'."""
    beside = parts.get(f"{part.name}_u")
    u = part.u if part.u is not None else beside.value if beside is not None else None
    return part.label, _text(part.value, part.unit, u)


def _argument_text(given: Any) -> str:
    """As a person typed it, where it was typed with its unit."""
    return given.typed if any(c.isalpha() for c in given.typed) else _text(given.value, given.unit)


def _is_u(name: str, parts: dict[str, Any]) -> bool:
    return name.endswith("_u") and name[:-2] in parts


def _text(value: Any, unit: str | None, u: Any = None) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)) and not hasattr(value, "text"):
        us = list(u) if isinstance(u, (list, tuple)) else [None] * len(value)
        inner = [_bare(v, unit, w) for v, w in zip(value, us, strict=False)]
        joined = ("; " if any(isinstance(v, (list, tuple)) for v in value) else ", ").join(inner)
        tail = "" if unit in (None, "1", "") or not value else f" {unit}"
        told = max((w for w in us if w), default=None)
        return joined + tail + (f", each ± {_bare(2 * told, unit, told)}{tail} or less (k = 2)" if told else "")
    if isinstance(value, float) and u:
        return f"{write(value, unit or '1', 2 * u)} ± {write(2 * u, unit or '1', 2 * u)} (k = 2)"
    text = _bare(value, unit)
    return text if unit in (None, "1", "") else f"{text} {unit}"


def _bare(value: Any, unit: str | None = None, u: float | None = None) -> str:
    """The digits of its uncertainty, else those that a workshop can use: these are worked out, not measured."""
    if isinstance(value, (list, tuple)) and not hasattr(value, "text"):
        return "(" + ", ".join(_bare(v, unit) for v in value) + ")" if value else "none"
    if isinstance(value, float) and math.isfinite(value):
        if u:
            from restonb.quantity import write_number

            return write_number(value, 2 * u)
        return result_number(value, unit)
    return str(getattr(value, "text", value))
