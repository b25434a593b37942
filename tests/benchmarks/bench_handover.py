"""Handing over a long restoration: ten years, 20,000 readings, 500 filed runs and 2,000 photographs, and a tenth of it.

    python tests/benchmarks/bench_handover.py [--short] [--keep FOLDER]

`--short` is 800 readings, 20 runs and 80 photographs, and a quarter of that.

Each export runs in a process of its own, for the most memory that it ever held; the time of each step is that between
two words of its progress. The floor is the same bytes, read, digested and zipped without working anything out.
The photographs have 3 megapixels (2048 x 1536, as cameras sent them ten years ago); each is another file, but they
show the same.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import json
import math
import resource
import subprocess
import sys
import tempfile
import time
import zipfile
from collections import Counter
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from common import arguments, growth, machine, ratio, seconds, shown

from restonb.handover import hand_over
from restonb.measure import check
from restonb.record import Record, in_force
from restonb.stated import Build

HEADER = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source\n"
GAUGES = "instrument,what,unit,resolution,error,expansion,last_check,source\nfeeler,feeler gauges,mm,0.01 mm,0.005 mm,,,data sheet\n"
ROUND = 40
"""Readings of one sheet in one go: five characteristics at eight places."""
PIXELS = (2048, 1536)


def entered(folder: Path, sheets: int, rounds: int, runs: int, photos: int) -> None:
    """Every sheet measured so often over ten years, with its runs and its photographs."""
    build = Build.create(folder, "Ten years")
    for old in (folder / "specs").iterdir():
        old.unlink()
    rows = [
        f'sheet_{s},gap_{c},"gap {c} of part {s}",feet 8,,0,0.06,,mm,feeler,{"yes" if s % 5 == 0 else ""},"data sheet"'
        for s in range(sheets)
        for c in range(5)
    ]
    (folder / "specs" / "drivetrain.csv").write_text(HEADER + "\n".join(rows))
    (folder / "instruments.csv").write_text(GAUGES)
    build = Build.open(folder)
    turns = rounds * sheets
    now = [datetime(2016, 5, 1, tzinfo=UTC)]
    page, shot = _page(), _shot()
    with Record.open(build, clock=lambda: now[0]) as record:
        for turn in range(turns):
            now[0] += timedelta(days=3650 / turns)
            sheet = f"sheet_{turn % sheets}"
            record.append_many(("reading", _reading(sheet, turn // sheets, n)) for n in range(ROUND))
            for n in range(turn * photos // turns, (turn + 1) * photos // turns):
                record.append("photo", _photo(build, shot, n, sheet))
            for n in range(turn * runs // turns, (turn + 1) * runs // turns):
                record.append("run", _run(build, record, sheet, f"log/{now[0]:%Y-%m-%d}/{sheet}-{n}", page))


def _reading(sheet: str, round: int, n: int) -> dict[str, Any]:
    value = f"0.0{1 + (round + n) % 7}"
    return {
        "sheet": sheet, "characteristic": f"gap_{n // 8}", "position": f"foot {n % 8 + 1}", "value": value,
        "unit": "mm", "typed": value, "resolution": "0.01", "instrument": "feeler", "temperature": None, "note": "",
        "occasion": "as found" if not round else f"after rework {round}",
    }  # fmt: skip


def _shot() -> bytes:
    """A JPEG as a camera makes it: neither plain nor pure noise."""
    from PIL import Image

    coarse = Image.effect_noise((PIXELS[0] // 16, PIXELS[1] // 16), 80).resize(PIXELS, Image.Resampling.BICUBIC)
    picture = Image.blend(coarse, Image.effect_noise(PIXELS, 30), 0.2).convert("RGB")
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=85)
    return out.getvalue()


def _photo(build: Build, shot: bytes, number: int, sheet: str) -> dict[str, Any]:
    own = shot[:2] + b"\xff\xfe\x00\x0a%08d" % number + shot[2:]  # a comment, so that each is another file
    digest = hashlib.sha256(own).hexdigest()
    build.photos.mkdir(exist_ok=True)
    (build.photos / f"{digest}.jpg").write_bytes(own)
    return {
        "file": f"photos/{digest}.jpg",
        "sha256": digest,
        "caption": f"Foot {number}",
        "sheet": sheet,
        "position": None,
    }


def _page() -> tuple[str, str]:
    """A notebook and its page, of the size of the demo's."""
    picture = {"output_type": "display_data", "metadata": {}, "data": {"image/svg+xml": "<svg>" + "0" * 280_000}}
    cell = {"cell_type": "code", "id": "a", "metadata": {}, "source": "", "execution_count": None, "outputs": [picture]}
    book = {"cells": [cell], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
    return json.dumps(book), "<!DOCTYPE html><title>x</title>" + "0" * 220_000


def _run(build: Build, record: Record, sheet: str, folder: str, page: tuple[str, str]) -> dict[str, Any]:
    readings = in_force(record, sheet)
    place = build.folder / folder
    place.mkdir(parents=True)
    (place / f"{sheet}.ipynb").write_text(page[0])
    (place / f"{sheet}.html").write_text(page[1])
    head = record.head()
    assert head is not None
    rows = build.specs.sheet(sheet)
    verdicts = [row for one in rows for row in check(one, readings, build.instruments, build.rule).as_data()]
    return {
        "template": f"drivetrain/{sheet}", "sheet": sheet, "subsystem": "drivetrain", "state": "good", "reason": "",
        "cell": None, "parameters": {}, "template_digest": "0" * 64, "head": {"seq": head.seq, "digest": head.digest},
        "folder": folder, "versions": {}, "seconds": 1.0, "spec": {one.key: build.specs.digest(one) for one in rows},
        "filed": {
            "sheet": sheet, "decision": ["nothing to do"], "verdicts": verdicts, "numbers": {}, "cautions": [],
            "readings": [r.seq for r in readings], "open": [],
        },
    }  # fmt: skip


def one(folder: Path) -> None:
    """Export it, and print how long each step took, and the most memory."""
    steps: Counter[str] = Counter()
    heard = 0
    last = ["starting", time.perf_counter()]
    begun = last[1]

    def listen(what: str, done: int, of: int) -> None:
        nonlocal heard
        now = time.perf_counter()
        steps[str(last[0])] += now - last[1]  # type: ignore[operator]
        last[:] = [what if not what.startswith(("log/", "Sheet")) else what.split("/")[0].split()[0], now]
        heard += 1

    build = Build.open(folder)
    with Record.open(build) as record:
        done = hand_over(build, record, progress=listen)
    size = done.zip.stat().st_size
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    answer = {
        "seconds": time.perf_counter() - begun, "MB": most, "steps": steps, "heard": heard, "size": size,
        "folder": str(done.folder),
    }  # fmt: skip
    print(json.dumps(answer))


def main() -> None:
    parse = arguments(__doc__)
    parse.add_argument("--keep", type=Path, help="where to leave the builds, and to find them again")
    parse.add_argument("--one", type=Path, help=argparse.SUPPRESS)
    args = parse.parse_args()
    if args.one:
        return one(args.one)
    machine("handing over")
    # sheets, rounds, runs, photographs
    sizes = [(5, 1, 5, 20), (5, 4, 20, 80)] if args.short else [(25, 2, 50, 200), (25, 20, 500, 2000)]
    if args.keep:
        return measured(args.keep, sizes)
    with tempfile.TemporaryDirectory(prefix="restonb-bench-") as own:
        return measured(Path(own), sizes)


def measured(home: Path, sizes: list[tuple[int, int, int, int]]) -> None:
    taken, memory, floors = [], [], []
    for sheets, rounds, runs, photos in sizes:
        folder = home / f"{sheets}-{rounds}-{runs}-{photos}"
        if not folder.exists():
            made = seconds(lambda f=folder, a=(sheets, rounds, runs, photos): entered(f, *a))  # type: ignore[misc]
            print(f"  {rounds * sheets * ROUND:,} readings, {runs} runs, {photos:,} photographs: made in {shown(made)}")
        command = [sys.executable, __file__, "--one", str(folder)]
        said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        found = json.loads(said.splitlines()[-1])
        taken.append(found["seconds"])
        memory.append(found["MB"])
        steps = sorted(found["steps"].items(), key=lambda step: -step[1])
        told = ", ".join(f"{what} {shown(spent)}" for what, spent in steps if spent > 0.02 * found["seconds"])
        print(
            f"  handed over in {shown(found['seconds'])}, {found['MB']:.0f} MB at most, {found['size'] / 1e6:.0f} MB zipped, {found['heard']} words of progress"
        )
        print(f"    {told}")
        floors.append(seconds(lambda: zipped(Path(found["folder"]), home / "floor.zip")))  # noqa: B023
        (home / "floor.zip").unlink()
    entries = [rounds * sheets * ROUND + runs + photos for sheets, rounds, runs, photos in sizes]
    growth("time, by entries", entries, taken)
    exponent = math.log(memory[-1] / memory[0]) / math.log(entries[-1] / entries[0])
    print(f"  memory: {memory[0]:.0f} to {memory[-1]:.0f} MB -> growth exponent {exponent:.2f}")
    ratio("the largest, handed over", taken[-1:], "the same bytes digested and zipped", floors[-1:], None)


def zipped(folder: Path, target: Path) -> None:
    with zipfile.ZipFile(target, "w", zipfile.ZIP_STORED) as out:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                hashlib.sha256(path.read_bytes()).hexdigest()
                out.write(path, path.relative_to(folder).as_posix())


if __name__ == "__main__":
    main()
