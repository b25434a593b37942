"""Kernels to run notebooks in: each starts in a fresh process of this Python, or as a copy of a prepared one."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

__all__ = ["Kernels", "can_fork"]

ARGV = ["-f", "{connection_file}", "--HistoryManager.enabled=False"]


def can_fork() -> bool:
    """Whether a process may go on as a copy of itself here; on macOS the system's libraries do not allow it."""
    return hasattr(os, "fork") and sys.platform != "darwin"


class Kernels:
    """Where kernels come from. With `prepared`, one process imports what templates need, once, and every kernel
    is a copy of it; a kernel then starts in a fraction of the time, and is as fresh as any. As a context manager:
    the prepared process starts with it (without keeping anybody waiting), and ends with it.
    """

    def __init__(self, prepared: bool = False) -> None:
        self._wanted = prepared and can_fork()
        self._prepared: _Prepared | None = None

    def __enter__(self) -> Kernels:
        if self._wanted:
            self._prepared = _Prepared()
        return self

    def __exit__(self, *error: object) -> None:
        if self._prepared is not None:
            self._prepared.close()
            self._prepared = None

    @contextmanager
    def one(self, environment: Mapping[str, str], folder: Path) -> Iterator[Any]:
        """A kernel that is starting up in `folder`; gone, with all that it wrote for itself, at the end.

        `environment` is added to this process's. What is given is a kernel manager of jupyter_client.
        """
        from jupyter_client.kernelspec import KernelSpec
        from jupyter_client.manager import AsyncKernelManager
        from jupyter_core.utils import ensure_event_loop, run_sync

        class ThisPython(AsyncKernelManager):
            """Not whichever kernel is installed under the name 'python3', but this very environment."""

            @property
            def kernel_spec(self) -> Any:
                argv = [sys.executable, "-m", "ipykernel_launcher", *ARGV]
                return KernelSpec(argv=argv, language="python", display_name="Python 3")

        with tempfile.TemporaryDirectory(prefix="restonb-", ignore_cleanup_errors=True) as own:
            kernel = ThisPython(connection_file=str(Path(own) / "kernel.json"))
            if self._prepared is not None:
                kernel.provisioner = _provisioner(self._prepared, kernel)
            env = {**os.environ, "IPYTHONDIR": own, **environment}
            with (Path(own) / "kernel.log").open("wb") as log:
                run_sync(kernel.start_kernel)(env=env, cwd=str(folder), stdout=log, stderr=log)
                try:
                    yield kernel
                finally:
                    run_sync(kernel.shutdown_kernel)(now=True)
                    if threading.current_thread() is not threading.main_thread():
                        ensure_event_loop().close()  # made for this thread by run_sync


class _Prepared:
    """The prepared process, and the orders to it. Any thread may ask."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        command = [sys.executable, "-m", "restonb.log._prepared"]
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )

    def ask(self, order: Mapping[str, Any]) -> dict[str, Any] | None:
        """Its answer; None when it is gone."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        with self._lock:
            try:
                self._process.stdin.write(json.dumps(order) + "\n")
                self._process.stdin.flush()
                answer = self._process.stdout.readline()
            except (OSError, ValueError):
                return None
        return json.loads(answer) if answer else None

    def close(self) -> None:
        """End it and all kernels that are left."""
        for end in (self._process.stdin, self._process.stdout):
            if end is not None:
                with suppress(OSError):
                    end.close()
        try:
            self._process.wait(10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()


class _Copy:
    """One copy of the prepared process, with as much of subprocess.Popen as jupyter_client asks for."""

    stdin = stdout = stderr = None

    def __init__(self, prepared: _Prepared, pid: int) -> None:
        self.pid = pid
        self.returncode: int | None = None
        self._prepared = prepared

    def poll(self) -> int | None:
        if self.returncode is None:
            answer = self._prepared.ask({"poll": self.pid})
            self.returncode = -9 if answer is None else answer["code"]
        return self.returncode

    def wait(self) -> int | None:
        return self.poll()  # only asked of a process that has ended

    def send_signal(self, signum: int) -> None:
        if self.poll() is None:
            os.kill(self.pid, signum)

    def terminate(self) -> None:
        self.send_signal(15)

    def kill(self) -> None:
        self.send_signal(9)


def _provisioner(prepared: _Prepared, kernel: Any) -> Any:
    """What starts and ends the process of `kernel`: as jupyter_client does for a local one, but by a copy."""
    from jupyter_client.provisioning.local_provisioner import LocalProvisioner

    class Copying(LocalProvisioner):
        async def launch_kernel(self, cmd: list[str], **options: Any) -> Any:
            order = {
                "argv": cmd[cmd.index("-f") :],
                "cwd": options["cwd"],
                "env": options["env"],
                "log": options["stdout"].name,
            }
            answer = prepared.ask(order)
            if answer is None:  # it could not be prepared: a kernel of the usual kind
                return await super().launch_kernel(cmd, **options)
            self.process: Any = _Copy(prepared, answer["pid"])
            self.pid = self.pgid = answer["pid"]
            self.cwd = options["cwd"]
            return self.connection_info

    return Copying(parent=kernel, kernel_spec=kernel.kernel_spec, kernel_id=kernel.kernel_id)
