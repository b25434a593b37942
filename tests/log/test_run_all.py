"""Several runs at a time: each from a copy of one prepared process, and each as if it were alone."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import time
from ast import literal_eval
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from restonb import log
from restonb.errors import RunError
from restonb.log._kernels import can_fork
from restonb.record import Record, enter_readings, runs, verify
from restonb.stated import Build, shipped

FILE = "from restonb import bench\nbench.sheet('toy').file()"
forks = pytest.mark.skipif(not can_fork(), reason="no forks here: every kernel starts by itself")


def cells(build: Build, run: log.Template | Any) -> list[dict[str, Any]]:
    path = next((build.folder / run.folder).glob("*.ipynb"))
    return list(json.loads(path.read_text())["cells"])


def printed(build: Build, run: Any) -> str:
    return "".join(o["text"] for c in cells(build, run) for o in c.get("outputs", []) if o["output_type"] == "stream")


def children() -> set[int]:
    """The processes of this test that are still there."""
    out = subprocess.run(["ps", "-eo", "pid,ppid,args"], capture_output=True, text=True).stdout
    lines = [line.split(None, 2) for line in out.splitlines()[1:]]
    return {int(pid) for pid, parent, what in lines if int(parent) == os.getpid() and "restonb" in what}


def test_they_are_filed_in_the_order_asked_and_told_of_one_by_one(
    build: Build, record: Record, write_template: Callable[..., Path]
) -> None:
    write_template(build, "general/slow", "import time; time.sleep(0.7)", "print(size)", FILE)
    write_template(build, "general/quick", "print(size)", FILE)
    record.append("note", {"text": "before"})
    told: list[tuple[str, int]] = []
    done = log.run_all(
        build,
        record,
        ["slow", ("quick", {"size": 3}), "general/quick"],
        progress=lambda run: told.append((run.template, len(runs(record)))),
    )
    assert told == [("general/slow", 1), ("general/quick", 2), ("general/quick", 3)]
    assert [r.folder for r in done] == ["log/2026-03-14/slow", "log/2026-03-14/quick", "log/2026-03-14/quick-2"]
    assert [printed(build, r) for r in done] == ["2.0\n", "3.0\n", "2.0\n"]
    assert [r.head["seq"] for r in done] == [1, 1, 1], "all see the record as it was when this began"
    assert runs(record) == done
    assert verify(record.path).ok
    assert not children()


def test_one_that_cannot_be_run_is_refused_before_any_starts(
    build: Build, record: Record, write_template: Callable[..., Path]
) -> None:
    write_template(build, "general/toy", FILE)
    with pytest.raises(RunError, match="toy has no parameter 'sise'"):
        log.run_all(build, record, ["toy", ("toy", {"sise": 1})])
    assert record.head() is None


def test_none_at_all_is_nothing(build: Build, record: Record) -> None:
    assert log.run_all(build, record, []) == []


MEDDLE = """
import gc, os, random, sys, warnings
import matplotlib, numpy, pandas
import restonb.charts, restonb.formulas
matplotlib.rcParams["font.size"] = 31.0
pandas.set_option("display.max_rows", 3)
numpy.set_printoptions(precision=2)
numpy.random.seed(1), random.seed(1)
os.environ["MEDDLED"] = "yes"
os.chdir("/")
sys.path.append("/meddled")
sys.setrecursionlimit(555)
warnings.simplefilter("error")
restonb.formulas.meddled = True
sys.modules["meddled"] = os
kept = "a variable"
"""
LOOK = """
import os, random, sys, warnings
import matplotlib, numpy, pandas
import restonb.charts, restonb.formulas
print({
    "size": matplotlib.rcParams["font.size"],
    "backend": matplotlib.rcParams["backend"],
    "rows": pandas.get_option("display.max_rows"),
    "precision": numpy.get_printoptions()["precision"],
    "environment": sorted(os.environ.keys() - {"JPY_PARENT_PID", "IPYTHONDIR", "JPY_SESSION_NAME"}),
    "cwd": os.getcwd(),
    "path": sys.path,
    "argv": [a for a in sys.argv if "kernel.json" not in a],
    "limit": sys.getrecursionlimit(),
    "warnings": [w[0] for w in warnings.filters if w[0] == "error"],
    "module": hasattr(restonb.formulas, "meddled"),
    "modules": "meddled" in sys.modules,
    "variables": "kept" in globals(),
    "name": __name__,
    "leads": os.getpgid(0) == os.getpid(),
    "stdin": sys.stdin is None or sys.stdin.isatty(),
    "handlers": len(__import__("logging").getLogger().handlers),
    "inputs": (len(In), len(Out)),
    "kernel": type(get_ipython()).__module__,
})
"""


@forks
def test_a_copy_is_as_fresh_as_a_new_kernel_whatever_ran_before(
    build: Build, record: Record, write_template: Callable[..., Path]
) -> None:
    write_template(build, "general/meddle", MEDDLE, FILE)
    write_template(build, "general/look", LOOK, FILE)
    alone = log.run(build, record, "look")
    with log.Kernels(prepared=True) as kernels:
        assert log.run(build, record, "meddle", kernels=kernels).good
        after = log.run(build, record, "look", kernels=kernels)
    assert literal_eval(printed(build, after)) == literal_eval(printed(build, alone))
    assert "'size': 10.0" in printed(build, after)  # matplotlib's own default


@forks
def test_two_copies_draw_different_random_numbers(
    build: Build, record: Record, write_template: Callable[..., Path]
) -> None:
    draws = "import random, uuid, numpy; print(random.random(), numpy.random.random(), uuid.uuid4())"
    write_template(build, "general/draw", draws, FILE)
    with log.Kernels(prepared=True) as kernels:
        first, second = [printed(build, log.run(build, record, "draw", kernels=kernels)).split() for _ in range(2)]
    assert not set(first) & set(second)


@forks
@pytest.mark.slow
def test_a_template_files_and_shows_the_same_from_a_copy_as_from_a_new_kernel(tmp_path: Path) -> None:
    folder = tmp_path / "build"
    shutil.copytree(shipped("data_demo"), folder, ignore=shutil.ignore_patterns("story", "README.md"))
    build = Build.open(folder)
    with Record.open(build) as record:
        first = build.specs.sheet("gearbox_mounting")[0].key
        gaps = {"1": "0.10", "2": "0", "3": "0", "4": "0"}
        enter_readings(record, build, "gearbox_mounting", first, gaps, occasion="as found")
        alone = log.run(build, record, "gearbox_mounting")
        with log.Kernels(prepared=True) as kernels:
            copied = log.run(build, record, "gearbox_mounting", kernels=kernels)
        assert alone.good
        assert copied.filed == alone.filed
        assert copied.parameters == alone.parameters

        def shown(run: Any) -> list[Any]:
            return [c.get("outputs") for c in cells(build, run) if "what_changed" not in "".join(c["source"])]

        assert shown(copied) == shown(alone)


@forks
@pytest.mark.parametrize(
    ("cell", "reason"),
    [
        ("import os; os._exit(9)", "the kernel died"),
        ("import os, signal; os.kill(os.getpid(), signal.SIGSEGV)", "the kernel died"),
        ("import time; time.sleep(60)", "took longer than 3 s and was stopped"),
        ("1 / 0", "ZeroDivisionError: division by zero"),
    ],
    ids=["exits", "crashes", "hangs", "raises"],
)
def test_one_that_ends_badly_is_kept_and_its_neighbours_are_not_harmed(
    build: Build, record: Record, write_template: Callable[..., Path], cell: str, reason: str
) -> None:
    write_template(build, "general/bad", "print('got here')", cell, "print('not here')")
    write_template(build, "general/good", "print('fine')", FILE)
    done = log.run_all(build, record, ["good", "bad", "good"], time_limit=3)
    assert [r.state for r in done] == ["good", "failed", "good"]
    assert reason in done[1].reason
    assert done[1].cell == 4
    assert printed(build, done[1]) == "got here\n"
    assert [printed(build, done[i]) for i in (0, 2)] == ["fine\n", "fine\n"]
    assert not children()


PARENT = """
import sys
from restonb import log
from restonb.stated import Build
from restonb.record import Record
build = Build.open(sys.argv[1])
with Record.open(build) as record:
    log.run_all(build, record, ["hang", "hang", "hang"])
"""


@forks
@pytest.mark.slow
def test_when_the_command_is_killed_no_kernel_stays_behind(
    build: Build, record: Record, write_template: Callable[..., Path], tmp_path: Path
) -> None:
    mark = tmp_path / "pids"
    hang = f"import os, time\nwith open({str(mark)!r}, 'a') as f: f.write(f'{{os.getpid()}}\\n')\ntime.sleep(600)"
    write_template(build, "general/hang", hang)
    process = subprocess.Popen([sys.executable, "-c", PARENT, str(build.folder)])
    try:
        end = time.monotonic() + 60
        while not (mark.exists() and mark.read_text().endswith("\n")) and time.monotonic() < end:
            time.sleep(0.05)
    finally:
        process.kill()
        process.wait()
    kernels = [int(pid) for pid in mark.read_text().split()]
    assert kernels
    end = time.monotonic() + 20
    while any(alive(pid) for pid in kernels) and time.monotonic() < end:
        time.sleep(0.1)
    assert not [pid for pid in kernels if alive(pid)]
    assert record.head() is None
    assert list(build.log.rglob("*")) == []


def alive(pid: int) -> bool:
    """Running, not only waiting to be reaped."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@forks
@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="looks at /proc")
def test_what_is_prepared_holds_nothing_that_copies_would_share() -> None:
    """No thread of Python's, no ZMQ socket, no open font, and no module that looks for its kernel on import."""
    look = (
        "import os, sys, threading\n"
        "from restonb.log._prepared import prepare\n"
        "prepare()\n"
        "import zmq\n"
        "held = [os.readlink(f'/proc/self/fd/{n}') for n in os.listdir('/proc/self/fd') if int(n) > 2"
        " and os.path.exists(f'/proc/self/fd/{n}')]\n"
        "print(threading.active_count(), zmq.Context._instance, [h for h in held if not h.endswith('/fd')],"
        " sorted({'ipywidgets', 'anywidget', 'matplotlib.pyplot', 'matplotlib_inline.backend_inline', 'pint'}"
        " & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", look], capture_output=True, text=True, check=True, stdin=subprocess.DEVNULL
    )
    assert done.stdout.strip() == "1 None [] []", done.stdout


def test_where_no_process_can_be_copied_kernels_start_by_themselves(
    build: Build, record: Record, write_template: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("restonb.log._kernels.can_fork", lambda: False)
    write_template(build, "general/toy", FILE)
    assert [r.state for r in log.run_all(build, record, ["toy"] * 3)] == ["good"] * 3


@forks
def test_a_prepared_process_that_is_gone_is_done_without(
    build: Build, record: Record, write_template: Callable[..., Path]
) -> None:
    write_template(build, "general/toy", FILE)
    with log.Kernels(prepared=True) as kernels:
        assert kernels._prepared is not None
        kernels._prepared._process.kill()
        assert log.run(build, record, "toy", kernels=kernels).good
