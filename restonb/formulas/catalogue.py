"""All formulas by name: 'fasteners.torque' -> the formula."""

from __future__ import annotations

from difflib import get_close_matches
from importlib import import_module
from typing import Any

from restonb.errors import FormulaError
from restonb.formulas import FAMILIES
from restonb.formulas._core import Formula

__all__ = ["find", "formulas"]


def formulas(family: str | None = None) -> dict[str, Formula[..., Any]]:
    """Every formula, or those of one family, by its full name."""
    if family is not None and family not in FAMILIES:
        raise FormulaError(f"no family '{family}'; take one of {', '.join(FAMILIES)}")
    found = {}
    for name in FAMILIES if family is None else (family,):
        module = import_module(f"restonb.formulas.{name}")
        for item in map(module.__dict__.get, module.__all__):
            if isinstance(item, Formula):
                found[item.name] = item
    return found


def find(name: str) -> Formula[..., Any]:
    """The formula of this full name; near names are offered where there is none."""
    family, _, short = name.partition(".")
    known = formulas(family if short and family in FAMILIES else None)
    if name in known:
        return known[name]
    near = get_close_matches(name, known, 3, 0.5) or sorted(known)[:5]
    raise FormulaError(f"no formula '{name}'; did you mean {', '.join(near)}? 'restonb calc' lists all")
