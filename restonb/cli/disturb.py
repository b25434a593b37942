"""restonb disturb: what opening a joint spoils, asked first and entered after."""

from __future__ import annotations

import argparse
import sys
from dataclasses import asdict

from restonb.cli.common import add_build, add_json, build_of, print_json, record_of
from restonb.errors import RestonbError
from restonb.record import Impact, Record, closing_order, enter_disturb, impact
from restonb.stated import Build

EXAMPLE = """examples:
  restonb disturb gearbox_mounting --ask                          only asks; nothing is entered
  restonb disturb gearbox_mounting --why "shims to be changed"
  restonb disturb engine_plates --what removed --why "cracked weld" --yes
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("joint", help="which joint of joints.toml")
    command.add_argument("--what", default="loosened", help="loosened, removed or replaced (default: loosened)")
    command.add_argument("--why", default="", help="the reason, which stays with the entry")
    command.add_argument("--ask", action="store_true", help="only say what it would spoil")
    command.add_argument("--yes", action="store_true", help="enter it without asking again")
    add_build(command)
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    build = build_of(args)
    with record_of(build, begin=not args.ask) as record:
        found = impact(record, build, args.joint, args.what)
        if not args.json:
            print(impact_text(found, build, record))
        if args.ask:
            if args.json:
                print_json(asdict(found))
            return 0
        if not args.why.strip():
            raise RestonbError('say why it is opened: --why "shims to be changed" (or --ask to enter nothing)')
        if not args.yes and not args.json and not _confirmed():
            print("nothing was entered")
            return 1
        entry = enter_disturb(record, build, args.joint, args.what, args.why)
        if args.json:
            print_json({"entry": entry.seq, **asdict(found)})
        else:
            print(f"entry {entry.seq}: {found.joint} {found.what}")
    return 0


def _confirmed() -> bool:
    """Asks where somebody sits at the terminal; a script says --yes."""
    if not sys.stdin.isatty():
        raise RestonbError("there is nobody to confirm it; add --yes to enter it, or --ask to enter nothing")
    return input("enter it? [y/N] ").strip().casefold() in ("y", "yes")


def impact_text(found: Impact, build: Build, record: Record) -> str:
    """What it spoils, in lines."""
    lines = [f"{found.joint} {found.what}:"]
    others = [joint for joint in found.opened if joint != found.joint]
    if others:
        lines.append(f"  opened too, in this order: {', '.join(found.opened)}")
    lines.append("  to measure again:" if found.measure_again else "  no filed reading is spoiled")
    for sheet in found.measure_again:
        took = f"; measuring took {_minutes(sheet.bench_seconds)} last time" if sheet.bench_seconds else ""
        through = f" (through {' -> '.join(sheet.chain)})" if len(sheet.chain) > 1 else ""
        lines.append(f"    {sheet.sheet}: {', '.join(sheet.characteristics)}{through}{took}")
    if found.tighten:
        lines.append("  to tighten again:")
        lines += [
            f"    {t.joint}: {t.count} x {t.what}, {t.torque or 'no torque planned'}"
            + (f", {t.treatment}" if t.treatment else "")
            for t in found.tighten
        ]
    if found.buy:
        lines.append("  to buy, used once only:")
        lines += [f"    {b.joint}: {f'{b.count} x ' if b.count else ''}{b.what} {b.thread}".rstrip() for b in found.buy]
    steps = closing_order(record, build, found.opened)
    if steps:
        lines.append("  then, in this order: " + "; ".join(f"{s.what} {s.name}" for s in steps))
    return "\n".join(lines)


def _minutes(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 90 else f"{seconds / 60:.0f} min"
