"""A template run in this process: the way of `restonb run`, with no kernel, no page and no chart."""

from __future__ import annotations

import ast
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any
from unittest.mock import patch

from harness.case import DAY
from restonb import charts, log
from restonb.decisions import NotYet
from restonb.errors import FormulaError
from restonb.log import _run
from restonb.log._execute import Executed
from restonb.record import Record, Run
from restonb.stated import Build

__all__ = ["quick", "run"]

DATA_HELPERS = ("named", "paired")
"""Of the charts, what only puts numbers side by side."""


class Drawn:
    """What stands in for a chart."""

    def get_label(self) -> str:
        return "a chart"


@contextmanager
def quick() -> Iterator[None]:
    """While it lasts, `log.run` executes in this process and writes no file of the log."""
    charts_of = {name: (lambda *_, **__: Drawn()) for name in charts.__all__ if name not in DATA_HELPERS}
    charts_of |= {"svg": lambda *_, **__: "<svg></svg>", "describe": lambda *_: "a chart", "style": charts.style}
    versions = _versions()
    with (
        patch.object(_run, "find_template", _template),
        patch.object(_run, "execute", _executed),
        patch.object(_run, "page", lambda *_: ""),
        patch.object(_run, "keep", lambda _build, name, when, _made: (f"log/{when:%Y-%m-%d}/{name}", {})),
        patch.object(_run, "_versions", lambda: versions),
        patch.multiple(charts, create=True, **charts_of),
    ):
        yield


def run(build: Build, record: Record, template: str, refuse: int | None = None) -> tuple[Run, int]:
    """One run, and how many formulas it called; with `refuse`, the formula of that number refuses."""
    called = 0

    from restonb.bench.sheet import Sheet

    work = Sheet.work

    def counting(self: Sheet, formula: Any, *args: Any, **kwargs: Any) -> Any:
        nonlocal called
        if any(isinstance(one, NotYet) for one in (*args, *kwargs.values())):
            return work(
                self, formula, *args, **kwargs
            )  # something that it takes is missing: it is not called, and cannot refuse
        called += 1
        if called - 1 == refuse:

            def formula(*_: Any, **__: Any) -> None:
                raise FormulaError("refused for this test")

        return work(self, formula, *args, **kwargs)

    with quick(), patch.object(Sheet, "work", counting):
        return log.run(build, record, template, at=DAY), called


def _executed(notebook: dict[str, Any], environment: Mapping[str, str], folder: Path, *_: Any) -> Executed:
    names: dict[str, Any] = {"__name__": "__main__"}
    with patch.dict(os.environ, environment):
        for n, cell in enumerate(notebook["cells"]):
            if cell["cell_type"] != "code":
                continue
            try:
                shown = _value(_text(cell), names)
            except Exception as error:  # noqa: BLE001 as a kernel does: what a cell raises is an answer
                return Executed(notebook, 0.0, n, f"{type(error).__name__}: {error}", failed=True)
            if n == len(notebook["cells"]) - 1 and hasattr(shown, "_repr_mimebundle_"):
                data = shown._repr_mimebundle_()
                cell["outputs"] = [{"output_type": "execute_result", "data": dict(data)}]
    if record := getattr(names.get("sheet"), "record", None):
        record.close()
    return Executed(notebook, 0.0)


def _text(cell: Mapping[str, Any]) -> str:
    source = cell["source"]
    return source if isinstance(source, str) else "".join(source)


def _value(source: str, names: dict[str, Any]) -> Any:
    """Run a cell; the value of its last line."""
    body, last = _compiled(source)
    exec(body, names)
    return eval(last, names) if last else None


@cache
def _compiled(source: str) -> tuple[Any, Any]:
    tree = ast.parse(source)
    last = tree.body.pop() if tree.body and isinstance(tree.body[-1], ast.Expr) else None
    said = compile(ast.Expression(last.value), "cell", "eval") if isinstance(last, ast.Expr) else None
    return compile(tree, "cell", "exec"), said


_FIND = _run.find_template
_FOUND: dict[str, Any] = {}


def _template(build: Build, name: str) -> Any:
    """A shipped template, read from disk once; one that serves a sheet of its build is found anew."""
    found = _FOUND.get(name) or _FIND(build, name)
    if not found.serves:
        _FOUND[name] = found
    return found


@cache
def _versions() -> dict[str, str]:
    return _run._versions()
