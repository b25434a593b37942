"""Running one notebook with papermill, in a kernel that starts while papermill is being imported.

The only file that knows papermill, nbclient and nbformat, and it imports them when a notebook is run.
"""

from __future__ import annotations

import json
import logging
import os
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

__all__ = ["Executed", "execute"]

KERNEL = [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}", "--HistoryManager.enabled=False"]

MARKER = "papermill-error-cell-tag"
"""Of the cells that papermill adds to a notebook that failed."""


@dataclass(frozen=True, slots=True)
class Executed:
    """An executed notebook as JSON; `cell` (counted from 0) and `reason` tell where and why it stopped."""

    notebook: dict[str, Any]
    seconds: float
    cell: int | None = None
    reason: str = ""
    failed: bool = False


def execute(
    notebook: dict[str, Any], environment: Mapping[str, str], folder: Path, time_limit: float
) -> Executed:
    """Run all cells of a notebook in a fresh kernel of this Python, each within `time_limit` seconds.

    `folder` is the kernel's working folder; `environment` is added to this process's. A cell that fails, a
    kernel that dies and a cell over its time are answers, not errors: what was executed until then is kept.
    """
    started = time.perf_counter()
    kept: list[Any] = []
    with _kernel(environment, folder) as kernel:
        run, errors = _papermill(kept)
        reason = ""
        try:
            run(notebook, kernel, time_limit)
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


@contextmanager
def _kernel(environment: Mapping[str, str], folder: Path) -> Iterator[Any]:
    """A kernel that is starting up; gone, with all that it wrote for itself, at the end."""
    from jupyter_client.kernelspec import KernelSpec
    from jupyter_client.manager import AsyncKernelManager
    from jupyter_core.utils import run_sync

    class ThisPython(AsyncKernelManager):
        """Not whichever kernel is installed under the name 'python3', but this very environment."""

        @property
        def kernel_spec(self) -> Any:
            return KernelSpec(argv=KERNEL, language="python", display_name="Python 3")

    with tempfile.TemporaryDirectory(prefix="restonb-", ignore_cleanup_errors=True) as own:
        kernel = ThisPython(connection_file=str(Path(own) / "kernel.json"))
        env = {**os.environ, "IPYTHONDIR": own, **environment}
        with (Path(own) / "kernel.log").open("wb") as log:
            run_sync(kernel.start_kernel)(env=env, cwd=str(folder), stdout=log, stderr=log)
            try:
                yield kernel
            finally:
                run_sync(kernel.shutdown_kernel)(now=True)


@dataclass(frozen=True, slots=True)
class _Errors:
    failed: type[Exception]
    timeout: type[Exception]
    dead: type[Exception]


def _papermill(kept: list[Any]) -> tuple[Any, _Errors]:
    """papermill's execute_notebook, on our kernel, leaving the notebook in `kept` however it ends."""
    with _without_grammar():
        import nbformat
        from nbclient.exceptions import CellTimeoutError, DeadKernelError
        from papermill.clientwrap import PapermillNotebookClient
        from papermill.engines import Engine, papermill_engines
        from papermill.exceptions import PapermillExecutionError
        from papermill.execute import execute_notebook

    class Keeping(Engine):  # type: ignore[misc]
        @classmethod
        def execute_managed_notebook(cls, nb_man: Any, kernel_name: str, **options: Any) -> None:
            kept.append(nb_man.nb)
            given = {"km": options["km"], "timeout": options["execution_timeout"], "kernel_name": kernel_name}
            client = PapermillNotebookClient(nb_man, startup_timeout=options["start_timeout"], **given)
            try:
                client.execute()
            finally:
                if client.kc is not None:
                    client.kc.stop_channels()

    papermill_engines.register("restonb", Keeping)
    logging.getLogger("papermill").addHandler(logging.NullHandler())  # the reason is kept and told once, by us

    def run(notebook: dict[str, Any], kernel: Any, time_limit: float) -> None:
        execute_notebook(
            nbformat.from_dict(notebook),  # type: ignore[no-untyped-call]
            None,
            engine_name="restonb",
            kernel_name="python3",
            progress_bar=False,
            autosave_cell_every=0,
            km=kernel,
            execution_timeout=time_limit,
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
                return index, f"{output['ename']}: {output['evalue']}".strip().splitlines()[0]
    return None, ""


def _last_started(notebook: Any) -> int | None:
    marks = [c["metadata"].get("papermill", {}).get("start_time") for c in notebook["cells"]]
    return max((i for i, mark in enumerate(marks) if mark), default=None)
