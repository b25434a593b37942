"""restonb handover: the record for somebody else."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from restonb.cli import since
from restonb.cli.common import add_as_of, add_build, add_json, build_of, print_json, record_of
from restonb.handover import CHOICES, hand_over, preview, sign

EXAMPLE = f"""examples:
  restonb handover --preview                      what would leave the house, and what would not
  restonb handover --include costs,who
  restonb handover --sign ~/.ssh/id_ed25519       so that the receiver can tell who made it
Left out unless included: {", ".join(CHOICES)}.
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--to", type=Path, metavar="FOLDER", help="where to put it (default: the build's handover folder)"
    )
    command.add_argument("--include", default="", metavar="WHAT,...", help="what else may leave: " + ", ".join(CHOICES))
    command.add_argument("--sign", type=Path, metavar="KEY", help="sign the seal with your private SSH key")
    command.add_argument("--preview", action="store_true", help="list what would leave; write nothing")
    add_as_of(command)
    add_build(command)
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    build = build_of(args)
    include = [word.strip() for word in args.include.split(",") if word.strip()]
    with record_of(build) as record:
        known = since.data(build, record, args.as_of)
        files = list(since.lines(build, record, args.as_of))
        if args.preview:
            leaves, stays = preview(build, record, args.as_of, include)
            if args.json:
                print_json({"leaves": leaves, "stays": stays} | known)
            else:
                print("leaves the house:", *leaves, sep="\n  ")
                print("stays at home:", *stays, sep="\n  ")
                print(*files, sep="\n", end="\n" if files else "")
            return 0
        done = hand_over(build, record, args.to, args.as_of, include, progress=None if args.json else _tell)
    signature = sign(done.seal_file, args.sign) if args.sign else None
    if args.json:
        made = {name: str(getattr(done, name)) for name in ("folder", "zip", "pdf", "html", "seal", "head")}
        print_json(made | known)
        return 0
    print(f"page   {done.html}\nPDF    {done.pdf}\nbag    {done.folder}\nzip    {done.zip}")
    if signature:
        print(f"signed {signature}")
    print(f"seal   {done.seal}\nhead   {done.head}")
    print("left out: " + "; ".join(done.left_out) if done.left_out else "nothing was left out")
    for line in done.missing:
        print(f"missing: {line}")
    print(*files, sep="\n", end="\n" if files else "")
    return 0


def _tell(what: str, done: int, of: int) -> None:
    """Progress on one line, only where somebody watches."""
    if sys.stderr.isatty():
        end = "\n" if what == "done" else ""
        print(f"\r\x1b[K{what}" + (f" {done}/{of}" if of > 1 else ""), end=end, file=sys.stderr, flush=True)
