"""Running one notebook with papermill, in a kernel that starts while papermill is being imported.

The only file that knows papermill, nbclient and nbformat, and it imports them when a notebook is run.
"""

from __future__ import annotations

import json
import logging
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from restonb import errors
from restonb.log._kernels import Kernels

__all__ = ["Executed", "execute"]

MARKER = "papermill-error-cell-tag"
"""Of the cells that papermill adds to a notebook that failed."""
_IMPORTING = threading.Lock()


@dataclass(frozen=True, slots=True)
class Executed:
    """An executed notebook as JSON; `cell` (counted from 0) and `reason` tell where and why it stopped."""

    notebook: dict[str, Any]
    seconds: float
    cell: int | None = None
    reason: str = ""
    failed: bool = False


def execute(
    notebook: dict[str, Any], environment: Mapping[str, str], folder: Path, time_limit: float, kernels: Kernels
) -> Executed:
    """Run all cells of a notebook in a kernel of its own, each within `time_limit` seconds. Any thread may.

    `folder` is the kernel's working folder; `environment` is added to this process's. A cell that fails, a
    kernel that dies and a cell over its time are answers, not errors: what was executed until then is kept.
    """
    started = time.perf_counter()
    kept: list[Any] = []
    with kernels.one(environment, folder) as kernel:
        run, errors = _papermill()
        reason = ""
        try:
            run(notebook, kernel, time_limit, kept)
        except errors.failed:
            pass  # the cell carries its error
        except errors.timeout:
            reason = f"took longer than {time_limit:g} s and was stopped"
        except errors.dead:
            reason = "the kernel died, most likely out of memory"
    raw = kept[-1] if kept else notebook
    cell, why = (_last_started(raw), reason) if reason else _fault(raw)
    done = _cleaned(raw)
    return Executed(done, time.perf_counter() - started, cell, why, failed=bool(why))


@dataclass(frozen=True, slots=True)
class _Errors:
    failed: type[Exception]
    timeout: type[Exception]
    dead: type[Exception]


@cache
def _papermill() -> tuple[Callable[[dict[str, Any], Any, float, list[Any]], None], _Errors]:
    """papermill's execute_notebook, on a given kernel, leaving the notebook in a given list however it ends."""
    with _IMPORTING, _without_grammar():
        import nbformat
        from nbclient.exceptions import CellTimeoutError, DeadKernelError
        from papermill.clientwrap import PapermillNotebookClient
        from papermill.engines import Engine, papermill_engines
        from papermill.exceptions import PapermillExecutionError
        from papermill.execute import execute_notebook

    class Keeping(Engine):  # type: ignore[misc]
        @classmethod
        def execute_managed_notebook(cls, nb_man: Any, kernel_name: str, **options: Any) -> None:
            options["kept"].append(nb_man.nb)
            given = {"km": options["km"], "timeout": options["execution_timeout"], "kernel_name": kernel_name}
            client = PapermillNotebookClient(nb_man, startup_timeout=options["start_timeout"], **given)
            try:
                client.execute()
            finally:
                if client.kc is not None:
                    client.kc.stop_channels()

    papermill_engines.register("restonb", Keeping)
    logging.getLogger("papermill").addHandler(logging.NullHandler())  # the reason is kept and told once, by us

    def run(notebook: dict[str, Any], kernel: Any, time_limit: float, kept: list[Any]) -> None:
        execute_notebook(
            nbformat.from_dict(notebook),  # type: ignore[no-untyped-call]
            None,
            engine_name="restonb",
            kernel_name="python3",
            progress_bar=False,
            autosave_cell_every=0,
            km=kernel,
            execution_timeout=time_limit,
            kept=kept,
        )

    return run, _Errors(PapermillExecutionError, CellTimeoutError, DeadKernelError)


@contextmanager
def _without_grammar() -> Iterator[None]:
    """Leave out one optional check of jsonschema (is it an IRI?), which builds a grammar for 1.5 s at import."""
    name = "rfc3987_syntax"
    if name in sys.modules:
        yield
        return
    sys.modules[name] = None  # type: ignore[assignment]
    try:
        yield
    finally:
        with suppress(KeyError):
            del sys.modules[name]


def _cleaned(notebook: Any) -> dict[str, Any]:
    """Plain JSON without papermill's marks, times and machine paths."""
    plain: dict[str, Any] = json.loads(json.dumps(notebook))
    plain["cells"] = [c for c in plain["cells"] if MARKER not in c["metadata"].get("tags", [])]
    for name in ("papermill", "widgets"):
        plain["metadata"].pop(name, None)
    for cell in plain["cells"]:
        for name in ("papermill", "execution"):
            cell["metadata"].pop(name, None)
        if not cell["metadata"].get("tags", True):
            del cell["metadata"]["tags"]
    return plain


def _fault(notebook: Any) -> tuple[int | None, str]:
    cells = [c for c in notebook["cells"] if MARKER not in c["metadata"].get("tags", [])]
    for index, cell in enumerate(cells):
        for output in cell.get("outputs", []):
            if output["output_type"] == "error":
                name, said = output["ename"], output["evalue"].strip()
                ours = name in errors.__all__ and said  # these say all in their own words
                return index, (said if ours else f"{name}: {said}".strip()).splitlines()[0]
        if cell["metadata"].get("papermill", {}).get("exception"):
            return index, "it failed, and its kernel could not say why"
    return None, ""


def _last_started(notebook: Any) -> int | None:
    marks = [c["metadata"].get("papermill", {}).get("start_time") for c in notebook["cells"]]
    return max((i for i, mark in enumerate(marks) if mark), default=None)
