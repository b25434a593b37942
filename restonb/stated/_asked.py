"""The rows of the spec book that the shipped templates look for, read from what their notebooks expect."""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

__all__ = ["Asked", "rows_asked_for"]


class Asked(NamedTuple):
    """One row that a template looks for; its limits are the person's to write."""

    subsystem: str
    sheet: str
    title: str
    key: str
    what: str
    positions: str
    unit: str
    safety: bool


def rows_asked_for(notebooks: Path) -> tuple[Asked, ...]:
    """The rows of every template below `notebooks`, in the order of files and cells; nothing is executed."""
    return tuple(row for path in sorted(notebooks.glob("*/*.ipynb")) for row in _of_notebook(path))


def _of_notebook(path: Path) -> Iterator[Asked]:
    notebook = json.loads(path.read_text(encoding="utf-8"))
    about = notebook.get("metadata", {}).get("restonb", {})
    cells = [(cell["cell_type"], "".join(cell["source"])) for cell in notebook["cells"]]
    heads = (line[2:] for kind, text in cells if kind == "markdown" for line in text.splitlines() if line[:2] == "# ")
    title = next(heads, path.stem)
    texts: dict[str, str] = {}
    safe = about.get("safety_rows", ())
    for kind, source in cells:
        if kind != "code":
            continue
        for statement in ast.parse(source).body:
            if isinstance(statement, ast.Assign) and isinstance(statement.targets[0], ast.Name):
                texts[statement.targets[0].id] = _text(statement.value, texts)
            for keyword in _expected(statement):
                words = [_text(part, texts) for part in getattr(keyword.value, "elts", ())]
                if keyword.arg and len(words) == 3 and all(words):
                    what, positions, unit = words
                    sheet, safety = str(about.get("sheet", path.stem)), bool(about.get("safety")) or keyword.arg in safe
                    yield Asked(path.parent.name, sheet, title, keyword.arg, what, positions, unit, safety)


def _expected(statement: ast.stmt) -> list[ast.keyword]:
    """The keywords of a line `sheet.expects(...)`."""
    call = statement.value if isinstance(statement, ast.Expr) else None
    if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and call.func.attr == "expects":
        return call.keywords
    return []


def _text(part: ast.expr, texts: Mapping[str, str]) -> str:
    """A text as it stands, by a name given above, or filled in with `.format`; '' where it is anything else."""
    match part:
        case ast.Constant(value=str(said)):
            return said
        case ast.Name(id=name):
            return texts.get(name, "")
        case ast.Call(func=ast.Attribute(value=pattern, attr="format"), args=args):
            words: list[Any] = [_text(arg, texts) for arg in args]
            return _text(pattern, texts).format(*words) if all(words) else ""
        case _:
            return ""
