"""A real JupyterLab on a small build, and Chromium to stand at it. Nothing but the loopback address can be reached."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from pathlib import Path

import pytest

from restonb.record import Record, in_force, readings
from restonb.stated import Build

with contextlib.suppress(ImportError):  # without it the tests are skipped, or fail where a browser is required
    from playwright.sync_api import TimeoutError

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1",
]  # fmt: skip

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
toy,gap,gap under foot,feet 4,,0,0.30,,mm,feeler,x,"handbook, p. 3"
toy,lug,gap under the lug,"left, right",,0,0.30,,mm,feeler,x,"handbook, p. 3"
toy,plug,gap of the plug,once,,0.5,0.7,,mm,feeler,,"handbook, p. 3"
toy,runout,run-out of the rim,clock 8,,,0.5,,mm,dial,,"handbook, p. 4"
toy,bore,diameter of the bore,"depth 10mm,40mm,70mm x axis A,B",,70.00,70.05,70.10,mm,dial,,"handbook, p. 5"
toy,teeth,length over the teeth,teeth 40,,1,50,,mm,dial,,"handbook, p. 6"
toy,many,length of the many,pieces 200,,1,300,,mm,dial,,"handbook, p. 7"
toy,chain,pitch of the chain,"link 1,2,3,4,5,6,7,8,9,10,11,12,13,14,15,16,17,18,19,20,21,22",,1,50,,mm,dial,,"handbook, p. 8"
toy,slots,width of the slot,slots 6,,2.00,2.05,,mm,dial,,"handbook, p. 8"
toy,weight,weight of the piece,repeat 5,,1,3,,kg,,,"handbook, p. 8"
"""
INSTRUMENTS = """instrument,what,unit,resolution,error,expansion,last_check,source
feeler,feeler gauges,mm,0.01 mm,0.005 mm,,,data sheet
dial,dial indicator,mm,0.001 mm,0.002 mm,,,data sheet
"""
JOINTS = """
[joints.frame]
what = "frame"
[joints.mounting]
what = "gearbox to the plates"
rests_on = ["frame"]
[[joints.mounting.fasteners]]
what = "foot nut"
count = 4
thread = "3/8-26 BSCyc"
torque = "25 ft-lb"
stages = ["10 ft-lb", "25 ft-lb"]
order = [1, 3, 2, 4]
layout_mm = [[0, 120], [150, 120], [150, 0], [0, 0]]
treatment = "tab washer, oiled thread"
source = "workshop notes, p. 30"
[sheets]
toy = ["mounting"]
"""
MOUNTING = JOINTS[JOINTS.index("[joints.mounting]") : JOINTS.index("[sheets]")]
JOINTS = JOINTS.replace("[sheets]", MOUNTING.replace("joints.mounting", "joints.cover") + "[sheets]")
"""The same once more, for a test that needs a joint which no other closes."""


def missing() -> str:
    """Why there can be no browser test here; '' where there can."""
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        return "playwright is not installed"
    return "" if chromium() else "Chromium is not installed"


def chromium() -> str | None:
    return os.environ.get("RESTONB_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session", autouse=True)
def _needs_a_browser():
    why = missing()
    if why and os.environ.get("RESTONB_REQUIRE_BROWSER"):
        pytest.fail(f"a browser is required here: {why}")
    if why:
        pytest.skip(why)


@pytest.fixture(scope="session")
def browser(_needs_a_browser):
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield opened
        opened.close()


def notebook(*lines: str, name: str) -> str:
    cells = [
        {
            "cell_type": "code",
            "id": f"{name}-{n}",
            "metadata": {},
            "outputs": [],
            "execution_count": None,
            "source": line,
        }
        for n, line in enumerate(lines)
    ]
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    return json.dumps({"cells": cells, "metadata": kernel, "nbformat": 4, "nbformat_minor": 5})


class Bench:
    """A running bench: its build, its address, and the entries that it has written."""

    def __init__(self, folder: Path) -> None:
        self.build = Build.create(folder, "Toy")
        (folder / "specs" / "drivetrain.csv").write_text(SPECS)
        (folder / "instruments.csv").write_text(INSTRUMENTS)
        (folder / "joints.toml").write_text(JOINTS)
        self.notebooks = folder / "notebooks"
        self.notebooks.mkdir(exist_ok=True)
        self.build = Build.open(folder)
        Record.open(self.build).close()
        self.write("waiting", "sheet.measure('gap')")

    def write(self, name: str, *lines: str) -> str:
        start = 'from restonb import bench\nsheet = bench.sheet("toy")'
        (self.notebooks / f"{name}.ipynb").write_text(notebook(start, *lines, name=name))
        return name

    def start(self) -> None:
        code = (
            "import sys; from restonb import bench; from restonb.stated import Build; "
            "sys.exit(bench.serve(Build.open(sys.argv[1]), browser=False))"
        )
        self.process = subprocess.Popen(
            [sys.executable, "-c", code, str(self.build.folder)],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        lines: list[str] = []
        for line in self.process.stdout:
            lines.append(line)
            if "http://127.0.0.1" in line:
                break
        else:
            pytest.fail("the bench did not open: " + "".join(lines))
        self.reader = threading.Thread(target=self.process.stdout.read, daemon=True)
        self.reader.start()
        self.url = lines[-1].split(": ", 1)[1].strip()
        self.base, self.token = self.url.split("/lab/")[0], self.url.split("token=")[1]

    def stop(self) -> None:
        self.process.terminate()
        self.process.wait(30)
        self.reader.join(10)
        with socket.socket() as probe:  # the server went with the command that started it
            port = int(self.base.rsplit(":", 1)[1])
            assert probe.connect_ex(("127.0.0.1", port)) != 0
        self.process.stdout.close()

    def page(self, name: str) -> str:
        return f"{self.base}/doc/tree/notebooks/{name}.ipynb?token={self.token}"

    def end_kernels(self, name: str) -> None:
        """Close the sessions of a notebook, as when the machine was switched off."""
        for session in self.ask("GET", "/api/sessions"):
            if session["path"].endswith(f"{name}.ipynb"):
                self.ask("DELETE", f"/api/sessions/{session['id']}")

    def ask(self, method: str, path: str):
        headers = {"Authorization": f"token {self.token}"}
        request = urllib.request.Request(f"{self.base}{path}", method=method, headers=headers)
        with urllib.request.urlopen(request, timeout=10) as answer:
            text = answer.read()
        return json.loads(text) if text else None

    def entered(self, characteristic: str) -> list[tuple[str, str]]:
        """Position and text of every reading, in the order of the record."""
        with Record.open(self.build) as record:
            return [(r.position, r.typed) for r in readings(record, "toy", characteristic)]

    def standing(self, characteristic: str) -> dict[str, str]:
        with Record.open(self.build) as record:
            return {r.position: r.typed for r in in_force(record, "toy", characteristic)}

    def reasons(self) -> list[str]:
        with Record.open(self.build) as record:
            return [e.body["why"] for e in record.entries("strike")]

    def joint(self, key: str) -> dict[str, object]:
        """What the newest entry says about a joint."""
        with Record.open(self.build) as record:
            found = [e.body for e in record.entries("joint") if e.body["joint"] == key]
        return found[-1] if found else {"state": "", "fasteners": [], "why": ""}

    def photos(self) -> list[dict[str, object]]:
        with Record.open(self.build) as record:
            return [e.body for e in record.entries("photo")]


@pytest.fixture(scope="session")
def bench(tmp_path_factory, _needs_a_browser):
    opened = Bench(tmp_path_factory.mktemp("bench") / "toy")
    opened.start()
    yield opened
    opened.stop()


class Stand:
    """One person at one notebook."""

    def __init__(self, bench: Bench, page, name: str) -> None:
        self.bench, self.page, self.name = bench, page, name
        self.asked: list[str] = []
        self.faults: list[str] = []
        page.on("pageerror", lambda error: self.faults.append(str(error.stack or error)))
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("websocket", lambda socket: self.asked.append(socket.url))

    def open(self, grids: int = 1):
        """Open the notebook and run all of it; every attempt is told."""
        self.page.goto(self.bench.page(self.name))
        self.page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
        self.run(grids)
        return self

    def run(self, grids: int = 1) -> None:
        for attempt in range(1, 5):
            self.page.wait_for_selector(
                '.jp-Notebook-ExecutionIndicator[data-status="idle"]', state="attached", timeout=60_000
            )
            self.page.locator(".jp-Notebook .jp-InputPrompt").first.click()
            self.page.get_by_role("menuitem", name="Run", exact=True).click()
            self.page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
            try:
                self.page.wait_for_function(
                    "() => /[*1-9]/.test(document.querySelector('.jp-Notebook .jp-InputPrompt').textContent)",
                    timeout=10_000,
                )
            except TimeoutError as error:
                print(f"{self.name}: run {attempt} was lost: {error}".splitlines()[0])
                continue
            try:
                self.page.wait_for_function(
                    "n => document.querySelectorAll('.restonb-grid header, .signing .tools').length >= n",
                    arg=grids,
                    timeout=40_000,
                )
            except TimeoutError:
                self.page.screenshot(path=self.bench.build.folder.parent / f"{self.name}.png")
                pytest.fail(
                    f"{self.name}, see {self.name}.png: {self.page.locator('.jp-Notebook').inner_text()[-1500:]}"
                )
            self._settle()
            return
        pytest.fail(f"{self.name}: four runs were lost")

    def _settle(self) -> None:
        """Until no cell waits to be run: a run that seemed lost, and comes late, would put new fields in place of those typed in."""
        self.page.wait_for_function(
            "() => ![...document.querySelectorAll('.jp-Notebook .jp-InputPrompt')].some(p => p.textContent.includes('*'))"
            " && document.querySelector('.jp-Notebook-ExecutionIndicator').dataset.status === 'idle'",
            timeout=60_000,
        )

    def grid(self, what: str):
        return self.page.locator(f'.restonb-grid[aria-label="readings: {what}"]')

    def taken(self, grid, count: int, timeout: float = 30_000) -> None:
        """Wait until so many fields show as taken."""
        self.page.wait_for_function(
            "([el, n]) => el.querySelectorAll('.field.taken').length >= n",
            arg=[grid.element_handle(), count],
            timeout=timeout,
        )

    def here(self) -> str:
        """The label of the field that has the cursor."""
        return self.page.evaluate(
            "() => { const f = document.activeElement.closest('.field'); return f ? f.querySelector('label').textContent : '' }"
        )


@pytest.fixture
def stand(bench, browser, request):
    """`stand("name", "sheet.measure('gap')")`: a notebook of these cells, opened and run."""
    opened, people = [], []

    def at(name: str, *lines: str, size=(1280, 1000), run=True, write=True, **more) -> Stand:
        if write:
            bench.write(name, *lines)
        context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **more)
        opened.append(context)
        person = Stand(bench, context.new_page(), name)
        people.append(person)
        return person.open(max(1, len(lines))) if run else person

    yield at
    for context in opened:
        context.close()
    assert [fault for person in people for fault in person.faults] == []


@pytest.fixture
def until():
    """`until(said)` waits for something outside the page."""

    def wait(said, seconds: float = 10.0) -> None:
        end = time.monotonic() + seconds
        while not said():
            assert time.monotonic() < end, "it did not happen in time"
            threading.Event().wait(0.1)

    return wait
