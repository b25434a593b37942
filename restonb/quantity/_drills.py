"""Drills as the trade writes them: '#7', 'F', '13/64', '6.8 mm'."""

from __future__ import annotations

import os
import re
from functools import cache
from typing import NamedTuple

from restonb.errors import QuantityError
from restonb.quantity._numbers import LONGEST
from restonb.quantity._quantity import read
from restonb.quantity._text import quoted, tidy

__all__ = ["DRILL_SETS", "Drill", "read_drill", "standard_drills"]

DRILL_SETS = ("number", "letter", "fraction", "metric")
"""The sets that can be bought: ASME B94.11M #80-#1, A-Z, 1/64 to 1 in; and 0.1 mm steps from 0.5 to 13 mm."""

_EXAMPLES = "'#7', 'F', '13/64 in' or '6.8 mm'"


class Drill(NamedTuple):
    """A drill: its name as printed on the box, and its diameter in mm."""

    label: str
    diameter: float
    set: str = ""
    """number, letter, fraction or metric; empty for a size in decimal inches that no set has."""

    def __str__(self) -> str:
        return self.label


@cache
def standard_drills(name: str | None = None) -> tuple[Drill, ...]:
    """The drills of one set of DRILL_SETS, or of all; from the smallest up.

    Raises QuantityError for a set that is not one.
    """
    if name is None:
        every = [drill for one in DRILL_SETS for drill in standard_drills(one)]
        return tuple(sorted(every, key=lambda drill: drill.diameter))
    if name not in DRILL_SETS:
        raise QuantityError(f"there is no drill set {quoted(name)}: write one of {', '.join(DRILL_SETS)}")
    if name == "metric":
        return tuple(Drill(f"{tenth / 10:g} mm", tenth / 10, "metric") for tenth in range(5, 131))
    if name == "fraction":
        from fractions import Fraction

        sizes = [Fraction(n, 64) for n in range(1, 65)]
        return tuple(Drill(f"{size} in", float(size * Fraction("25.4")), "fraction") for size in sizes)
    return tuple(sorted(_table(name), key=lambda drill: drill.diameter))


def _table(name: str) -> list[Drill]:
    import csv
    from decimal import Decimal

    path = os.path.join(os.path.dirname(__file__), "drills.csv")
    with open(path, encoding="utf-8", newline="") as file:
        return [
            Drill(row["label"], float(Decimal(row["diameter"]) * Decimal("25.4")), name)
            for row in csv.DictReader(file)
            if row["set"] == name
        ]


def read_drill(text: str) -> Drill:
    """The drill that a person typed. Raises QuantityError, whose message says what to write.

    A bare number such as '7' is refused: it could be the number drill #7 or 7 mm.
    """
    if not isinstance(text, str):
        raise QuantityError(f"a drill is text, not {type(text).__name__}: write for example {_EXAMPLES}")
    if len(text) > LONGEST:
        raise QuantityError(f"{quoted(text)} is too long for a drill: write for example {_EXAMPLES}")
    typed = tidy(text)
    if match := re.match(r"(?ia)^(?:#|no\.? ?|number )0*([0-9]+)$", typed):
        return _named("number", f"#{match[1]}", typed)
    if match := re.match(r"(?ia)^(?:letter )?([a-z])$", typed):
        return _named("letter", match[1].upper(), typed)
    if re.match(r"(?a)^[0-9]+(\.[0-9]+)?$", typed):
        number = f"'#{int(typed)}' or " if "." not in typed and 1 <= int(typed) <= 80 else ""
        raise QuantityError(f"{quoted(typed)} has no unit: write {number}'{typed} mm' or '{typed} in'")
    try:
        size = read(typed, "in")
    except QuantityError as error:
        raise QuantityError(f"{quoted(typed)} is not a drill: write for example {_EXAMPLES} ({error})") from None
    return _by_size(size.to("mm").value, size.unit, typed)


def _named(set_name: str, label: str, typed: str) -> Drill:
    for drill in standard_drills(set_name):
        if drill.label == label:
            return drill
    raise QuantityError(f"{quoted(typed)} is not a {set_name} drill: write '#1' to '#80', or '6.8 mm'")


def _by_size(diameter: float, unit: str, typed: str) -> Drill:
    if not 0.1 <= diameter <= 100:
        raise QuantityError(f"{quoted(typed)} is not a drill that can be bought: write 0.1 mm to 100 mm")
    if unit == "mm":
        return Drill(f"{diameter:.6g} mm", diameter, "metric")
    from fractions import Fraction

    inches = Fraction(repr(diameter)) / Fraction("25.4")
    if "/" in typed:
        if 64 % inches.denominator:
            raise QuantityError(f"{quoted(typed)} is not a fraction drill: write a size in 1/64 in, or '6.8 mm'")
        return Drill(f"{inches} in", diameter, "fraction")
    return Drill(f"{float(inches):.6g} in", diameter)
