"""A real JupyterLab on a small build, and Chromium to stand at it. Nothing but the loopback address can be reached."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import threading
import time
import urllib.request
from pathlib import Path

import pytest

from restonb.build import Build
from restonb.record import Record, in_force, readings

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1",
]  # fmt: skip

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
toy,gap,gap under foot,feet 4,,0,0.30,,mm,feeler,x,"handbook, p. 3"
toy,runout,run-out of the rim,clock 8,,,0.5,,mm,dial,,"handbook, p. 4"
toy,bore,diameter of the bore,"depth 10mm,40mm,70mm x axis A,B",,70.00,70.05,70.10,mm,dial,,"handbook, p. 5"
toy,teeth,length over the teeth,teeth 40,,1,50,,mm,dial,,"handbook, p. 6"
toy,many,length of the many,pieces 200,,1,300,,mm,dial,,"handbook, p. 7"
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
        {"cell_type": "code", "id": f"{name}-{n}", "metadata": {}, "outputs": [], "execution_count": None, "source": line}
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

    def write(self, name: str, *lines: str) -> str:
        start = 'from restonb import bench\nsheet = bench.sheet("toy")'
        (self.notebooks / f"{name}.ipynb").write_text(notebook(start, *lines, name=name))
        return name

    def start(self) -> None:
        code = (
            "import sys; from restonb import bench; from restonb.build import Build; "
            "sys.exit(bench.serve(Build.open(sys.argv[1]), browser=False))"
        )
        self.process = subprocess.Popen(
            [sys.executable, "-c", code, str(self.build.folder)], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        lines: list[str] = []
        for line in self.process.stdout:
            lines.append(line)
            if "http://127.0.0.1" in line:
                break
        else:
            pytest.fail("the bench did not open: " + "".join(lines))
        threading.Thread(target=self.process.stdout.read, daemon=True).start()
        self.url = lines[-1].split(": ", 1)[1].strip()
        self.base, self.token = self.url.split("/lab/")[0], self.url.split("token=")[1]

    def stop(self) -> None:
        self.process.terminate()
        self.process.wait(30)

    def page(self, name: str) -> str:
        return f"{self.base}/doc/tree/notebooks/{name}.ipynb?token={self.token}"

    def ask(self, path: str) -> object:
        request = urllib.request.Request(f"{self.base}{path}", headers={"Authorization": f"token {self.token}"})
        with urllib.request.urlopen(request, timeout=10) as answer:
            return json.load(answer)

    def entered(self, characteristic: str) -> list[tuple[str, str]]:
        """Position and text of every reading, in the order of the record."""
        with Record.open(self.build) as record:
            return [(r.position, r.typed) for r in readings(record, "toy", characteristic)]

    def standing(self, characteristic: str) -> dict[str, str]:
        with Record.open(self.build) as record:
            return {r.position: r.typed for r in in_force(record, "toy", characteristic)}

    def kernel_of(self, name: str) -> str:
        sessions = self.ask("/api/sessions")
        return next(s["kernel"]["id"] for s in sessions if s["path"].endswith(f"{name}.ipynb"))


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
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("websocket", lambda socket: self.asked.append(socket.url))

    def open(self, grids: int = 1):
        """Open the notebook and run all of it; every attempt is told."""
        self.page.goto(self.bench.page(self.name))
        self.page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
        self.run(grids)
        return self

    def run(self, grids: int = 1) -> None:
        for attempt in range(1, 4):
            self.page.wait_for_selector('.jp-Notebook-ExecutionIndicator[data-status="idle"]', timeout=60_000)
            self.page.evaluate("""() => document.activeElement && document.activeElement.blur()""")
            self.page.locator(".jp-Notebook .jp-Cell").first.click(position={"x": 5, "y": 5})
            self.page.get_by_text("Run", exact=True).first.click()
            self.page.get_by_text("Run All Cells", exact=True).first.click()
            try:
                self.page.wait_for_selector(".restonb-grid .field input", timeout=25_000)
                self.page.wait_for_function(
                    "n => document.querySelectorAll('.restonb-grid header').length >= n", arg=grids, timeout=20_000
                )
                return
            except Exception as error:  # noqa: BLE001 - told, and raised after the last attempt
                print(f"{self.name}: run {attempt} did not show the grid: {error}".splitlines()[0])
                if attempt == 3:
                    raise

    def grid(self, what: str):
        return self.page.locator(f'.restonb-grid[aria-label="readings: {what}"]')

    def taken(self, grid, count: int, timeout: float = 30_000) -> None:
        """Wait until so many fields show as taken."""
        self.page.wait_for_function(
            "([el, n]) => el.querySelectorAll('.field.taken').length >= n", arg=[grid.element_handle(), count], timeout=timeout
        )

    def here(self) -> str:
        """The label of the field that has the cursor."""
        return self.page.evaluate(
            "() => { const f = document.activeElement.closest('.field'); return f ? f.querySelector('label').textContent : '' }"
        )


@pytest.fixture
def stand(bench, browser, request):
    """`stand("name", "sheet.measure('gap')")`: a notebook of these cells, opened and run."""
    opened = []

    def at(name: str, *lines: str, size=(1280, 1000), run=True, write=True, **more) -> Stand:
        if write:
            bench.write(name, *lines)
        context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **more)
        opened.append(context)
        person = Stand(bench, context.new_page(), name)
        return person.open(max(1, len(lines))) if run else person

    yield at
    for context in opened:
        context.close()


def until(said, seconds: float = 10.0) -> None:
    """Wait for something outside the page."""
    end = time.monotonic() + seconds
    while not said():
        assert time.monotonic() < end, "it did not happen in time"
        threading.Event().wait(0.1)
