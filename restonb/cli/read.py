"""restonb read: readings from the terminal, and striking one out."""

from __future__ import annotations

import argparse
from typing import Any

from restonb.cli.common import add_build, add_json, build_of, pairs, print_json, record_of, whole_number
from restonb.errors import RestonbError
from restonb.measure import WORKED_OUT, Characteristic, Reading, expand
from restonb.quantity import write
from restonb.record import Record, enter_readings, enter_strike, far_off_remark, in_force, known_occasions
from restonb.stated import Build

EXAMPLE = """examples:
  restonb read                                            lists the sheets
  restonb read gearbox_mounting                           lists what is measured, and the readings in force
  restonb read gearbox_mounting gap 1=0 2=0 3='10 thou' 4='0.05 mm' --instrument feeler
  restonb read hoses made front='week 23 2019'            a date of making: 2319, 2019-06 and 1978 are read, too
  restonb read --strike 17 --why "read the wrong leaf"
"""

MOST = 8
"""Positions that a message names."""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("sheet", nargs="?", help="which measuring job")
    command.add_argument("characteristic", nargs="?", help="what is measured")
    command.add_argument(
        "values", nargs="*", metavar="POSITION=VALUE", help="such as 3='0.25 mm'; VALUE alone if there is one position"
    )
    command.add_argument("--occasion", default=None, help="as found, after rework, as left, back from outside work")
    command.add_argument(
        "--new-occasion", action="store_true", help="the occasion is a new one, though nearly one in use"
    )
    command.add_argument("--instrument", help="which gauge of instruments.csv (default: the spec book's)")
    command.add_argument("--temperature", help="of the part, such as '14 degC'")
    command.add_argument("--note", default="", help="a remark that stays with the reading")
    command.add_argument("--strike", type=whole_number, metavar="SEQ", help="strike this entry out; it stays readable")
    command.add_argument("--why", help="why it is struck out")
    add_build(command)
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    build = build_of(args)
    for name in ("sheet", "characteristic"):  # a name that was pasted may have a space around it
        setattr(args, name, (getattr(args, name) or "").strip() or None)
    if args.why and args.strike is None:
        raise RestonbError("say which entry is struck out for that: --strike 17")
    if args.strike is not None and args.sheet:
        raise RestonbError("strike out first, then enter: --strike takes no sheet")
    with record_of(build, begin=bool(args.values)) as record:
        if args.strike is not None:
            return _strike(record, args)
        if args.sheet is None:
            return _sheets(build, args)
        if not args.values:
            return _standing(build, record, args)
        return _enter(build, record, args)


def _strike(record: Record, args: argparse.Namespace) -> int:
    if not args.why:
        raise RestonbError('say why it is struck out: --why "read the wrong leaf"')
    entry = enter_strike(record, args.strike, args.why)
    if args.json:
        print_json({"entry": entry.seq, "digest": entry.digest, **entry.body})
    else:
        print(f"entry {args.strike} is struck out by entry {entry.seq}; both stay")
    return 0


def _sheets(build: Build, args: argparse.Namespace) -> int:
    rows = {sheet: [c.key for c in build.specs.sheet(sheet)] for sheet in build.specs.sheets}
    if args.json:
        print_json(rows)
        return 0
    if not rows:
        print(f"no sheets yet; write limits into a file of {build.folder / 'specs'}")
    for sheet, keys in rows.items():
        print(f"{sheet}: {', '.join(keys)}")
    return 0


def _standing(build: Build, record: Record, args: argparse.Namespace) -> int:
    rows = [build.specs.get(args.sheet, args.characteristic)] if args.characteristic else build.specs.sheet(args.sheet)
    stands = {(r.characteristic, r.position): r for r in in_force(record, args.sheet)}
    places = [(row.key, position) for row in rows for position in _positions(row.positions)]
    if args.json:
        found = [(key, position, stands.get((key, position))) for key, position in places]
        print_json(
            [
                {
                    "characteristic": k,
                    "position": p,
                    "reading": r.typed if r else None,
                    "value": r.value if r else None,
                    "unit": r.unit if r else None,
                    "occasion": r.occasion if r else None,
                    "entry": r.seq if r else None,
                }
                for k, p, r in found
            ]
        )
        return 0
    for row in rows:
        print(f"{row.key}: {_about(row)}")
        positions = _positions(row.positions)
        wide = max(map(len, positions), default=0)
        for position in positions:
            reading = stands.get((row.key, position))
            told = f"{_as_typed(reading)} ({reading.occasion}, entry {reading.seq})" if reading else "not measured"
            print("  " + (told if position == "once" else f"{position:<{wide}}  {told}"))
    return 0


def _about(row: Characteristic) -> str:
    """What is measured, its limits, with what: 'gap under foot; 0 to 0.05 mm; feeler'."""
    ends = [
        (f"{word} {limit:.6g}" if limit is not None else "") for word, limit in (("from", row.lower), ("to", row.upper))
    ]
    limits = " ".join(end for end in ends if end).removeprefix("from " if all(ends) else "")
    worn = f", worn out beyond {row.wear_limit:.6g}" if row.wear_limit is not None else ""
    unit = "" if row.unit in ("1", "count") else f" {row.unit}{'s' if row.unit in ('week', 'month', 'year') else ''}"
    none = "a date" if row.unit == "date" else f"no limit, in {row.unit}"
    said = f"{limits}{worn}{unit}".lstrip(", ") if limits or worn else none
    worked_out = row.positions if row.positions.casefold().startswith(WORKED_OUT) else f"worked out: {row.positions}"
    how = row.instrument or "" if _positions(row.positions) else worked_out
    return "; ".join(part for part in (row.what, said, how) if part)


def _as_typed(reading: Reading) -> str:
    """As it was typed, with the unit that it was taken in where none was typed."""
    if reading.unit == "date":
        return reading.typed
    bare = not any(c.isalpha() or c in "%\"'°" for c in reading.typed)
    return f"{reading.typed} {reading.unit}".strip() if bare and reading.unit != "count" else reading.typed


def _as_read(body: dict[str, Any]) -> str:
    """The value that was taken, with the decimals that were typed: '7.010 in', '10.0625 in' for 10 1/16."""
    from decimal import Decimal

    if body["unit"] == "date":
        return write(float(body["value"]), "date", resolution=float(body["resolution"]))
    value, step = Decimal(body["value"]), Decimal(body["resolution"] or 1)
    if "/" not in body["typed"] and int(step.as_tuple().exponent) < int(value.as_tuple().exponent):
        value = value.quantize(step)
    return f"{value:f}" if body["unit"] == "count" else f"{value:f} {body['unit']}"


def _positions(pattern: str) -> tuple[str, ...]:
    """Where it is measured; nothing for what is worked out from other readings."""
    try:
        return tuple(expand(pattern))
    except RestonbError:
        return ()


def _enter(build: Build, record: Record, args: argparse.Namespace) -> int:
    """All positions are taken, or none: a mistake in one leaves nothing half done."""
    values = args.values
    row = build.specs.get(args.sheet, args.characteristic)
    if any("=" not in value for value in values):
        places = _positions(row.positions)
        if len(places) > 1:
            example = "week 23 2019" if row.unit == "date" else f"0.25 {row.unit}"
            shown = ", ".join(places if len(places) <= MOST else (*places[:MOST], "..."))
            raise RestonbError(f"say where: write POSITION=VALUE, such as '{places[0]}={example}'; there are {shown}")
        if len(values) > 1:
            raise RestonbError(f"one value for {row.key}, not {len(values)}; a value with a space goes in quotes")
        values = [f"{places[0] if places else 'once'}={values[0]}"]
    known = known_occasions(record) if args.occasion else ()
    before = {r.position: r for r in in_force(record, row.sheet, row.key)}
    entries = enter_readings(
        record,
        build,
        args.sheet,
        args.characteristic,
        pairs(values, "POSITION=VALUE, such as 3='0.25 mm'"),
        occasion=args.occasion,
        instrument=args.instrument,
        temperature=args.temperature,
        note=args.note,
        new_occasion=args.new_occasion,
    )
    if args.json:
        print_json([{"entry": e.seq, "digest": e.digest, **e.body} for e in entries])
        return 0
    for e in entries:
        place, old = e.body["position"], before.get(e.body["position"])
        where = row.key if place == "once" else f"{row.key}, {place}"
        again = old is not None and old.occasion == e.body["occasion"]
        instead = f", in place of {_as_typed(old)} (entry {old.seq})" if old and again else ""
        print(f"entry {e.seq}: {where}: read as {_as_read(e.body)}, {e.body['occasion']}{instead}")
        span = e.body["resolution"]
        if strange := far_off_remark(
            row, float(e.body["value"]), e.body["unit"], e.at, None if span is None else float(span)
        ):
            print(f'  look again: {strange} If it is a slip: restonb read --strike {e.seq} --why "mistyped"')
    if known and (word := entries[0].body["occasion"]) not in known:
        print(f"'{word}' is a new occasion, so these begin a set of their own; in use are {', '.join(known)}")
    return 0
