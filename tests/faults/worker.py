"""Works on a build until it is killed: by somebody else, or by itself at the N-th touch of a file.

    python worker.py enter|file|run|export FOLDER [N]

Each line that it prints is an acknowledgement: what the person has been told is taken. With N it kills itself just
before or after its N-th call into the system or the database, so that every gap between two of them can be tried; with
N = 0 it counts them, and says so at the end.
"""

from __future__ import annotations

import io
import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import Any

from PIL import Image

from restonb.record import Record, enter_joint, enter_photo, enter_readings
from restonb.stated import Build

TOUCHES = {"posix", "nt", "_io", "io", "sqlite3", "fcntl"}
NO_MOMENT = (io.BytesIO, io.StringIO, io.BufferedReader)  # in memory, or reading: nothing is there yet or ever
ASKING = {"fspath", "stat", "lstat", "listdir", "scandir", "open_code", "text_encoding", "getpid", "getcwd"}
"""What changes nothing on disk: to die before and after each of the others tries every state that there can be."""
FEET = {"1": "0.02", "2": "0.03", "3": "0", "4": "0.04"}


def say(*words: object) -> None:
    print(*words, flush=True)


def counting(last: int) -> list[int]:
    """Count what touches a file from here on; die at the last one."""
    count = [0]

    def heard(frame: FrameType, event: str, what: Any) -> None:
        if event not in ("c_call", "c_return"):
            return
        owner = getattr(what, "__self__", None)
        if isinstance(owner, NO_MOMENT) or what.__name__ in ASKING:
            return
        home = getattr(owner, "__name__", "") if type(owner).__name__ == "module" else type(owner).__module__
        if home in TOUCHES:
            count[0] += 1
            if count[0] == last:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.setprofile(heard)
    return count


def enter(build: Build, record: Record) -> None:
    """Four feet in one go, a photograph and a joint, again and again."""
    picture = build.folder / "picture.jpg"
    for n in range(10_000):
        say("readings", *(e.seq for e in enter_readings(record, build, "toy", "gap", FEET)))
        Image.new("L", (400, 300), n % 256).save(picture, "JPEG", comment=b"%d" % n)
        entry = enter_photo(record, build, picture)
        say("photo", entry.seq, entry.body["file"], entry.body["sha256"])
        say("joint", enter_joint(record, build, "mounting", "tightened").seq)


def run(build: Build, record: Record) -> None:
    """The toy notebook, again and again, from a prepared process."""
    from restonb import log

    with log.Kernels(prepared=True) as kernels:
        for _ in range(10_000):
            done = log.run(build, record, "toy", kernels=kernels)
            say("run", done.seq, done.folder)


def file(build: Build, record: Record) -> None:
    """A run whose notebook has been executed, into the log."""
    import restonb.log._run as room
    from restonb.log._execute import Executed

    filed = {
        "output_type": "display_data",
        "metadata": {},
        "data": {room.FILED: {"sheet": "toy", "decision": ["x" * 9000]}},
    }
    job = room._begin(build, record, "toy", None, None)
    notebook = room._prepared(job.template, job.values)
    notebook["cells"][-1]["outputs"] = [filed]
    count = counting(LAST)
    done = room._file(build, record, job, Executed(notebook, 1.0))
    sys.setprofile(None)
    say("run", done.seq, done.folder)
    say("touched", count[0])


def export(build: Build, record: Record) -> None:
    """The record for somebody else."""
    from restonb.handover import hand_over

    count = counting(LAST)
    done = hand_over(build, record)
    sys.setprofile(None)
    say("bag", done.folder, done.seal)
    say("touched", count[0])


WORK: dict[str, Callable[[Build, Record], None]] = {"enter": enter, "run": run, "file": file, "export": export}
LAST = int(sys.argv[3]) if len(sys.argv) > 3 else 0

if __name__ == "__main__":
    opened = Build.open(Path(sys.argv[2]))
    with Record.open(opened) as journal:
        say("ready")
        WORK[sys.argv[1]](opened, journal)
