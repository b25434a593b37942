"""restonb calc: any formula from the terminal, with its working and its source."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from restonb.cli.common import add_json, pairs, print_json
from restonb.formulas import FAMILIES, catalogue

if TYPE_CHECKING:
    from restonb.formulas import Formula

EXAMPLE = """examples:
  restonb calc                                    lists the families of formulas
  restonb calc seating                            lists one family
  restonb calc fasteners.torque                   says what it takes, where it holds and what it is not good for
  restonb calc fasteners.torque preload='15.9 kN' diameter='8 mm' nut_factor=0.2
A value may carry any unit of the right kind, and an expanded uncertainty: '24 +/- 1 N m'.
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("name", nargs="?", metavar="FAMILY.NAME", help="which formula, or which family to list")
    command.add_argument("given", nargs="*", metavar="key=value", help="what to put in")
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    if args.name is None:
        return _families(args.json)
    if args.name in FAMILIES:
        return _list(args.name, args.json)
    asked = catalogue.find(args.name)
    if not args.given and any(p.default is p.empty for p in asked.signature.parameters.values()):
        return _explain(asked, args.json)
    result = asked(**asked.read(pairs(args.given, "key=value, such as diameter='8 mm'")))
    if args.json:
        print_json(result.data())
    else:
        print(result.working())
    return 0


def _families(as_json: bool) -> int:
    families = catalogue.families()
    if as_json:
        each = {name: {key: f.answers for key, f in catalogue.formulas(name).items()} for name in families}
        print_json({name: {"about": about, "formulas": each[name]} for name, (about, _) in families.items()})
        return 0
    wide = max(map(len, families))
    for name, (about, number) in families.items():
        print(f"{name:<{wide}}  {number:>3}  {about}")
    print(f"{sum(number for _, number in families.values())} formulas; 'restonb calc FAMILY' lists those of one family")
    return 0


def _list(family: str, as_json: bool) -> int:
    known = catalogue.formulas(family)
    if as_json:
        print_json({name: f.answers for name, f in known.items()})
        return 0
    wide = max(map(len, known), default=0)
    for name, f in known.items():
        print(f"{name:<{wide}}  {f.answers}")
    return 0


def _explain(asked: Formula[..., Any], as_json: bool) -> int:
    """What a formula takes and gives, where it holds and what it rests on, when it is asked without numbers."""
    if as_json:
        print_json(asked.data())
        return 0
    print(asked.card())
    return 0
