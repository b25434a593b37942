"""restonb status on the demo against starting Python at all, and how it grows with the record.

python tests/benchmarks/bench_status.py [--short]
"""

from __future__ import annotations

import statistics
import sys
from pathlib import Path

from common import arguments, command, copy_of_demo, filled, growth, machine, quiet, ratio, row, seconds, turns

from restonb.record import Record, standing, verify
from restonb.stated import Build


def main() -> None:
    args = arguments(__doc__).parse_args()
    machine("status")
    times = 5 if args.short else 21
    with copy_of_demo(args.demo) as folder:
        restonb = command("restonb")
        ours, bare = turns(
            lambda: quiet(restonb, "status", "-b", folder), lambda: quiet(sys.executable, "-c", "pass"), times
        )
        ratio("restonb status, the demo", ours, "python -c pass", bare, 8)
        sizes = [1_000, 10_000, 100_000]
        builds = [filled(folder, folder.parent / str(n), n) for n in sizes]
        took = [
            statistics.median(seconds(lambda b=b: quiet(restonb, "status", "-b", b)) for _ in range(3)) for b in builds
        ]  # type: ignore[misc]
        growth("restonb status, entries", sizes, took)
        print("    -> aimed at: under 1 s on 100,000 entries")
        inside = []
        for path in builds:
            with Record.open(path) as record:
                build = Build.open(path)
                inside.append(seconds(lambda r=record, b=build: standing(r, b)))  # type: ignore[misc]
        growth("the same in process, entries", sizes, inside)
        growth("verify, entries", sizes, [seconds(lambda b=b: verify(b / "record.sqlite")) for b in builds])  # type: ignore[misc]
        row("a copy of 100,000 entries", [seconds(lambda: copied(builds[-1]))])


def copied(folder: Path) -> None:
    with Record.open(folder) as record:
        record.copy_to(folder / "copy.sqlite")


if __name__ == "__main__":
    main()
