"""restonb calc: any formula from the terminal, with its working and its source."""

from __future__ import annotations

import argparse

from restonb.cli.common import add_json, pairs, print_json
from restonb.errors import FormulaError
from restonb.formulas import FAMILIES, catalogue

EXAMPLE = """examples:
  restonb calc                                    lists every formula
  restonb calc seating                            lists one family
  restonb calc fasteners.torque                   says what it takes
  restonb calc fasteners.torque preload='15.9 kN' diameter='8 mm' nut_factor=0.2
A value may carry any unit of the right kind, and an expanded uncertainty: '24 +/- 1 N m'.
"""


def add(command: argparse.ArgumentParser) -> None:
    command.add_argument("name", nargs="?", metavar="FAMILY.NAME", help="which formula, or which family to list")
    command.add_argument("given", nargs="*", metavar="key=value", help="what to put in")
    add_json(command)


def answer(args: argparse.Namespace) -> int:
    if args.name is None or args.name in FAMILIES:
        return _list(args.name, args.json)
    asked = catalogue.find(args.name)
    if not args.given and any(p.default is p.empty for p in asked.signature.parameters.values()):
        return _explain(args.name, args.json)
    result = asked(**asked.read(pairs(args.given, "key=value, such as diameter='8 mm'")))
    if args.json:
        print_json(result.data())
    else:
        print(result.working())
    return 0


def _list(family: str | None, as_json: bool) -> int:
    known = catalogue.formulas(family)
    if as_json:
        print_json({name: f.answers for name, f in known.items()})
        return 0
    wide = max(map(len, known), default=0)
    for name, f in known.items():
        print(f"{name:<{wide}}  {f.answers}")
    return 0


def _explain(name: str, as_json: bool) -> int:
    """What a formula takes, when it is asked without numbers."""
    asked = catalogue.find(name)
    rows = []
    for key, parameter in asked.signature.parameters.items():
        _, mark = asked.arguments[key]
        need = "needed" if parameter.default is parameter.empty else f"else {parameter.default}"
        unit = "one of " + ", ".join(mark.choices) if mark.choices else mark.unit or ""
        rows.append((key, unit, need, mark.what))
    if as_json:
        print_json(
            {"formula": name, "takes": [dict(zip(("name", "unit", "need", "what"), r, strict=True)) for r in rows]}
        )
        return 0
    if not rows:
        raise FormulaError(f"{name} takes nothing")
    print(f"{name}: {asked.answers}\n  formula: {asked.text}\n  takes:")
    wide = max(len(r[0]) for r in rows)
    for key, unit, need, what in rows:
        print(f"    {key:<{wide}}  {what}" + (f" [{unit}]" if unit and unit != "1" else "") + f"  ({need})")
    return 0
