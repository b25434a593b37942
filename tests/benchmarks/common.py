"""What the benchmarks share: taking turns with the floor, the table, and a demo build to measure on."""

from __future__ import annotations

import argparse
import compileall
import contextlib
import math
import os
import platform
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import cycle, islice, pairwise
from pathlib import Path

import restonb
from restonb.record import Record

BODIES = [
    {
        "sheet": f"sheet {n % 30}", "characteristic": f"c{n % 7}", "position": f"foot {n % 11}", "value": f"0.{n % 99}",
        "unit": "mm", "typed": f"0.{n % 99}", "resolution": "0.01", "instrument": "feeler", "occasion": "as found",
    }
    for n in range(2310)
]  # fmt: skip
"""Readings of 30 sheets with 77 places each."""


def arguments(about: str) -> argparse.ArgumentParser:
    parse = argparse.ArgumentParser(description=about.splitlines()[0])
    parse.add_argument("--short", action="store_true", help="fewer turns and less data")
    parse.add_argument("--demo", type=Path, help="a build made by 'restonb demo'; else one is made for this")
    return parse


def machine(title: str) -> None:
    """What it is measured on; a ratio at a high load says less. What is compiled at installing is compiled first."""
    compileall.compile_dir(Path(restonb.__file__).parent, quiet=2)
    print(
        f"\n{title}\n{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, "
        f"Python {platform.python_version()}, {platform.system()}"
    )


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def turns(ours: Callable[[], object], floor: Callable[[], object], times: int) -> tuple[list[float], list[float]]:
    """Both by turns, so that what else the machine does meets both alike."""
    a, b = [], []
    for _ in range(times):
        a.append(seconds(ours))
        b.append(seconds(floor))
    return a, b


def row(name: str, taken: list[float], note: str = "") -> float:
    """One line of the table; gives the median in seconds."""
    middle = statistics.median(taken)
    spread = f"{shown(min(taken))} to {shown(max(taken))}"
    print(f"  {name:<46} n={len(taken):<4} median {shown(middle):>9}   spread {spread:<22} {note}")
    return middle


def ratio(name: str, ours: list[float], floor_name: str, floor: list[float], aim: float | None) -> None:
    """Both lines, and how many times the floor ours is: of the medians, and the range of the pairs."""
    a, b = row(name, ours), row(floor_name, floor)
    pairs = sorted(x / y for x, y in zip(ours, floor, strict=False))
    said = [f"aimed at: at most {aim:g}"] if aim is not None else []
    said += [f"pair by pair {pairs[0]:.2f} to {pairs[-1]:.2f}"] if len(pairs) > 1 else []
    print(f"    -> {a / b:.2f} times its floor" + (f" ({'; '.join(said)})" if said else ""))


def growth(name: str, sizes: list[int], taken: list[float]) -> None:
    """Time against size, and the exponent between neighbours: 1 grows with the data, 0 does not grow."""
    print(f"  {name}: " + ", ".join(f"{size:,} in {shown(one)}" for size, one in zip(sizes, taken, strict=True)))
    steps = pairwise(zip(sizes, taken, strict=True))
    exponents = [math.log(t2 / t1) / math.log(s2 / s1) for (s1, t1), (s2, t2) in steps]
    print(f"    -> growth exponent {', then '.join(f'{e:.2f}' for e in exponents)}")


def shown(taken: float) -> str:
    if taken >= 1:
        return f"{taken:.2f} s"
    return f"{taken * 1e3:.1f} ms" if taken >= 1e-3 else f"{taken * 1e6:.0f} us"


def command(name: str) -> str:
    """A command of this environment."""
    found = shutil.which(name, path=str(Path(sys.executable).parent)) or shutil.which(name)
    if not found:
        raise SystemExit(f"{name} is not installed here")
    return found


def quiet(*words: str | Path, **more: str) -> None:
    """Run a command without its words. A status may answer no; that a command could not is told."""
    done = subprocess.run([str(w) for w in words], capture_output=True, text=True, env={**os.environ, **more})
    if done.returncode not in (0, 1) or "Traceback" in done.stderr:
        raise SystemExit(f"{' '.join(map(str, words))}\n{done.stderr[-2000:]}")


@contextlib.contextmanager
def copy_of_demo(made: Path | None) -> Iterator[Path]:
    """A copy of the demo build to measure on, gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="restonb-bench-") as own:
        folder = Path(own) / "demo"
        if made is None:
            quiet(command("restonb"), "demo", "--quick", folder)
        else:
            shutil.copytree(made, folder)
        yield folder


def filled(source: Path, folder: Path, count: int) -> Path:
    """The demo with its own readings entered again and again, up to `count` entries."""
    shutil.copytree(source, folder)
    with Record.open(folder) as record:
        own = [("reading", e.body) for e in record.entries("reading")] or [("reading", b) for b in BODIES]
        head = record.head()
        record.append_many(islice(cycle(own), max(0, count - (head.seq if head else 0))))
    return folder
