"""Several programs enter readings at once: none is lost, none is refused, each program's stay in their order.

    python tests/faults/load.py --processes 8 --entries 10000

Every entry is on disk before its program goes on to the next. Prints what each program was told, and the time.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from pathlib import Path

from restonb.record import Record, verify

WRITER = """
import sys, time
from restonb.record import Record
path, name, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
body = {"sheet": "toy", "characteristic": "gap", "position": name, "unit": "mm", "instrument": "feeler"}
longest = last = 0.0
with Record.open(path) as record:
    sys.stdin.readline()
    for number in range(count):
        start = time.perf_counter()
        entry = record.append("reading", {**body, "value": f"0.{number:05d}"})
        longest = max(longest, time.perf_counter() - start)
        assert entry.seq > last
        last = entry.seq
print(f"{longest:.3f}")
"""


def main() -> None:
    parse = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parse.add_argument("--processes", type=int, default=8)
    parse.add_argument("--entries", type=int, default=10_000, help="of each process")
    args = parse.parse_args()
    with tempfile.TemporaryDirectory(prefix="restonb-load-", dir=Path.cwd()) as own:  # a disk, not memory
        path = Path(own) / "record.sqlite"  # which does not exist: they race for its beginning too
        running = [
            subprocess.Popen(
                [sys.executable, "-c", WRITER, str(path), str(n), str(args.entries)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
            )
            for n in range(args.processes)
        ]
        start = time.monotonic()
        for process in running:  # all at once
            assert process.stdin is not None
            process.stdin.write("go\n")
            process.stdin.flush()
        said = [process.communicate() for process in running]
        taken = time.monotonic() - start
        refused = [error.strip().splitlines()[-1] for _, error in said if error.strip()]
        assert not refused, refused
        check(path, args.processes, args.entries)
        longest = max(float(out) for out, _ in said)
    count = args.processes * args.entries
    print(
        f"{args.processes} programs entered {args.entries} readings each in {taken:.1f} s, {count / taken:.0f} a second; "
        f"the longest wait for one was {longest:.2f} s\nnone was lost, none was refused, all stand in order"
    )


def check(path: Path, processes: int, entries: int) -> None:
    found = verify(path)
    assert found.ok, found.faults
    assert found.entries == processes * entries, found
    order = defaultdict(list)
    with Record.open(path) as record:
        for entry in record.entries("reading"):
            order[entry.body["position"]].append(entry.body["value"])
    assert order == {str(n): [f"0.{number:05d}" for number in range(entries)] for n in range(processes)}


if __name__ == "__main__":
    main()
