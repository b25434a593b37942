"""A person's own notebook that raises, a kernel that dies, one that hangs: each is kept as failed with its reason, the
good result stands, nothing stays running, and the next run works."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import kill
import pytest

from restonb import log
from restonb.record import Record, runs, standing, verify
from restonb.stated import Build

ENDS = {
    "raises": ("1 / 0", "ZeroDivisionError: division by zero"),
    "raises with a page of words": ("raise ValueError('first line\\n' + 'x' * 100_000)", "ValueError: first line"),
    "raises no Exception": ("raise BaseException('stop')", "BaseException: stop"),
    "raises half a character": ("raise ValueError('\\ud800')", "it failed, and its kernel could not say"),
    "shows half a character": ("from IPython.display import HTML\nHTML('\\ud800')", "UnicodeEncodeError: "),
    "leaves": ("import sys; sys.exit(3)", "SystemExit: 3"),
    "is not Python": ("for x in", "SyntaxError: "),
    "dies": ("import os; os._exit(1)", "the kernel died"),
    "is killed": ("import os; os.kill(os.getpid(), 9)", "the kernel died"),
    "hangs": ("while True: pass", "took longer than 2 s"),
    "hangs and minds no interrupt": (
        "import signal, time\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\nwhile True: time.sleep(1)",
        "took longer than 2 s",
    ),
    "waits for an answer": ("input('well?')", "StdinNotImplementedError"),
}


def kernels_of(build: Build) -> list[int]:
    """The processes that were told of this build."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            if f"RESTONB_BUILD={build.folder}".encode() in (place / "environ").read_bytes():
                found.append(int(place.name))
        except OSError:
            continue
    return found


SHORT = {"raises", "dies", "hangs and minds no interrupt"}


@pytest.mark.parametrize("how", [how if how in SHORT else pytest.param(how, marks=pytest.mark.slow) for how in ENDS])
def test_a_notebook_that_ends_badly_is_kept_as_failed_and_harms_nothing(build: Build, how: str) -> None:
    cell, reason = ENDS[how]
    with Record.open(build) as record:
        good = log.run(build, record, "toy")
        kill.write_notebook(build, "toy", "size = 2", cell, kill.CELLS[1])
        failed = log.run(build, record, "toy", time_limit=2)
        assert failed.state == "failed"
        assert failed.cell == 2
        assert failed.reason.startswith(reason)
        assert "\n" not in failed.reason
        assert failed.folder != good.folder
        assert failed.files.keys() == {"toy.ipynb", "toy.html"}
        assert [run.state for run in runs(record)] == ["good", "failed"]
        assert not standing(record, build).in_state("good"), "the notebook is another by now, and it failed"
        if sys.platform == "linux":
            assert not kernels_of(build)
        kill.write_notebook(build, "toy", *kill.CELLS)
        assert log.run(build, record, "toy").good
    found = verify(build.folder)
    assert found.ok, found.faults


LISTENING = """
import os
from pathlib import Path
mine = {os.readlink(p) for p in Path("/proc/self/fd").iterdir() if p.exists() or p.is_symlink()}
for table in ("tcp", "tcp6", "udp", "udp6"):
    for line in Path("/proc/net", table).read_text().splitlines()[1:]:
        words = line.split()
        if f"socket:[{words[9]}]" in mine and words[3] in ("0A", "07"):
            print(table, words[1].rpartition(":")[0])
"""
LOOPBACK = {"0100007F", "00000000000000000000000001000000"}
"""127.0.0.1 and ::1 as /proc/net/tcp has them, on a machine of little-endian byte order."""


@pytest.mark.skipif(sys.platform != "linux" or sys.byteorder != "little", reason="reads /proc/net/tcp")
def test_a_kernel_listens_on_the_loopback_address_alone(build: Build) -> None:
    kill.write_notebook(build, "toy", "size = 2", LISTENING, kill.CELLS[1])
    with Record.open(build) as record:
        done = log.run(build, record, "toy")
    assert done.good, done.reason
    notebook = json.loads((build.folder / done.folder / "toy.ipynb").read_text())
    said = "".join("".join(o.get("text", "")) for o in notebook["cells"][1]["outputs"])
    places = [line.split()[1] for line in said.splitlines()]
    assert len(places) >= 5, "shell, iopub, stdin, control and heartbeat"
    assert set(places) <= LOOPBACK, said
