"""What common materials of a machine are like: expansion, modulus, Poisson's ratio, and whether the print was at hand."""

from __future__ import annotations

import os
from functools import cache
from typing import NamedTuple

from restonb.errors import QuantityError
from restonb.quantity._text import quoted, tidy

__all__ = ["Material", "material", "materials"]


class Material(NamedTuple):
    """Means of handbooks, which differ among each other by a few percent.

    `expansion` in 1/K, from 20 to 100 degC, good to about 5 %; `modulus` in MPa. `standing` is 'seen', or 'recalled' where the
    print was not at hand.
    """

    name: str
    expansion: float
    modulus: float
    poisson: float
    source: str
    standing: str
    aliases: tuple[str, ...] = ()

    @property
    def note(self) -> str:
        """Its expansion in words, for whoever asks what a name stood for."""
        recalled = ", recalled" if self.standing == "recalled" else ""
        return f"expansion {self.expansion * 1e6:g} µm/(m K), {self.source}{recalled}"


@cache
def materials() -> dict[str, Material]:
    """Every material by its name, in the order of the table."""
    import csv

    path = os.path.join(os.path.dirname(__file__), "materials.csv")
    with open(path, encoding="utf-8", newline="") as file:
        return {
            row["name"]: Material(
                row["name"],
                float(f"{row['expansion']}e-6"),
                float(row["modulus"]) * 1000,
                float(row["poisson"]),
                row["source"],
                row["standing"],
                tuple(alias for alias in row["aliases"].split(";") if alias),
            )
            for row in csv.DictReader(file)
        }


def material(name: str) -> Material:
    """The material of that name, or of one of its other names. Raises QuantityError, naming those there are."""
    wanted = tidy(name).casefold()
    for one in materials().values():
        if wanted in (one.name, *one.aliases):
            return one
    raise QuantityError(f"there is no material {quoted(name)} in the table: write one of {', '.join(materials())}")
