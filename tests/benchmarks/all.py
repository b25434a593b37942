"""All benchmarks, one after another, on one demo build.

    python tests/benchmarks/all.py [--short] [--demo FOLDER]

Each prints what it was measured on, the number of turns, median and spread, and the ratio to a floor measured in the
same run. Nothing here passes or fails.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from common import arguments, copy_of_demo

HERE = Path(__file__).parent


def main() -> int:
    args = arguments(__doc__).parse_args()
    codes = []
    with copy_of_demo(args.demo) as demo:
        for path in sorted(HERE.glob("bench_*.py")):
            words = [*(["--short"] if args.short else []), "--demo", str(demo)]
            sys.stdout.flush()
            codes.append(subprocess.run([sys.executable, str(path), *words]).returncode)
    return max(codes)


if __name__ == "__main__":
    raise SystemExit(main())
