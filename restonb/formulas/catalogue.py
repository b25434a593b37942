"""All formulas by name: 'fasteners.torque' -> the formula."""

from __future__ import annotations

import re
from collections.abc import Mapping
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
    near = _near(name, known if short and family in FAMILIES else formulas())
    hint = f"did you mean {' or '.join(near)}? " if near else ""
    raise FormulaError(f"no formula '{name}'; {hint}'restonb calc' lists all, 'restonb calc FAMILY' one family")


def _near(name: str, known: Mapping[str, Formula[..., Any]]) -> list[str]:
    """Names written alike, else formulas that say one of its words: three at most, none that is far from it."""
    short = name.rpartition(".")[2].casefold()
    shorts = {full.rpartition(".")[2]: full for full in known}
    alike = [shorts[one] for one in get_close_matches(short, shorts, 3, 0.75)]
    if alike:
        return alike
    words = [word for word in re.split(r"[^a-z]+", short) if len(word) > 3]
    said = {full: re.split(r"[^a-z]+", f"{full} {f.answers}".casefold()) for full, f in known.items()}
    return [full for full, its in said.items() if any(w == i or w == i.rstrip("s") for w in words for i in its)][:3]
