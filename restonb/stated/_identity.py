"""Reading and checking build.toml: what the machine is, which units to show, how to decide."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any, NamedTuple

from restonb import quantity
from restonb.errors import QuantityError
from restonb.stated._tables import Table, wording
from restonb.stated._text import Report, quoted, refused
from restonb.stated._toml import Document, read_toml
from restonb.words import listed, nearest

__all__ = ["RULES", "Identity", "read_identity"]

RULES = ("prove", "simple")

_TOP = "move it to the top, above the first line in square brackets"
"""What a TOML file is taken for where a line of its own was added at the end."""


class Identity(NamedTuple):
    """What build.toml says."""

    name: str
    rule: str
    machine: dict[str, str]
    units: dict[str, str]
    parameters: dict[str, dict[str, object]]
    document: Document
    not_fitted: tuple[str, ...] = ()


def read_identity(path: Path, report: Report) -> Identity:
    """The identity. Mistakes go to `report`; BuildError only where the file cannot be read at all."""
    document = read_toml(path, report, 'create it with the line: name = "..."')
    top = Table(document, (), document.data, report)
    document.keys(document.data, (), ("name", "rule", "not_fitted", "machine", "units", "parameters"), report)
    name = top.text("name", 'write the name of the build: name = "Wrenfield 450"')
    rule = top.text("rule") or "prove"
    if rule not in RULES:
        meant = nearest(rule, RULES)
        top.wrong("rule", f"rule = {quoted(rule)}", f'write "{meant}"' if meant else 'write "prove" or "simple"')
    return Identity(
        name,
        rule,
        _machine(top.table("machine")),
        _units(top.table("units")),
        _parameters(top.table("parameters")),
        document,
        top.texts("not_fitted"),
    )


def _machine(table: Table) -> dict[str, str]:
    """Free text; a bare number (a year) is taken as it stands."""
    found = {}
    for key, value in table.data.items():
        if key == "rule":
            table.wrong(key, "rule below [machine]", _TOP)
        elif isinstance(value, str) or (isinstance(value, int) and not isinstance(value, bool)):
            found[key] = str(value)
        else:
            table.wrong(key, f"{key} = {wording(value)}", f'write text in double quotes: {key} = "..."')
    return found


def _units(table: Table) -> dict[str, str]:
    kinds = quantity.kinds()
    found = {}
    for key in table.data:
        kind = key.replace("_", " ")
        if key in ("rule", "name"):
            table.wrong(key, f"{key} below [units]", _TOP)
            continue
        if kind not in kinds:
            meant = nearest(kind, kinds)
            table.wrong(
                key,
                f"kind of quantity {quoted(key)}",
                f"write {_key(meant)}" if meant else f"use one of: {listed(map(_key, kinds), 40, ',')}",
            )
            continue
        if not isinstance(table.data[key], str):
            table.text(key)
            continue
        try:
            unit = quantity.unit(table.text(key, f'write the unit to show: {key} = "{quantity.names_of(kind)[0]}"'))
        except QuantityError as error:
            if table.data[key]:
                table.wrong(key, *refused(error))
            continue
        if unit.kind != kind:
            table.wrong(
                key,
                f"{key} = {quoted(unit.name)}, a unit of {unit.kind}",
                f"write one of: {listed(quantity.names_of(kind), 12, ',')}",
            )
        found[kind] = unit.name
    return found


def _key(kind: str) -> str:
    return kind.replace(" ", "_")


def _parameters(table: Table) -> dict[str, dict[str, object]]:
    found: dict[str, dict[str, object]] = {}
    for sheet, values in table.data.items():
        if not isinstance(values, dict):
            table.wrong(
                sheet,
                f"{sheet} = {wording(values)}",
                f"write a table: [parameters.{sheet}], and below it: mass_mm = 24.5",
            )
            continue
        for key, value in values.items():
            _scalar(table, (sheet, key), value)
        found[sheet] = dict(values)
    return found


def _scalar(table: Table, path: tuple[str | int, ...], value: Any) -> None:
    """Reports what a notebook's parameter cell could not take."""
    if isinstance(value, list):
        for i, item in enumerate(value):
            _scalar(table, (*path, i), item)
    elif isinstance(value, float) and not math.isfinite(value):
        table.wrong(str(path[0]), f"{value}", "write a number", *path[1:])
    elif isinstance(value, dict):
        table.wrong(
            str(path[0]),
            f"a table as parameter {quoted(path[1])}",
            "write a number, a text, true or false, or a list of these",
            *path[1:],
        )
    elif not isinstance(value, str | int | float):
        table.wrong(str(path[0]), f"{path[1]} = {value}", f'write it as text: "{value}"', *path[1:])
