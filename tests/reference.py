"""The reference of everything public, written from the code: `python tests/reference.py` writes notebooks/reference.md."""

from __future__ import annotations

import importlib
import inspect
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

TOP = Path(__file__).parents[1]
PAGE = TOP / "notebooks" / "reference.md"

ROOMS = {
    "quantity": "what a person types, and how a number is written for one",
    "measure": "what may be claimed from readings: uncertainty, verdicts, wear, shape",
    "stated": "what a person states in text files",
    "record": "what happened, and what of it still stands",
    "decisions": "steps: what the numbers say to do next",
    "charts": "one figure for one question",
    "bench": "what appears in a notebook",
    "log": "running templates into the build log",
    "handover": "the record for somebody else",
}


def page() -> str:
    """The whole page."""
    return "\n".join(_lines()).rstrip() + "\n"


def _lines() -> Iterator[str]:
    import restonb
    from restonb.formulas.catalogue import formulas
    from restonb.machine import Machine

    yield from (
        "# Reference",
        "",
        "Written from the code by `python tests/reference.py`; a test fails where it is not as the code says.",
        "",
        "## The door: `import restonb`",
        "",
    )
    for name in ("open", "calc"):
        yield from _entry(f"restonb.{name}", getattr(restonb, name))
    yield from (
        '### `restonb.quantity("10 thou")`',
        "",
        "A quantity as a person types it; the same as `restonb.quantity.read`.",
        "",
    )
    yield from ("## What `restonb.open` answers with", "")
    for name, method in vars(Machine).items():
        if not name.startswith("_"):
            yield from _entry(f"Machine.{name}", method)
    yield from ("## Formulas", "", "Each is called by its name in Python, and by `restonb calc` in a terminal.", "")
    for name, formula in formulas().items():
        yield from (f"### `{name}`", "", "```text", inspect.getdoc(formula) or "", "```", "")
    for room, what in ROOMS.items():
        yield from (f"## `restonb.{room}`: {what}", "")
        module = importlib.import_module(f"restonb.{room}")
        for name in module.__all__:
            yield f"- `{name}`: {_first_line(getattr(module, name))}"
        yield ""


def _entry(name: str, thing: Any) -> Iterator[str]:
    signature = str(inspect.signature(thing)).replace("(self, ", "(").replace("(self)", "()")
    yield from (f"### `{name}{signature}`", "", "```text", inspect.getdoc(thing) or "", "```", "")


def _first_line(thing: Any) -> str:
    if isinstance(thing, (str, int, float, tuple, list, dict, frozenset, set)):
        return "a table or a list of words"
    return (inspect.getdoc(thing) or "").split("\n")[0]


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(f"{PAGE.relative_to(TOP)}: {len(page().splitlines())} lines")
    sys.exit(0)
