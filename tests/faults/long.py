"""Kill restonb at work many times, at random moments, and check after each that nothing was lost.

    python tests/faults/long.py --times 1000

Entering takes half of the turns, filing a third; running in a kernel and exporting, which take seconds each, the rest.
--only filing,exporting does those alone. Stops at the first fault, with its seed: --seed N --times 1 does that turn again.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from collections import Counter
from pathlib import Path

import kill

SHARES = {"entering": 50, "filing": 34, "running": 8, "exporting": 8}


def main() -> None:
    parse = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parse.add_argument("--times", type=int, default=1000)
    parse.add_argument("--seed", type=int, default=1971)
    parse.add_argument("--only", default=",".join(SHARES), help="which work, with commas between")
    args = parse.parse_args()
    only = args.only.split(",")
    done: Counter[str] = Counter()
    start = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="restonb-faults-", dir=Path.cwd()) as own:  # a disk, not memory
        sample = kill.toy_build(Path(own) / "sample")
        last = {work: kill.touches(work, sample) for work in ("file", "export")}
        build = sample
        for seed in range(args.seed, args.seed + args.times):
            dice = random.Random(seed)
            if seed % 50 == args.seed % 50:  # a long history slows the turns down, and hides nothing
                build = kill.toy_build(Path(own) / f"build-{seed}")
            work = dice.choices(only, [SHARES[name] for name in only])[0]
            try:
                match work:
                    case "entering":
                        kill.entering(build, dice)
                    case "running":
                        kill.running(build, dice)
                    case "filing":
                        kill.filing(build, dice, last["file"])
                    case _:
                        kill.exporting(build, dice, last["export"])
            except BaseException:
                print(f"\nseed {seed}, killed while {work}")
                raise
            done[work] += 1
            print(f"\r{sum(done.values())} of {args.times} in {time.monotonic() - start:.0f} s", end="", flush=True)
        kill.export_again(build)
    print("\nkilled while " + ", ".join(f"{work} {n} times" for work, n in sorted(done.items())) + "; nothing was lost")


if __name__ == "__main__":
    main()
