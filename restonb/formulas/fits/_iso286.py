"""Limits of size of ISO 286: tables of deviations, and the rule that turns a shaft's deviation into a hole's."""

from __future__ import annotations

import re
from functools import cache

from restonb.errors import FormulaError
from restonb.formulas._tables import rows

HERE = "restonb.formulas.fits"
SHAFTS = ("d", "e", "f", "g", "h", "j", "js", "k", "m", "n", "p", "r", "s", "u")
GRADES = range(5, 12)


@cache
def _basic(name: str) -> tuple[tuple[float, float], ...]:
    return tuple((float(r["to_mm"]), float(r["um"])) for r in rows(HERE, "basic_deviations.csv") if r["name"] == name)


def basic(name: str, size: float) -> float:
    """A tolerance (IT7) or a shaft's fundamental deviation (k) in um at this size in mm."""
    for to, um in _basic(name):
        if size <= to:
            return um
    raise FormulaError(f"no value of {name} at {size:g} mm")


def _standing(name: str, size: float) -> str:
    row = next(r for r in rows(HERE, "basic_deviations.csv") if r["name"] == name and size <= float(r["to_mm"]))
    return row["standing"]


def standing(code: str, size: float) -> str:
    """The worst standing of the table rows that the limits of this class come from: 'recalled', 'package' or 'seen'."""
    letter, grade = parse(code)
    low = letter.lower()
    if low == "j":
        found = {_row(letter, grade, size)["standing"]}
    else:
        names = {f"IT{grade}"} if low == "js" else {f"IT{grade}", low}
        if letter.isupper() and _closer(low, grade, size):
            names.add(f"IT{grade - 1}")
        found = {_standing(name, size) for name in names}
    return next((one for one in ("recalled", "package") if one in found), "seen")


def remarks(code: str, size: float) -> tuple[str, ...]:
    """What must be said of limits whose rows were not read in print; nothing where they were."""
    says = {
        "recalled": "recalled from ISO 286, the print was not at hand: check it against the print before you rely on it",
        "package": "from the tables of an open package, not from the print",
    }
    found = standing(code, size)
    return (f"{code.strip()} at {size:g} mm is {says[found]}",) if found in says else ()


def parse(code: str) -> tuple[str, int]:
    """'H7' -> ('H', 7); capitals are holes. Refuses letters and grades that are not in the tables."""
    match = re.fullmatch(r"\s*([A-Za-z]{1,2})\s*(\d{1,2})\s*", code)
    if not match:
        raise FormulaError(
            f"'{code}' is not a tolerance class; write letter and grade, such as H7 (hole) or k6 (shaft)"
        )
    letter, grade = match[1], int(match[2])
    if letter.lower() not in SHAFTS or letter not in (letter.lower(), letter.upper()):
        known = ", ".join(SHAFTS)
        raise FormulaError(
            f"no table for letter '{letter}'; write one of {known} (shafts) or the same in capitals (holes)"
        )
    if grade not in GRADES:
        raise FormulaError(f"no table for grade {grade}; write a grade from 5 to 11")
    return letter, grade


def limits(code: str, size: float) -> tuple[float, float]:
    """Lower and upper deviation in um of a class such as H7 or k6 at a nominal size of up to 500 mm.

    Holes K, M, N up to grade 8 and P to U up to grade 7 are the mirrored shaft plus the difference of two grades (over 3 mm); j and J
    have no rule and stand in a table.
    """
    letter, grade = parse(code)
    if not 0 < size <= 500:
        raise FormulaError(
            f"'size' is {size:g} mm; the tables go from above 0 to 500 mm and are not extrapolated", field="size"
        )
    width = basic(f"IT{grade}", size)
    low = letter.lower()
    if low == "js":
        return -width / 2, width / 2
    if low == "j":
        return _printed(letter, grade, size)
    if low in "defgh":
        upper = basic(low, size)
        return (upper - width, upper) if letter.islower() else (-upper, width - upper)
    if letter.islower():
        lower = basic(low, size) if low != "k" or grade <= 7 else 0.0
        return lower, lower + width
    upper = _hole_upper(low, grade, size)
    return upper - width, upper


def _hole_upper(low: str, grade: int, size: float) -> float:
    if low == "k" and grade > 8 and size > 3:
        raise FormulaError(f"K{grade} has no limits above 3 mm; write K5 to K8")
    if low == "n" and grade > 8:
        return -basic("n", size) if size <= 3 else 0.0
    if low == "m" and grade == 6 and 250 < size <= 315:
        return -9.0
    mirrored = -basic(low, size)
    closer = _closer(low, grade, size)
    return mirrored + (basic(f"IT{grade}", size) - basic(f"IT{grade - 1}", size) if closer else 0.0)


def _closer(low: str, grade: int, size: float) -> bool:
    """Whether the rule moves a hole of this letter and grade by the difference of two grades."""
    return low in "kmnprsu" and grade <= (8 if low in "kmn" else 7) and size > 3


def _printed(letter: str, grade: int, size: float) -> tuple[float, float]:
    row = _row(letter, grade, size)
    return float(row["lower_um"]), float(row["upper_um"])


def _row(letter: str, grade: int, size: float) -> dict[str, str]:
    for row in rows(HERE, "iso286.csv"):
        if (
            row["letter"] == letter
            and int(row["grade"]) == grade
            and float(row["over_mm"]) < size <= float(row["to_mm"])
        ):
            return row
    raise FormulaError(
        f"no table row for {letter}{grade} at {size:g} mm; write {letter}s{grade} for a symmetric tolerance"
    )
