"""Handing over a record of 1, 10 and 100 times as many readings: time, and how it grows.

    python tests/benchmarks/bench_handover.py [--short]      1, 10 and 30 times

The floor is the same bytes into a zip, without working anything out.
"""

from __future__ import annotations

import tempfile
import zipfile
from itertools import cycle, islice
from pathlib import Path

from common import arguments, growth, machine, ratio, seconds, shown

from restonb.build import Build
from restonb.handover import hand_over
from restonb.record import Record, enter_readings

HEADER = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source\n"
GAUGES = "instrument,what,unit,resolution,error,expansion,last_check,source\nfeeler,feeler gauges,mm,0.01 mm,0.005 mm,,,data sheet\n"
FEET = {str(n): f"0.0{n}" for n in range(1, 9)}


def entered(folder: Path, times: int) -> Build:
    """Four sheets of two characteristics at eight places, and each measured `times` times."""
    build = Build.create(folder, "Bench")
    for old in (folder / "specs").iterdir():
        old.unlink()
    rows = [f'sheet_{s},gap_{c},"gap {c}",list,,0,0.06,,mm,feeler,,"data sheet"' for s in range(4) for c in range(2)]
    (folder / "specs" / "drivetrain.csv").write_text(HEADER + "\n".join(rows).replace("list", "feet 8") + "\n")
    (folder / "instruments.csv").write_text(GAUGES)
    build = Build.open(folder)
    with Record.open(build) as record:
        for sheet in range(4):
            for c in range(2):
                enter_readings(record, build, f"sheet_{sheet}", f"gap_{c}", FEET, occasion="as found")
        own = [("reading", e.body) for e in record.entries("reading")]
        record.append_many(islice(cycle(own), len(own) * (times - 1)))
    return build


def main() -> None:
    args = arguments(__doc__).parse_args()
    machine("handing over")
    sizes = [1, 10, 30 if args.short else 100]
    taken, floors = [], []
    with tempfile.TemporaryDirectory(prefix="restonb-bench-") as own:
        first = entered(Path(own) / "first", 1)
        with Record.open(first) as record:
            cold = seconds(lambda: hand_over(first, record))
        print(f"  the first, with all imports: {shown(cold)}")
        for times in sizes:
            build = entered(Path(own) / str(times), times)
            with Record.open(build) as record:
                taken.append(seconds(lambda b=build, r=record: hand_over(b, r)))  # type: ignore[misc]
            made = [p for p in (build.folder / "handover").rglob("*") if p.is_file() and p.suffix != ".zip"]

            def zipped(made: list[Path] = made, where: Path = Path(own) / f"{times}.zip") -> None:
                with zipfile.ZipFile(where, "w", zipfile.ZIP_DEFLATED) as out:
                    for path in made:
                        out.write(path, path.name + str(len(out.namelist())))

            floors.append(seconds(zipped))
    growth("handed over, so many times 64 readings", sizes, taken)
    ratio("the largest, handed over", taken[-1:], "the same bytes zipped", floors[-1:], None)


if __name__ == "__main__":
    main()
