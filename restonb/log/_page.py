"""An executed notebook as one HTML page that stands alone: no script, no address outside it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from importlib.resources import files
from typing import Any

from restonb.log._parameters import Parameter
from restonb.log._safe import safe_html, without_escapes
from restonb.record import BOX_MIME

__all__ = ["RunFacts", "page"]

POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
"""Tells a browser to run nothing and to fetch nothing, whatever else stands in the page."""
STYLE = re.compile(r"<style\b[^>]*>.*?</style>", re.DOTALL)


@dataclass(frozen=True, slots=True)
class RunFacts:
    """What stands above and below the cells. `card` and `foot` are (name, value) pairs; `failed` is '' if it ran."""

    title: str
    card: Sequence[tuple[str, str]]
    foot: Sequence[tuple[str, str]]
    parameters: Sequence[Parameter]
    values: Mapping[str, Any]
    failed: str = ""


def page(notebook: Mapping[str, Any], facts: RunFacts) -> str:
    """The page: first what was found, what to do and what is open, then the cells in their order.

    Cells show their outputs; their code is folded away; the parameters are a table.
    """
    cells = "\n".join(part for part in _cells(notebook, facts) if part)
    failed = (
        f'<p class="failed" role="alert"><strong>This run failed.</strong> {escape(facts.failed)}<br>'
        "Nothing was decided or filed.</p>"
        if facts.failed
        else ""
    )
    body = f"{failed or _box(notebook)}\n{cells}"
    css = files("restonb.log").joinpath("page.css").read_text(encoding="utf-8")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(facts.title)}</title>\n<style>\n{css}</style>\n</head>\n<body>\n<main>\n"
        f'<header class="card"><h1>{escape(facts.title)}</h1>{_pairs(facts.card)}</header>\n'
        f"{_styles_once(body)}\n<footer>{_foot(facts.foot)}</footer>\n</main>\n</body>\n</html>\n"
    )


def _cells(notebook: Mapping[str, Any], facts: RunFacts) -> Iterable[str]:
    titled = False
    for cell in notebook["cells"]:
        source = cell["source"] if isinstance(cell["source"], str) else "".join(cell["source"])
        if cell["cell_type"] == "markdown":
            if not titled and re.match(r"# ", source.lstrip()):
                titled = True  # the title stands in the card already
                source = source.lstrip().partition("\n")[2]
            yield safe_html(_markdown()(source))
        elif cell["cell_type"] == "code":
            tags = cell.get("metadata", {}).get("tags", [])
            shown = [_parameters(facts)] if "parameters" in tags else []
            if facts.failed and source.strip() and cell.get("execution_count") is None:
                shown.append('<p class="not-run">not run</p>')
            shown += [_output(output) for output in cell.get("outputs", []) if not _is_box(output)]
            yield f'<div class="cell">{_code(source)}{"".join(shown)}</div>'


def _is_box(output: Mapping[str, Any]) -> bool:
    told = output.get("data", {}).get(BOX_MIME)
    return told is not None and not told.get("end")


def _box(notebook: Mapping[str, Any]) -> str:
    """The newest output that is the box; '' where a notebook has none."""
    boxes = [output for cell in notebook["cells"] for output in cell.get("outputs", []) if _is_box(output)]
    return f'<div class="first">{_output(boxes[-1])}</div>' if boxes else ""


def _code(source: str) -> str:
    if not source.strip():
        return ""
    return (
        f'<details class="code"><summary title="code">code</summary><pre><code>{escape(source)}</code></pre></details>'
    )


def _parameters(facts: RunFacts) -> str:
    rows = "".join(
        f"<tr><td>{escape(p.name)}</td><td>{escape(_value(facts.values.get(p.name, p.default)))}</td>"
        f"<td>{escape(p.comment)}</td></tr>"
        for p in facts.parameters
    )
    if not rows:
        return ""
    head = '<tr><th scope="col">parameter</th><th scope="col">value</th><th scope="col">meaning</th></tr>'
    return f"<table><thead>{head}</thead><tbody>{rows}</tbody></table>"


def _value(value: Any) -> str:
    """[[0, 120], [150, 120]] as '0, 120; 150, 120'."""
    if value is None:
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        nested = any(isinstance(v, list) for v in value)
        return ("; " if nested else ", ").join(_value(v) for v in value) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _output(output: Mapping[str, Any]) -> str:
    kind = output["output_type"]
    if kind == "stream":
        text = escape(without_escapes(_text(output["text"])))
        return f'<pre class="{escape(output["name"])}">{text}</pre>' if text.strip() else ""
    if kind == "error":
        trace = without_escapes("\n".join(output["traceback"]))
        said = f"{output['ename']}: {output['evalue']}"
        return (
            f'<pre class="error">{escape(said)}</pre><details class="trace"><summary>where it happened</summary>'
            f"<pre>{escape(trace)}</pre></details>"
        )
    shown = _output_html(output.get("data", {}), output.get("metadata", {}))
    return f'<div class="out">{shown}</div>' if shown else ""


def _output_html(data: Mapping[str, Any], metadata: Mapping[str, Any]) -> str:
    """The richest form that a page without scripts can show."""
    if "text/html" in data:
        return safe_html(_text(data["text/html"]))
    if "image/svg+xml" in data:
        svg = _text(data["image/svg+xml"])
        return safe_html(svg[max(svg.find("<svg"), 0) :])
    for kind in ("image/png", "image/jpeg"):
        if kind in data:
            alt = metadata.get("alt") or metadata.get(kind, {}).get("alt") or _text(data.get("text/plain", ""))
            code = _text(data[kind]).replace("\n", "")
            return f'<img src="data:{kind};base64,{escape(code)}" alt="{escape(alt)}">'
    if "text/markdown" in data:
        return safe_html(_markdown()(_text(data["text/markdown"])))
    text = without_escapes(_text(data.get("text/plain", "")))
    return f"<pre>{escape(text)}</pre>" if text.strip() else ""


def _styles_once(body: str) -> str:
    """Every output brings its own style; in one page the first of each is enough."""
    seen: set[str] = set()

    def keep(found: re.Match[str]) -> str:
        if found[0] in seen:
            return ""
        seen.add(found[0])
        return found[0]

    return STYLE.sub(keep, body)


def _pairs(pairs: Iterable[tuple[str, str]]) -> str:
    return f'<dl class="facts">{"".join(f"<div><dt>{escape(k)}</dt><dd>{escape(v)}</dd></div>" for k, v in pairs)}</dl>'


def _foot(pairs: Iterable[tuple[str, str]]) -> str:
    return "".join(f"<p>{escape(k)}: <code>{escape(v)}</code></p>" for k, v in pairs)


def _text(value: Any) -> str:
    return value if isinstance(value, str) else "".join(value)


@lru_cache(maxsize=1)
def _markdown() -> Any:
    import mistune

    return mistune.create_markdown(escape=True, plugins=["table", "strikethrough"])
