"""Running templates, against the bare papermill command on the same notebooks with the same parameters.

    python tests/benchmarks/bench_runs.py            all templates, and each through papermill, one after another
    python tests/benchmarks/bench_runs.py --short    one turn of everything

Fewer than twelve templates are made up to twelve with copies of the gearbox's under other names.
"""

from __future__ import annotations

import json
import shutil
import statistics
from pathlib import Path

from common import arguments, command, copy_of_demo, filled, growth, machine, quiet, ratio, seconds, turns

from restonb.log import Template, copy_template, templates, values_for
from restonb.stated import Build

ONE = "drivetrain/gearbox_mounting"


def twelve(folder: Path) -> list[Template]:
    """At least twelve templates in the build."""
    build = Build.open(folder)
    missing = 12 - len(templates(build))
    if missing > 0:
        source = copy_template(build, ONE)
        for n in range(missing):
            shutil.copy(source, source.with_name(f"gearbox_mounting_{n}.ipynb"))
    return templates(build)


def papermill(folder: Path, template: Template) -> None:
    """The command as a person would write it, from the same build and with the same parameters."""
    values = folder.parent / "parameters.yaml"
    values.write_text(json.dumps(values_for(Build.open(folder), template)))
    quiet(
        command("papermill"), "-k", "python3", "-f", values, "--no-progress-bar", template.path, folder.parent / "out.ipynb",
        RESTONB_BUILD=str(folder), RESTONB_STATIC="1",
    )  # fmt: skip


def run_on(folder: Path) -> float:
    """Seconds of one template, the middle of three."""
    return statistics.median(seconds(lambda: quiet(command("restonb"), "run", ONE, "-b", folder)) for _ in range(3))


def main() -> None:
    args = arguments(__doc__).parse_args()
    machine("running templates")
    with copy_of_demo(args.demo) as folder:
        known = twelve(folder)
        one = next(t for t in known if t.name == ONE)
        restonb = command("restonb")
        ours, bare = turns(
            lambda: quiet(restonb, "run", ONE, "-b", folder), lambda: papermill(folder, one), 2 if args.short else 7
        )
        ratio("restonb run, one template", ours, "papermill, the same", bare, 0.6)
        whole, each = turns(
            lambda: quiet(restonb, "run", "--all", "-b", folder),
            lambda: [papermill(folder, t) for t in known],
            1 if args.short else 3,
        )
        ratio(f"restonb run --all, {len(known)} templates", whole, "papermill, one after another", each, 0.2)
        sizes = [1_000, 10_000, 100_000]
        builds = [filled(folder, folder.parent / str(n), n) for n in sizes]
        growth("restonb run, one template, entries in the record", sizes, [run_on(build) for build in builds])
        print(f"    -> {seconds(lambda: quiet(restonb, '--help')):.2f} s of each restonb command is its own start")


if __name__ == "__main__":
    main()
