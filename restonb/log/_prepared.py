"""A process that has imported what templates need, and forks itself into a kernel for every run.

    python -m restonb.log._prepared

It answers one JSON line to each on its standard input: {"log", "cwd", "env", "argv"} starts a kernel and gives its
{"pid"}; {"poll": pid} gives its {"code"}, null while it lives. When its input ends it ends, and its kernels with it.

Each kernel is a copy of a process in which no cell ever ran: what one run sets, the next cannot see. Nothing that
copies would have to share may exist before the fork: no thread, no ZMQ context, no file held open (a font, say, whose
reading position all copies would move), no module that looks for its kernel when it is imported (widgets, pyplot).
"""

from __future__ import annotations

import json
import os
import signal
import sys
import warnings
from contextlib import suppress
from importlib import import_module
from importlib.util import find_spec
from pkgutil import walk_packages
from typing import Any

MODULES = (
    "ipykernel.kernelapp",
    "numpy",
    "scipy.special",
    "matplotlib.figure",
    "matplotlib.backends.backend_agg",
    "matplotlib.backends.backend_svg",
    "restonb.bench",
    "restonb.record",
)
PACKAGES = ("restonb.decisions", "restonb.charts", "restonb.formulas")
"""Imported before the first fork, of packages every module: what nearly all templates use. Anything else (pandas,
scipy.stats) a kernel imports for itself, as a fresh one does; here it would keep every first run waiting."""


def prepare() -> None:
    """Import it all; what cannot be imported, the kernel meets itself, and its cell says so."""
    if not os.environ.get("MPLBACKEND"):  # as a kernel has it by the time a cell imports matplotlib
        os.environ["MPLBACKEND"] = "module://matplotlib_inline.backend_inline"
    for name in MODULES:
        with suppress(ImportError):
            import_module(name)
    for name in PACKAGES:
        package = import_module(name)
        for module in walk_packages(package.__path__, f"{name}.", onerror=lambda _: None):
            with suppress(Exception):
                import_module(module.name)


def serve() -> None:
    """Answer orders until the input ends."""
    orders, answers = os.fdopen(os.dup(0)), os.fdopen(os.dup(1), "w")
    _silence()
    os.environ["JPY_PARENT_PID"] = str(os.getpid())  # kernels end when this process does
    prepare()
    kernels: set[int] = set()
    try:
        for line in orders:
            order = json.loads(line)
            if "poll" in order:
                answer: dict[str, Any] = {"code": _code(order["poll"], kernels)}
            else:
                pid = _fork(order, (orders.fileno(), answers.fileno()))
                kernels.add(pid)
                answer = {"pid": pid}
            answers.write(json.dumps(answer) + "\n")
            answers.flush()
    finally:
        for pid in kernels:
            with suppress(OSError):
                os.killpg(pid, signal.SIGKILL)


def _fork(order: dict[str, Any], ours: tuple[int, int]) -> int:
    """Start a kernel; it leads a process group of its own by the time its number is known."""
    led, leading = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of threads: those of numpy's BLAS, which minds forks
        pid = os.fork()
    if pid == 0:
        try:
            os.setsid()
            for end in (led, leading, *ours):
                os.close(end)
            _become_kernel(order)
        finally:
            os._exit(1)
    os.close(leading)
    os.read(led, 1)  # ends when the copy has closed its end
    os.close(led)
    return pid


def _become_kernel(order: dict[str, Any]) -> None:
    """What `python -m ipykernel_launcher` is, from here on."""
    from ipykernel import kernelapp

    log = os.open(order["log"], os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    os.dup2(log, 1)
    os.dup2(log, 2)
    os.close(log)
    os.environ.clear()
    os.environ.update(order["env"], JPY_PARENT_PID=str(os.getppid()))
    os.chdir(order["cwd"])
    launcher = find_spec("ipykernel_launcher")
    sys.argv = [str(launcher and launcher.origin), *order["argv"]]
    if "numpy" in sys.modules:
        sys.modules["numpy"].random.seed()  # or every run would draw the same numbers
    kernelapp.launch_new_instance(argv=order["argv"])
    sys.stdout.flush()
    os._exit(0)


def _code(pid: int, kernels: set[int]) -> int | None:
    """The exit code of a kernel as subprocess gives it, None while it lives."""
    if pid not in kernels:
        return -signal.SIGKILL
    ended, status = os.waitpid(pid, os.WNOHANG)
    if not ended:
        return None
    kernels.discard(pid)
    return os.waitstatus_to_exitcode(status)


def _silence() -> None:
    """Nobody types here, and what a library prints must not be taken for an answer."""
    null = os.open(os.devnull, os.O_RDWR)
    os.dup2(null, 0)
    os.dup2(null, 1)
    os.close(null)


if __name__ == "__main__":
    if sys.path[0] in ("", os.getcwd()):  # as ipykernel_launcher does; a kernel puts its own folder back
        del sys.path[0]
    serve()
