"""The bibliography: every source that a formula or a table stands on, by key, from sources.toml."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files

from restonb.errors import FormulaError

__all__ = ["cite", "sources"]


@lru_cache(maxsize=1)
def sources() -> dict[str, dict[str, str]]:
    """All sources: key -> title, standing ('seen', 'recalled', 'practice', 'derived'), and year: 'recalled' where the edition is."""
    text = files("restonb.formulas").joinpath("sources.toml").read_text(encoding="utf-8")
    return {key: {k: str(v) for k, v in row.items()} for key, row in tomllib.loads(text).items()}


def cite(key: str) -> str:
    """One source as a person reads it: 'iso-898-1: Table 3' -> 'ISO 898-1:2013, ..., Table 3'."""
    name, _, place = key.partition(":")
    try:
        source = sources()[name.strip()]
    except KeyError:
        raise FormulaError(f"no source '{name}' in sources.toml; add it there") from None
    text = source["title"] + (f", {place.strip()}" if place.strip() else "")
    if source["standing"] == "recalled":
        return text + " (recalled, the print was not at hand)"
    return text + (" (its year is recalled)" if source.get("year") == "recalled" else "")
