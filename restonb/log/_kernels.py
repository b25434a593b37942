"""Kernels to run notebooks in: each starts in a fresh process of this Python, or as a copy of a prepared one."""

from __future__ import annotations

import asyncio
import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from queue import Empty
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
        from jupyter_core.utils import ensure_event_loop, run_sync

        with tempfile.TemporaryDirectory(prefix="restonb-", ignore_cleanup_errors=True) as own:
            kernel = _manager(str(Path(own) / "kernel.json"), self._prepared)
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


def _manager(file: str, prepared: _Prepared | None) -> Any:
    """A manager of jupyter_client for one kernel, which is a copy of `prepared` if that is there."""
    from jupyter_client.asynchronous.client import AsyncKernelClient
    from jupyter_client.kernelspec import KernelSpec
    from jupyter_client.manager import AsyncKernelManager
    from jupyter_client.provisioning.local_provisioner import LocalProvisioner

    class ThisPython(AsyncKernelManager):
        """Not whichever kernel is installed under the name 'python3', but this very environment."""

        @property
        def kernel_spec(self) -> Any:
            argv = [sys.executable, "-m", "ipykernel_launcher", *ARGV]
            return KernelSpec(argv=argv, language="python", display_name="Python 3")

    class Process(LocalProvisioner):
        """A local process, as jupyter_client would have it, or the copy of one."""

        async def launch_kernel(self, cmd: list[str], **options: Any) -> Any:
            order = {
                "argv": cmd[cmd.index("-f") :],
                "cwd": options["cwd"],
                "env": options["env"],
                "log": options["stdout"].name,
            }
            answer = prepared.ask(order) if prepared is not None else None
            if prepared is None or answer is None:  # it is gone
                return await super().launch_kernel(cmd, **options)
            self.process: Any = _Copy(prepared, answer["pid"])
            self.pid = self.pgid = answer["pid"]
            self.cwd = options["cwd"]
            return self.connection_info

        async def kill(self, restart: bool = False) -> None:
            await super().kill(restart)
            for _ in range(100):  # it is gone in milliseconds; jupyter_client would look again after 100 of them
                if await self.poll() is not None:
                    return
                await asyncio.sleep(0.005)

    class Client(AsyncKernelClient):
        async def _async_wait_for_ready(self, timeout: float | None = None) -> None:
            """Until the kernel has answered, and is heard: jupyter_client then listens on for 0.2 s to what belongs
            to no cell, which nbclient leaves out in any case."""
            end = time.monotonic() + (timeout or float("inf"))
            while time.monotonic() < end:
                self.kernel_info()
                with suppress(Empty):
                    await self.get_shell_msg(timeout=1)
                    await self.get_iopub_msg(timeout=1)
                    return
                if not await self.is_alive():
                    raise RuntimeError("Kernel died before it answered")
            raise RuntimeError(f"Kernel did not answer in {timeout:g} s")

        wait_for_ready = _async_wait_for_ready

    kernel = ThisPython(connection_file=file, client_factory=Client)
    kernel.provisioner = Process(parent=kernel, kernel_spec=kernel.kernel_spec, kernel_id=kernel.kernel_id)
    return kernel
