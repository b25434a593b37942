"""Feed restonb what nobody should type or own: each ends in an answer, or in an error that restonb documents.

    python tests/faults/fuzz.py --times 1000000 --seed 1

Valid samples are cut, doubled, joined and peppered at random. What else is raised, what hangs (a time limit each) and
what leaves its folder is a fault; all are printed, each kind once, with the turn: --seed S --from N --times 1 does
that turn again. --only quantity,bag does those alone.
"""

from __future__ import annotations

import argparse
import random
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from types import FrameType

import fuzz_files
import fuzz_text

from restonb.errors import RestonbError

Target = Callable[[random.Random], object]

SHARES: dict[str, tuple[float, float, Target]] = {
    # what: (share of the turns, seconds that one turn may take, the turn)
    "quantity": (450, 1, fuzz_text.quantity),
    "thread": (60, 1, fuzz_text.thread),
    "drill": (40, 1, fuzz_text.drill),
    "position": (140, 1, fuzz_text.position),
    "body": (150, 1, fuzz_text.body),
    "moment": (40, 1, fuzz_text.moment),
    "parameter": (100, 1, fuzz_text.parameter),
    "spec": (6, 5, fuzz_files.spec),
    "instruments": (4, 5, fuzz_files.instruments),
    "identity": (4, 5, fuzz_files.identity),
    "joints": (4, 5, fuzz_files.joints),
    "photo": (2, 10, fuzz_files.photo),
    "record": (0.4, 10, fuzz_files.record),
    "bag": (0.3, 20, fuzz_files.bag),
    "zip": (0.3, 20, fuzz_files.packed),
}
MEMORY = 3 << 30
"""Bytes of address space: what swells beyond that is a fault too."""


class TooLong(BaseException):
    """So that no 'except Exception' keeps it."""


def too_long(number: int, frame: FrameType | None) -> None:
    raise TooLong


def turn(name: str, seed: int, number: int) -> str | None:
    """One input. None where it ended as it may, else where it came from and the traceback."""
    dice = random.Random(seed * 1_000_000_007 + number)
    _, limit, target = SHARES[name]
    signal.setitimer(signal.ITIMER_REAL, limit)
    try:
        target(dice)
    except RestonbError as error:
        if not str(error).strip():
            return "an error without words"
    except (Exception, TooLong):  # noqa: BLE001 - whatever else is raised is a fault
        return traceback.format_exc()
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
    return None


def place_of(fault: str) -> str:
    """The last place in restonb, and the kind of error: one fault, however many inputs meet it."""
    lines = fault.strip().splitlines()
    places = [line for line in lines if line.startswith("  File") and "restonb" in line] or [""]
    return f"{places[-1]} {lines[-1].partition(':')[0]}"


def run(times: int, seed: int, first: int, only: list[str], watch: bool = False) -> tuple[Counter[str], dict[str, str]]:
    """How many turns of each were taken, and the faults: where -> the first turn and its traceback."""
    before = signal.signal(signal.SIGALRM, too_long)
    warnings.simplefilter("error")
    done: Counter[str] = Counter()
    faults: dict[str, str] = {}
    weights = [SHARES[name][0] for name in only]
    start = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="restonb-fuzz-") as own:
        fuzz_files.prepare(Path(own), {"bag", "zip"} & set(only) != set())
        for number in range(first, first + times):
            name = random.Random(seed ^ number * 2_654_435_761).choices(only, weights)[0]
            fault = turn(name, seed, number)
            done[name] += 1
            if fault:
                faults.setdefault(f"{name} {place_of(fault)}", f"--from {number} --times 1\n{fault}")
            if watch and number % 10_000 == 0:
                rate = sum(done.values()) / (time.monotonic() - start + 1e-9)
                print(
                    f"\r{sum(done.values())} of {times}, {rate:.0f} a second, {len(faults)} faults", end="", flush=True
                )
        strayed = fuzz_files.strayed()
    signal.signal(signal.SIGALRM, before)
    if strayed:
        faults["outside"] = f"written outside: {strayed}"
    return done, faults


def main() -> int:
    parse = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parse.add_argument("--times", type=int, default=1_000_000)
    parse.add_argument("--seed", type=int, default=1)
    parse.add_argument("--from", type=int, default=0, dest="first", help="number of the first turn")
    parse.add_argument("--only", default=",".join(SHARES), help="which inputs, with commas between")
    args = parse.parse_args()
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    start = time.monotonic()
    done, faults = run(args.times, args.seed, args.first, args.only.split(","), watch=True)
    print(f"\n{sum(done.values())} inputs in {time.monotonic() - start:.0f} s, seed {args.seed}")
    print(", ".join(f"{name} {count}" for name, count in done.items()))
    for what in faults.values():
        print(f"\nFAULT --seed {args.seed} --only {args.only} {what}")
    print(f"{len(faults)} kinds of fault" if faults else "every one ended in an answer or in a documented error")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
