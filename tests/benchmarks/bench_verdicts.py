"""Judging a million readings: restonb's arrays beside row-by-row pint and beside plain numpy, in one run.

    python tests/benchmarks/bench_verdicts.py            every row through pint, too: several minutes
    python tests/benchmarks/bench_verdicts.py --short    20,000 rows through pint; the figure is scaled up and says so

All three do the same work: inches to millimetres, guard band w = k u on both limits, a verdict for each reading; and
their verdicts are compared before anything is printed. Two cases: one pair of limits for all readings (a table of one
characteristic), and limits and uncertainty of its own for each reading (a mixed table).
"""

from __future__ import annotations

import os
import platform
import statistics
import time
from collections.abc import Callable

import numpy as np
import pint
from common import arguments, growth, seconds

from restonb.measure import Characteristic, Instrument, Reading, check, judge

N = 1_000_000
LIMITS = (0.0, 0.30)


def table(n: int) -> dict[str, np.ndarray]:
    """Gaps in inches round a limit of 0.30 mm, with limits and uncertainties of their own; always the same table."""
    draw = np.random.default_rng(1971)
    return {
        "value": draw.normal(0.0118, 0.0004, n),
        "u": draw.uniform(0.0001, 0.0003, n),
        "lower": np.full(n, LIMITS[0]) - 0.1,
        "upper": LIMITS[1] + draw.normal(0.0, 0.005, n),
    }


def by_pint(value: np.ndarray, u: np.ndarray, lower: np.ndarray, upper: np.ndarray) -> np.ndarray:
    """One reading after the other, as a notebook would that holds every reading as a quantity."""
    registry = pint.UnitRegistry()
    inch, mm = registry.inch, registry.mm
    codes = np.empty(value.size, dtype=np.int8)
    for i in range(value.size):
        v = (float(value[i]) * inch).to(mm)
        w = 2.0 * (float(u[i]) * inch).to(mm)
        low, high = float(lower[i]) * mm, float(upper[i]) * mm
        if v < low - w or v > high + w:
            codes[i] = 3
        elif v < low + w or v > high - w:
            codes[i] = 2
        else:
            codes[i] = 1
    return codes


def by_numpy(value: np.ndarray, u: np.ndarray, lower: np.ndarray, upper: np.ndarray) -> np.ndarray:
    """The same in plain array code, without a look at missing readings, bad uncertainties or empty zones."""
    v = value * 25.4
    w = 2.0 * (u * 25.4)
    beyond = (v < lower - w) | (v > upper + w)
    short = (v < lower + w) | (v > upper - w)
    return (1 + short.astype(np.int8) + beyond).astype(np.int8)


def by_restonb(value: np.ndarray, u: np.ndarray, lower: np.ndarray, upper: np.ndarray) -> np.ndarray:
    return judge(value, u, lower, upper, unit="in", limit_unit="mm")


def timed(work: Callable[[], np.ndarray], times: int) -> list[float]:
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return seconds


def shown(name: str, seconds: list[float], note: str = "") -> float:
    middle = statistics.median(seconds)
    print(
        f"  {name:<10} n={len(seconds):<3} median {middle * 1e3:10.2f} ms   "
        f"spread {min(seconds) * 1e3:.2f} to {max(seconds) * 1e3:.2f} ms {note}"
    )
    return middle


def main() -> None:
    parse = arguments(__doc__)
    parse.add_argument("--times", type=int, default=101, help="how often the fast ones are timed")
    args = parse.parse_args()
    data = table(N)
    rows = 20_000 if args.short else N
    print(
        f"{platform.processor() or platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; "
        f"Python {platform.python_version()}, numpy {np.__version__}, pint {pint.__version__}; {N:,} readings"
    )
    one = {"value": data["value"], "u": 0.0002, "lower": -0.1, "upper": LIMITS[1]}
    for title, case in (("limits and uncertainty for each reading", data), ("one pair of limits for all", one)):
        same = {k: np.broadcast_to(np.asarray(v), (N,)) for k, v in case.items()}
        few = {k: v[:rows] for k, v in same.items()}
        print(title)
        ours, plain, slow = by_restonb(**case), by_numpy(**case), by_pint(**{k: v[:1000] for k, v in same.items()})
        assert (ours == plain).all(), "restonb and plain numpy do not agree"
        assert (ours[:1000] == slow).all(), "restonb and pint do not agree"
        # Turn about, so that what else the machine does meets both alike.
        both: tuple[list[float], list[float]] = ([], [])
        for _ in range(args.times):
            both[0].extend(timed(lambda: by_restonb(**case), 1))  # noqa: B023 - called at once
            both[1].extend(timed(lambda: by_numpy(**case), 1))  # noqa: B023
        a = shown("restonb", both[0])
        b = shown("numpy", both[1])
        scaled = [s * N / rows for s in timed(lambda: by_pint(**few), 3 if args.short else 1)]  # noqa: B023
        c = shown("pint", scaled, f"(from {rows:,} rows)" if rows < N else "(every row)")
        pairs = [x / y for x, y in zip(*both, strict=True)]
        print(
            f"  restonb takes {a / b:.2f} times plain numpy (pair by pair {min(pairs):.2f} to {max(pairs):.2f}); "
            f"pint row by row takes {c / a:,.0f} times restonb"
        )
    grown(data)


def grown(data: dict[str, np.ndarray]) -> None:
    """Time against the number of readings, for arrays and for the rows of a table with their words and budgets."""
    sizes = [N // 100, N // 10, N]
    taken = [min(timed(lambda n=n: by_restonb(**{k: v[:n] for k, v in data.items()}), 15)) for n in sizes]  # type: ignore[misc]
    growth("readings judged as arrays", sizes, taken)
    places = [7, 70, 700]
    growth("places of one table judged, with budget and words", places, [by_rows(n) for n in places])


def by_rows(n: int) -> float:
    spec = Characteristic("hub", "runout", "run-out", f"bolts {n}", "mm", upper=0.30, instrument="dial")
    gauges = {"dial": Instrument("dial", "dial gauge", "mm", 0.01, 0.01)}
    readings = [
        Reading("hub", "runout", f"bolt {i + 1}", 0.25 + i % 10 / 100, "mm", "", 0.01, "dial") for i in range(n)
    ]
    return min(seconds(lambda: check(spec, readings, gauges)) for _ in range(3))


if __name__ == "__main__":
    main()
