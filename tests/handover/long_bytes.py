"""Change one byte of a bag, of its zip or of its signature, at random, and see that `verify` finds it; many times.

    python tests/handover/long_bytes.py --times 10000

Every turn changes one byte on disk, verifies the whole thing with the same function that the command calls, and puts
the byte back. Half of the turns take any byte of the bag; the others go through the kinds of file in turn, since the
short ones would hardly ever be met by chance.
"""

from __future__ import annotations

import argparse
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "faults"))

import kill

from restonb.handover import Handover, hand_over, sign, signed_by, verify
from restonb.record import Record

TAGS = ("bagit.txt", "bag-info.txt", "README.txt", "check.py", "manifest-sha256.txt", "tagmanifest-sha256.txt")


@dataclass(frozen=True)
class Target:
    """A file to spoil, and who must find it."""

    path: Path
    whole: Callable[[], bool]


class Targets:
    """What was handed over, its kinds of file, and its signature."""

    def __init__(self, made: Handover, home: Path) -> None:
        def bag() -> bool:
            return verify(made.folder).ok

        def packed() -> bool:
            return verify(made.zip).ok

        payload = [p for p in sorted((made.folder / "data").rglob("*")) if p.is_file()]
        self.anywhere = [Target(p, bag) for p in sorted(made.folder.rglob("*")) if p.is_file() and p.stat().st_size]
        self.kinds = {name: [Target(made.folder / name, bag)] for name in TAGS}
        for suffix in sorted({p.suffix for p in payload}):
            self.kinds[f"payload {suffix}"] = [
                Target(p, bag) for p in payload if p.suffix == suffix if p.stat().st_size
            ]
        self.kinds["zip"] = [Target(made.zip, packed)]
        tool = shutil.which("ssh-keygen")
        if tool:
            key, allowed = home / "key", home / "allowed"
            subprocess.run([tool, "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", str(key)], check=True)
            allowed.write_text(f"restorer {key.with_suffix('.pub').read_text()}")
            signature = sign(made.seal_file, key)

            def signed() -> bool:
                return signed_by(made.seal_file, allowed, "restorer")

            self.kinds["signature"] = [Target(signature, signed)]
            self.kinds["signed seal"] = [Target(made.seal_file, signed)]
        assert all(one[0].whole() for one in self.kinds.values())

    def pick(self, turn: int, dice: random.Random) -> tuple[str, Target]:
        if turn % 2:
            return "anywhere", dice.choices(self.anywhere, [t.path.stat().st_size for t in self.anywhere])[0]
        names = sorted(self.kinds)
        name = names[turn // 2 % len(names)]
        return name, dice.choice(self.kinds[name])


def turn(target: Target, dice: random.Random) -> None:
    """One byte is changed to another, found, and put back."""
    with target.path.open("r+b", buffering=0) as file:
        spot = dice.randrange(target.path.stat().st_size)
        file.seek(spot)
        before = file.read(1)[0]
        after = dice.choice([n for n in range(256) if n != before])
        file.seek(spot)
        file.write(bytes([after]))
        try:
            assert not target.whole(), f"{target.path.name}, byte {spot}: {before} became {after}, and nobody saw it"
        finally:
            file.seek(spot)
            file.write(bytes([before]))


def small(home: Path) -> Targets:
    """An export with a little of everything."""
    build = kill.toy_build(home / "toy")
    with Record.open(build) as record:
        return Targets(hand_over(build, record), home)


def spoil(targets: Targets, times: int, seed: int, told: Callable[[int], None] = lambda n: None) -> Counter[str]:
    """How often each kind was changed and found; AssertionError names the byte that was not."""
    dice = random.Random(seed)
    done: Counter[str] = Counter()
    for number in range(times):
        name, target = targets.pick(number, dice)
        turn(target, dice)
        done[name] += 1
        told(number + 1)
    assert all(one[0].whole() for one in targets.kinds.values()), "not every byte was put back"
    return done


def main() -> None:
    parse = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parse.add_argument("--times", type=int, default=10_000)
    parse.add_argument("--seed", type=int, default=1971)
    args = parse.parse_args()
    start = time.monotonic()

    def told(number: int) -> None:
        if number % 100 == 0 or number == args.times:
            print(f"\r{number} of {args.times} in {time.monotonic() - start:.0f} s", end="", flush=True)

    with tempfile.TemporaryDirectory(prefix="restonb-bytes-") as home:
        targets = small(Path(home))
        size = sum(t.path.stat().st_size for t in targets.anywhere)
        print(f"a bag of {len(targets.anywhere)} files, {size:,} bytes")
        done = spoil(targets, args.times, args.seed, told)
    print("\nchanged and found: " + ", ".join(f"{name} {count}" for name, count in sorted(done.items())))


if __name__ == "__main__":
    main()
