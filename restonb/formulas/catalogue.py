"""All formulas by name: 'fasteners.torque' -> the formula."""

from __future__ import annotations

import re
from collections.abc import Mapping
from importlib import import_module
from typing import Any

from restonb.errors import FormulaError
from restonb.formulas import FAMILIES
from restonb.formulas._core import Formula
from restonb.words import listed, near

__all__ = ["families", "find", "formulas"]


def families() -> dict[str, tuple[str, int]]:
    """What each family is about, in one line, and how many formulas it has."""
    about = {name: (import_module(f"restonb.formulas.{name}").__doc__ or "").split("\n")[0] for name in FAMILIES}
    return {name: (line, len(formulas(name))) for name, line in about.items()}


def formulas(family: str | None = None) -> dict[str, Formula[..., Any]]:
    """Every formula, or those of one family, by its full name."""
    if family is not None and family not in FAMILIES:
        one_of = ", ".join(FAMILIES)
        raise FormulaError(f"no family '{family}'; take one of {one_of}", field="family", write=f"one of {one_of}")
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
    alike = _alike(name, known if short and family in FAMILIES else formulas())
    hint = f"did you mean {listed(alike, last='or')}? " if alike else ""
    raise FormulaError(
        f"no formula '{name}'; {hint}'restonb calc' lists the families, 'restonb calc FAMILY' its formulas",
        field="name",
        write=listed(alike, last="or"),
        given=name,
    )


def _alike(name: str, known: Mapping[str, Formula[..., Any]]) -> list[str]:
    """The name written most alike, in every family that has it; else formulas that say one of its words, three at most.

    Behind a family that there is, its formula alone is compared; a family that there is not may itself be mistyped.
    """
    family, _, short = name.casefold().rpartition(".")
    whole = bool(family) and family not in FAMILIES
    by_name: dict[str, list[str]] = {}
    for full in known:
        by_name.setdefault(full if whole else full.rpartition(".")[2], []).append(full)
    alike = near(name if whole else short, by_name)
    if alike:
        return by_name[alike[0]]
    words = [word for word in re.split(r"[^a-z]+", short) if len(word) > 3]
    said = {full: re.split(r"[^a-z]+", f"{full} {f.answers}".casefold()) for full, f in known.items()}
    return [full for full, its in said.items() if any(w == i or w == i.rstrip("s") for w in words for i in its)][:3]
