"""restonb enter: everything that is entered and is not a reading."""

from __future__ import annotations

import argparse
import inspect
from collections.abc import Callable, Iterator
from typing import Any

from restonb import record as room
from restonb.cli.common import add_build, add_json, build_of, pairs, print_json, record_of
from restonb.cli.rounds import entry_text
from restonb.errors import RestonbError
from restonb.record import KINDS as FIELDS
from restonb.record import Entry, Record
from restonb.stated import Build
from restonb.words import did_you_mean

EXAMPLE = """examples:
  restonb enter                                   lists what can be entered, and what each takes
  restonb enter joint joint=gearbox_mounting state=tightened wrench=torque_wrench fasteners="all: 25 ft-lb, oiled, new"
  restonb enter joint joint=front_disc state=tightened fasteners="1-4: 24 N m, threadlocker; 5: 23 N m, threadlocker"
  restonb enter joint joint=front_disc state=tightened accepted="manual allows 22 N m on the short bolt"
  restonb enter joint joint=primary_case state=temporary label="two screws only" waiting=part
  restonb enter check instrument=feeler good=no against="1.00 mm gauge block"
  restonb enter usage "41210 mile"
  restonb enter part what="hexagon bolt" thread="3/8-16 UNC" length="1-1/2 in" strength="grade 5" quantity=4 state=wanted
  restonb enter note "oil seeps at the lower stud"
"""

KINDS: dict[str, Callable[..., Entry]] = {
    "joint": room.enter_joint,
    "check": room.enter_check,
    "usage": room.enter_usage,
    "part": room.enter_part,
    "work": room.enter_work,
    "note": room.enter_note,
    "photo": room.enter_photo,
}

BARE = {"note": "text", "usage": "value", "photo": "file"}
"""What the first word says where it has no key."""

ELSEWHERE = {
    "reading": "readings are entered with 'restonb read SHEET CHARACTERISTIC POSITION=VALUE'",
    "strike": "an entry is struck out with 'restonb read --strike 17 --why \"read the wrong leaf\"'",
    "disturb": "that a joint is opened is entered with 'restonb disturb JOINT'",
    "run": "templates are run with 'restonb run TEMPLATE'",
    "handover": "the record is exported with 'restonb handover'",
}


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("kind", nargs="?", metavar="KIND", help=", ".join(KINDS))
    command.add_argument("given", nargs="*", metavar="key=value", help="what it says")
    add_build(command)
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    if args.kind is None:
        for kind in KINDS:
            print(f"{kind}: {takes(kind)}")
        return 0
    if args.kind not in KINDS:
        elsewhere = ELSEWHERE.get(args.kind, f"nothing is called '{args.kind}'; {did_you_mean(args.kind, KINDS)}")
        raise RestonbError(elsewhere)
    build = build_of(args)
    words = list(args.given)
    if words and args.kind in BARE and _is_bare(words[0], args.kind):
        words[0] = f"{BARE[args.kind]}={words[0]}"
    given = pairs(words, "key=value, such as state=tightened")
    with record_of(build, begin=True) as record:
        entry = KINDS[args.kind](**_arguments(args.kind, given, build, record))
        remarks = list(_remarks(record, build, entry)) if entry.kind == "joint" else []
    if args.json:
        more = {"remarks": remarks} if entry.kind == "joint" else {}
        print_json({"entry": entry.seq, "digest": entry.digest, **entry.body, **more})
    else:
        print("\n".join([f"entry {entry.seq}: {entry_text(entry)}{_torques(entry)}", *(f"  {r}" for r in remarks)]))
    return 0


def _is_bare(word: str, kind: str) -> bool:
    """A text without a key; 'gap = 0.1 all round' is one too."""
    key, sign, _ = word.partition("=")
    return not sign or (" " in key and key.strip() not in _keys(kind))


def _torques(entry: Entry) -> str:
    """What was reached at each fastener, as it was read."""
    rows = [f"{f['position']}: {f['torque']} {f['unit']}" for f in entry.body.get("fasteners", ()) if f["torque"]]
    return f" ({'; '.join(rows)})" if rows else ""


def _remarks(record: Record, build: Build, entry: Entry) -> Iterator[str]:
    """What the torques of that joint leave open, what follows from it, and what does not belong on a thread."""
    joint = build.joints.get(entry.body["joint"])
    open_now = [end for end in room.open_torques(record, build) if end.joint == joint.key]
    yield from (f"look again: {end.text}" for end in open_now if end.due)
    yield from (end.text for end in open_now if not end.due)
    if any(end.due and end.kind == "torque" and end.seq == entry.seq for end in open_now) and entry.body["fasteners"]:
        yield f'if a figure was only typed wrong, strike it out: restonb read --strike {entry.seq} --why "typed wrong"'
    if joint.safety and any(end.due for end in open_now):
        yield (
            f"{joint.key} is about safety: not ready for the road before that is put right, or accepted with a reason: "
            f'restonb enter joint joint={joint.key} state={entry.body["state"]} accepted="..."'
        )
    if remark := room.sealing_remark(joint, entry.body["fasteners"]):
        yield f"look again: {remark}"


def takes(kind: str) -> str:
    """The keys that a kind of entry takes, with the words that they take; those that may be left out in brackets."""
    shown = []
    for name, parameter in _keys(kind).items():
        said = name + (f"={'|'.join(words)}" if (words := _words(kind, name)) else "")
        shown.append(said if parameter.default is parameter.empty else f"[{said}]")
    return " ".join(shown)


def _words(kind: str, name: str) -> tuple[str, ...]:
    """The words that a key takes; none where it takes any text."""
    if name in ("good", "private"):
        return ("yes", "no")
    field = FIELDS[kind].fields.get(name)
    return tuple(word for word in field.choices if word) if field else ()


def _keys(kind: str) -> dict[str, inspect.Parameter]:
    parameters = inspect.signature(KINDS[kind]).parameters
    return {name: p for name, p in parameters.items() if name not in ("record", "build")}


def _arguments(kind: str, given: dict[str, str], build: Build, record: Record) -> dict[str, Any]:
    keys = _keys(kind)
    for name in given:
        if name not in keys:
            raise RestonbError(f"a {kind} has no '{name}'; it takes {takes(kind)}")
    missing = [n for n, p in keys.items() if p.default is p.empty and n not in given]
    if missing:
        words = " or ".join(f"{missing[0]}={word}" for word in _words(kind, missing[0])) or f"{missing[0]}=..."
        raise RestonbError(f"a {kind} needs {' and '.join(missing)}; write {words}")
    values: dict[str, Any] = {"record": record} | dict(given)
    if "build" in inspect.signature(KINDS[kind]).parameters:
        values["build"] = build
    for name in ("good", "private"):
        if name in values:
            values[name] = _yes_or_no(name, values[name])
    return values


def _yes_or_no(name: str, text: str) -> bool:
    if text.casefold() in ("yes", "true", "1"):
        return True
    if text.casefold() in ("no", "false", "0"):
        return False
    raise RestonbError(f"'{name}' is '{text}'; write yes or no")
