"""Tidy a notebook after it was edited in JupyterLab: `python tests/notebooks/tidy.py notebooks/*/NAME.ipynb`.

Outputs and counts go, cells that JupyterLab numbered at random get a name that says what they do, and the file is written
the one way in which a change shows as the lines that changed.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

RANDOM = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){0,3}(-[0-9a-f]{12})?")
"""An id as JupyterLab and nbformat make them."""

KEPT = ("kernelspec", "language_info", "restonb")


def tidied(notebook: dict[str, Any]) -> dict[str, Any]:
    """The notebook without outputs, with ids that a reader can use; everything else as it was."""
    cells: list[dict[str, Any]] = []
    taken = {cell["id"] for cell in notebook["cells"] if "id" in cell and not RANDOM.fullmatch(cell["id"])}
    for cell in notebook["cells"]:
        text = cell["source"] if isinstance(cell["source"], str) else "".join(cell["source"])
        name = cell.get("id", "")
        if not name or RANDOM.fullmatch(name):
            name = _free(_name(cell, text, cells), taken)
            taken.add(name)
        tags = cell.get("metadata", {}).get("tags")
        one: dict[str, Any] = {"cell_type": cell["cell_type"]}
        if cell["cell_type"] == "code":
            one |= {"execution_count": None}
        one |= {"id": name, "metadata": {"tags": tags} if tags else {}}
        if cell["cell_type"] == "code":
            one |= {"outputs": []}
        cells.append(one | {"source": text.splitlines(keepends=True)})
    metadata = {key: notebook["metadata"][key] for key in KEPT if key in notebook["metadata"]}
    metadata["language_info"] = {"name": "python"}
    return {"cells": cells, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}


def written(notebook: dict[str, Any]) -> str:
    """The text of a notebook file."""
    return json.dumps(notebook, indent=1, ensure_ascii=False) + "\n"


def _name(cell: dict[str, Any], text: str, before: list[dict[str, Any]]) -> str:
    if cell["cell_type"] == "markdown":
        heading = re.search(r"^(#+) (.+)$", text, re.MULTILINE)
        if heading and heading[1] == "#":
            return "title"
        words = heading[2] if heading else text[:40]
        return re.sub(r"[^a-z0-9]+", "-", words.casefold()).strip("-")[:30].strip("-") + ("-head" if heading else "")
    if "parameters" in cell.get("metadata", {}).get("tags", ()):
        return "parameters"
    if "given.takes(" in text:
        return "parameters-check"
    if "bench.sheet(" in text:
        return "start"
    call = re.search(r"sheet\.(\w+)\((?:\s*[\"'](\w+))?", text)
    return "-".join(part.replace("_", "-") for part in call.groups() if part) if call else f"cell-{len(before) + 1}"


def _free(name: str, taken: set[str]) -> str:
    name = name or "cell"
    if name not in taken:
        return name
    return next(f"{name}-{n}" for n in range(2, 1000) if f"{name}-{n}" not in taken)


def main(paths: list[str]) -> int:
    for path in map(Path, paths):
        text = path.read_text(encoding="utf-8")
        new = written(tidied(json.loads(text)))
        if new != text:
            path.write_text(new, encoding="utf-8")
            print(f"{path.name}: tidied")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
