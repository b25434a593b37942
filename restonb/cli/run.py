"""restonb run: templates into the dated build log."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Any

from restonb.cli.common import add_build, add_json, build_of, print_json, record_of, verdict_counts
from restonb.errors import RestonbError
from restonb.log import Template, find_template, parsed, run_all, templates, what_changed
from restonb.record import SHAPES, Box, Record, Run, box_of, standing, standing_if_filed
from restonb.stated import Build
from restonb.words import counted

EXAMPLE = """examples:
  restonb run                                     lists the templates
  restonb run gearbox_mounting --show              says what it takes, and runs nothing
  restonb run gearbox_mounting
  restonb run gearbox_mounting -p residual_limit=0.04
  restonb run --stale                             every sheet that can be put right from the record alone
  restonb run --all                               every template that the spec book has rows for
"""


MOST = 8
"""Changes, and things left open, of one run that are listed."""
FEW = 3
"""So many runs at once show their cautions line by line; of more, how many there are."""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("template", nargs="*", help="which templates")
    command.add_argument(
        "-p", "--parameter", action="append", default=[], metavar="NAME=VALUE", help="for one template"
    )
    command.add_argument("--show", action="store_true", help="only say which parameters the templates take")
    command.add_argument("--all", action="store_true", help="every template that the spec book has rows for")
    command.add_argument("--stale", action="store_true", help="those whose readings or limits changed since their run")
    add_build(command)
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    build = build_of(args)
    with record_of(build, begin=True) as record:
        chosen = _chosen(args, build, record)
        if chosen is None:
            if args.parameter:
                raise RestonbError("parameters go to one template; name it: restonb run TEMPLATE -p NAME=VALUE")
            return _list(templates(build), args.json, args.show)
        if args.show:
            return _list(chosen, args.json, full=True)
        if args.parameter and len(chosen) != 1:
            raise RestonbError("parameters go to one template; name just that one")
        values = parsed(chosen[0].parameters, args.parameter, chosen[0].short) if args.parameter else None
        wanted = [(template.name, values or {}) for template in chosen]
        if not args.json:
            names = ", ".join(name for name, _ in wanted)
            print(f"running {names} ..." if names else "nothing is out of date", file=sys.stderr, flush=True)
        told = None if args.json else partial(_tell, build, record, len(wanted) <= FEW)
        done = run_all(build, record, wanted, progress=told)
        if args.json:
            print_json([_data(record, build, one) for one in done])
    return 0 if all(one.good for one in done) else 1


def _chosen(args: argparse.Namespace, build: Build, record: Record) -> Sequence[Template] | None:
    if bool(args.template) + args.all + args.stale > 1:
        raise RestonbError("choose one: templates by name, --all, or --stale")
    if args.all:
        known = templates(build)
        chosen = [t for t in known if t.sheet in build.specs.sheets or build.measures_nothing(t.sheet)]
        left = [t.short for t in known if t not in chosen]
        if left and not args.json:
            print(f"left out, the spec book has no rows for them: {', '.join(left)}", file=sys.stderr)
        return chosen
    if args.stale:
        stale = {s.sheet for s in standing(record, build).in_state("out of date")}
        return [t for t in templates(build) if t.sheet in stale]
    if not args.template:
        return None
    return [find_template(build, name) for name in args.template]


def _tell(build: Build, record: Record, cautions: bool, done: Run) -> None:
    print("\n".join(run_lines(record, build, done, cautions)), flush=True)


def run_lines(record: Record, build: Build, done: Run, cautions: bool = True) -> list[str]:
    """What a run says, in lines: where its sheet stands, what was found, what to do, what is open, how it can hurt, what
    changed, where it lies. Without `cautions`, only how many there are."""
    if not done.good:
        return [f"{done.template}: {SHAPES['failed']} failed: {done.reason}", f"  kept in {build.folder / done.folder}"]
    lines = _box(record, build, done).lines(done.template, MOST)
    said = [str(line) for line in done.filed.get("cautions") or ()]
    lines += [f"  caution: {line}" for line in said] if cautions else []
    if said and not cautions:
        lines.append(f"  {counted(len(said), 'caution')}, on its page")
    changes = what_changed(record, done)
    lines.append(f"  {changes.summary}")
    told = [f"    {c.what}: {c.was or 'nothing'} -> {c.now or 'nothing'}" for c in changes if c.kind != "decision"]
    lines += told[:MOST]  # what is decided now stands above
    if len(told) > MOST:
        lines.append(f"    and {len(told) - MOST} more, which the page shows")
    lines.append(f"  filed in {build.folder / done.folder}")
    return lines


def _box(record: Record, build: Build, done: Run) -> Box:
    """Where the sheet of a good run stands now that it is filed."""
    stands = standing(record, build).sheets.get(done.sheet)
    return box_of(stands or standing_if_filed(record, build, done.sheet, done.filed))


def _data(record: Record, build: Build, done: Run) -> dict[str, Any]:
    box = _box(record, build, done) if done.good else Box("failed")
    return {
        "template": done.template,
        "sheet": done.sheet,
        "word": box.word,
        "state": done.state,
        "reason": done.reason,
        "verdicts": verdict_counts(done),
        "steps": [dict(step) for step in done.filed.get("steps") or ()],
        "open": list(box.open),
        "cautions": list(done.filed.get("cautions") or ()),
        "changes": what_changed(record, done).as_data(),
        "folder": str(Path(done.folder)),
        "entry": done.seq,
        "seconds": done.seconds,
    }


def _list(known: Sequence[Template], as_json: bool, full: bool) -> int:
    """Name and title of each; with `full` what it takes, too."""
    if as_json:
        print_json([{"template": t.name, "title": t.title, "sheet": t.sheet} for t in known])
        return 0
    wide = max((len(t.name) for t in known), default=0)
    for template in known:
        print(f"{template.name:<{wide}}  {template.title}")
        for parameter in template.parameters if full else ():
            shown = "" if parameter.default in (None, "") else json.dumps(parameter.default)
            print(f"    -p {parameter.name}={shown or '...'}  {parameter.comment}")
    if not full and not as_json:
        print("\n'restonb run NAME --show' says which parameters one takes; the subsystem may be left out of its name")
    return 0
