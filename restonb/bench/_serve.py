"""JupyterLab on the build folder: on this machine only, unless asked; always with a token; asking nothing outside."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import secrets
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from pathlib import Path
from typing import Any
from urllib.parse import quote

from restonb.errors import RestonbError
from restonb.stated import Build

__all__ = ["serve"]

START = "start.md"
_PATIENCE = 90.0
_SETTINGS = {
    "@jupyterlab/apputils-extension/notification": {
        "fetchNews": "false", "checkForUpdates": False, "doNotDisturbMode": True,
    },
    "@jupyterlab/docmanager-extension/plugin": {"defaultViewers": {"markdown": "Markdown Preview"}},
    "@jupyterlab/notebook-extension/tracker": {"windowingMode": "none"},
}  # fmt: skip
"""No news, pages shown instead of edited, and no field taken off the page while it is scrolled out of sight."""
_SHUT = {"collapsed": True, "visible": True, "widgets": [], "widgetStates": {}}
_WORKSPACE = {
    "data": {
        "layout-restorer:data": {
            "main": {"dock": None}, "left": {**_SHUT, "widgets": ["filebrowser"]}, "right": _SHUT,
            "relativeSizes": [0, 1, 0],
        },
    },
    "metadata": {"id": "default"},
}  # fmt: skip
"""How it looks the first time: the list of files folded away, for the width of a tablet."""


def serve(build: Build, lan: bool = False, port: int = 0, browser: bool = True) -> int:
    """Open the bench and stay until it is closed; gives the exit code.

    Listens on the loopback address alone; with `lan` on every address, and says so. `port` 0 is a free one.
    Raises RestonbError where the port is taken or the server does not start.
    """
    number = _free(port, lan)
    token = secrets.token_urlsafe(24)
    start = write_start(build)
    state = _state(build)
    log = (state / "server.log").open("w", encoding="utf-8")
    handlers = _ended_like_interrupted()
    server = subprocess.Popen(
        command(build, number, lan, browser, start), env=environment(build, state, token),
        stdin=subprocess.DEVNULL, stdout=log, stderr=log, cwd=build.folder,
    )  # fmt: skip
    try:
        _until_ready(server, number, token, state / "server.log")
        for line in address_lines(number, token, start, lan):
            print(line, flush=True)
        return 0 if server.wait() in (0, -15) else 2
    except KeyboardInterrupt:
        with contextlib.suppress(OSError):  # the terminal itself may be gone
            print("the bench is closed; every reading that was taken is in the record", flush=True)
        return 0
    finally:
        _stop(server)
        log.close()
        for kind, handler in handlers.items():
            signal.signal(kind, handler)


def command(build: Build, port: int, lan: bool, browser: bool, start: str) -> list[str]:
    """The server's command line. The token is not in it: anybody on the machine can read a command line."""
    return [
        sys.executable, "-m", "jupyterlab",
        f"--ServerApp.root_dir={build.folder}",
        f"--ServerApp.ip={'0.0.0.0' if lan else '127.0.0.1'}",
        f"--ServerApp.port={port}", "--ServerApp.port_retries=0",
        f"--ServerApp.open_browser={browser}", f"--LabApp.default_url=/lab/tree/{quote(start)}",
        "--ServerApp.answer_yes=True", "--LabApp.extension_manager=readonly",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate", "--LabApp.news_url=None",
        *(["--allow-root"] if getattr(os, "geteuid", lambda: 1)() == 0 else []),  # as in a container
    ]  # fmt: skip


def environment(build: Build, state: Path, token: str) -> dict[str, str]:
    """What the server and its kernels see: this build, the token, and folders that no other Jupyter writes to."""
    own = {
        "JUPYTER_CONFIG_DIR": "config", "JUPYTER_DATA_DIR": "data", "JUPYTER_RUNTIME_DIR": "runtime",
        "JUPYTERLAB_SETTINGS_DIR": "settings", "JUPYTERLAB_WORKSPACES_DIR": "workspaces", "IPYTHONDIR": "ipython",
    }  # fmt: skip
    kept = {k: v for k, v in os.environ.items() if k not in ("RESTONB_HEAD", "RESTONB_STATIC", "RESTONB_RUN")}
    folders = {name: str(state / folder) for name, folder in own.items()}
    return {
        **kept,
        **folders,
        "JUPYTER_TOKEN": token,
        "JUPYTER_PREFER_ENV_PATH": "1",
        "RESTONB_BUILD": str(build.folder),
    }


def write_start(build: Build) -> str:
    """A page that leads to every sheet with one click; gives its path in the build folder. Written afresh every time."""
    shelves: dict[str, list[str]] = {}
    for path in sorted(build.notebooks.rglob("*.ipynb")):
        name = path.relative_to(build.notebooks)
        if not any(part.startswith(".") for part in name.parts):
            shelf = name.parent.as_posix().replace("_", " ").replace(".", "") or "others"
            shelves.setdefault(shelf, []).append(f"- [{_title(path)}]({quote(name.as_posix())})")
    lines = [
        f"# {build.name}: the bench",
        "",
        "Choose a sheet, then *Run > Run All Cells*: the fields for the readings appear.",
        "",
    ]
    for shelf, links in shelves.items():
        lines += [f"## {shelf}", "", *links, ""]
    if not shelves:
        lines += ["There is no sheet in this folder yet.", ""]
    lines += ["What to do next, and why: `restonb status` in a terminal.", ""]
    build.notebooks.mkdir(parents=True, exist_ok=True)
    target = build.notebooks / START
    target.write_text("\n".join(lines), encoding="utf-8")
    return target.relative_to(build.folder).as_posix()


def address_lines(port: int, token: str, start: str, lan: bool) -> list[str]:
    """What the person reads in the terminal."""
    path = f"/lab/tree/{quote(start)}?token={token}"
    lines = [f"the bench is open: http://127.0.0.1:{port}{path}"]
    if lan:
        address = f"http://{_own_address()}:{port}{path}"
        lines += [
            "",
            "WARNING: other machines of this network can reach the bench too. Whoever has the link below can read the build and",
            "run programs on this computer as you, and the link travels unencrypted. Use it in your own network only, and close",
            "the bench when you are done.",
            "",
            f"on a tablet: {address}",
            *_code(address),
        ]
    return [*lines, "Ctrl+C closes it. A reading is in the record as soon as it shows as taken."]


def _title(path: Path) -> str:
    """The first heading of a notebook; its name where it has none."""
    with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            for line in "".join(cell["source"]).splitlines():
                if cell["cell_type"] == "markdown" and line.startswith("# "):
                    return line[2:].strip().replace("[", "(").replace("]", ")")
    return path.stem.replace("_", " ")


def _state(build: Build) -> Path:
    """A hidden folder beside the build's own for what the server writes; made with its settings."""
    state = build.folder / ".bench"
    try:
        for name, values in _SETTINGS.items():
            file = state / "settings" / f"{name}.jupyterlab-settings"
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(json.dumps(values), encoding="utf-8")
        first = state / "workspaces" / "default-37a8.jupyterlab-workspace"
        first.parent.mkdir(exist_ok=True)
        if not any(first.parent.iterdir()):
            first.write_text(json.dumps(_WORKSPACE), encoding="utf-8")
        state.chmod(0o700)
    except OSError as error:
        raise RestonbError(
            f"{build.folder} cannot be written ({error.strerror}); copy it to where it can be written"
        ) from None
    return state


def _free(port: int, lan: bool) -> int:
    """The port, once it is known that nobody has it.

    Where it is free to choose, the first one from 8888 on: the same one next time, so that the browser finds again what
    it kept, and none of those that the system hands out, which may be somebody's again before the server has it.
    """
    for number in (port,) if port else range(8888, 9888):
        with socket.socket() as probe:
            if os.name == "posix":  # elsewhere it would let two servers share a port
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            with contextlib.suppress(OSError, OverflowError):
                probe.bind(("0.0.0.0" if lan else "127.0.0.1", number))
                return number
    raise RestonbError(f"port {port or '8888 to 9887'} cannot be used; write another number after --port")


def _until_ready(server: subprocess.Popen[bytes], port: int, token: str, log: Path) -> None:
    ask = urllib.request.Request(f"http://127.0.0.1:{port}/api/status", headers={"Authorization": f"token {token}"})
    direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    end = time.monotonic() + _PATIENCE
    while server.poll() is None and time.monotonic() < end:
        with contextlib.suppress(OSError, http.client.HTTPException), direct.open(ask, timeout=2):
            return
        time.sleep(0.1)
    last = [line for line in log.read_text(encoding="utf-8", errors="replace").splitlines() if line.strip()]
    raise RestonbError(
        f"JupyterLab does not start: {last[-1].strip() if last else 'no reason given'}; see {log.name} in .bench"
    )


def _ended_like_interrupted() -> dict[int, Any]:
    """A closed terminal or a shutdown must not leave the server and its kernels behind. Gives the handlers before."""

    def stop(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        return {}
    numbers = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    return {number: signal.signal(number, stop) for number in numbers}


def _stop(server: subprocess.Popen[bytes]) -> None:
    """Ends the server and with it its kernels."""
    if server.poll() is None:
        server.terminate()
        try:
            server.wait(15)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def _own_address() -> str:
    """This machine's address in its network. Nothing is sent: a datagram socket only looks up the way."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            return str(probe.getsockname()[0])
        except OSError:
            return socket.gethostname()


def _code(address: str) -> list[str]:
    """The link as a code for the tablet's camera."""
    import io

    import segno

    out = io.StringIO()
    segno.make(address, error="l").terminal(out, compact=True)
    return out.getvalue().splitlines()
