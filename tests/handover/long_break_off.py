"""Kill an export with SIGKILL, many times, and see that a person never finds half a bag.

    python tests/handover/long_break_off.py --times 60

Each turn works on a folder with an earlier export of the same state in it. After the kill everything there is whole, the
earlier bag or the new one; the next export works and leaves nothing else behind. Half of the turns kill at any touch of
a file, the others at the last ones; at the end it is killed before and
after each rename.
"""

from __future__ import annotations

import argparse
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "faults"))

import kill

from restonb.handover import Handover, hand_over, verify
from restonb.record import Record
from restonb.stated import Build

LAST = 500
"""Touches at the end of an export that put things in their places and tidy up, and a few more."""
RENAMES = [(number, when) for number in range(1, 5) for when in ("before", "after")]
"""The zip, the earlier bag out of the way, the new one in its place, the seal."""


def start(folder: Path) -> Build:
    build = kill.toy_build(folder)
    export(build)
    return build


def export(build: Build) -> Handover:
    with Record.open(build) as record:
        return hand_over(build, record)


def found(build: Build) -> list[str]:
    """What a person sees, and what is hidden."""
    return sorted(p.name for p in build.handover.iterdir())


AT_A_RENAME = """
import os, signal, sys
from pathlib import Path
from restonb.stated import Build
from restonb.handover import hand_over
from restonb.record import Record
rename, last, before = os.replace, int(sys.argv[2]), sys.argv[3] == "before"
count = 0
def counted(*words):
    global count
    count += 1
    if count == last and before:
        os.kill(os.getpid(), signal.SIGKILL)
    rename(*words)
    if count == last:
        os.kill(os.getpid(), signal.SIGKILL)
os.replace = counted
build = Build.open(Path(sys.argv[1]))
with Record.open(build) as record:
    hand_over(build, record)
"""


def at_a_rename(build: Build, number: int, when: str) -> bool:
    """As `turn`, killed just before or after the export puts a thing in its place for so many times."""
    command = [sys.executable, "-c", AT_A_RENAME, str(build.folder), str(number), when]
    return turn(build, lambda: subprocess.run(command, capture_output=True).returncode)


def at_a_touch(build: Build, touch: int) -> bool:
    """As `turn`, killed at its n-th touch of a file."""
    return turn(build, lambda: kill.died_at("export", build, touch))


def turn(build: Build, killed: Callable[[], object]) -> bool:
    """Whether the earlier bag was out of the way at that moment: then it must be back after the next export began."""
    before = [name for name in found(build) if not name.startswith(".")]
    killed()
    seen = [name for name in found(build) if not name.startswith(".")]
    gone = set(before) - set(seen)
    assert all(name in before for name in seen), "only what has its place can be seen"
    assert not any(name.endswith((".zip", ".txt")) for name in gone), f"{gone} was lost"
    for name in seen:
        if not name.endswith(".txt"):
            whole = verify(build.handover / name)
            assert whole.ok, str(whole)
    for name in seen:
        if name.endswith(".seal.txt"):
            assert (build.handover / name).read_text().startswith("seal "), "half a seal"
    done = export(build)
    assert verify(done.folder, seal=done.seal).ok
    assert verify(done.zip).ok
    assert done.seal in done.seal_file.read_text()
    assert found(build) == before, "the next export leaves nothing of the killed one behind"
    return bool(gone)


def touches(build: Build) -> int:
    return kill.touches("export", build)


def moment(dice: random.Random, last: int, number: int) -> int:
    return dice.randint(1, last) if number % 2 else dice.randint(max(1, last - LAST), last)


def main() -> None:
    parse = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parse.add_argument("--times", type=int, default=60)
    parse.add_argument("--seed", type=int, default=1971)
    args = parse.parse_args()
    dice = random.Random(args.seed)
    begun = time.monotonic()
    out = 0
    with tempfile.TemporaryDirectory(prefix="restonb-break-off-", dir=Path.cwd()) as home:  # a disk, not memory
        build = start(Path(home) / "toy")
        last = touches(build)
        for number in range(args.times):
            touch = moment(dice, last, number)
            try:
                out += at_a_touch(build, touch)
            except BaseException:
                print(f"\nkilled at touch {touch} of {last}")
                raise
            print(f"\r{number + 1} of {args.times} in {time.monotonic() - begun:.0f} s", end="", flush=True)
        for number, when in RENAMES:
            out += at_a_rename(build, number, when)
    print(f"\nnever half a bag; {out} times the earlier bag had just been moved aside, and came back")


if __name__ == "__main__":
    main()
