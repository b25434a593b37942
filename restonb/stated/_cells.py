"""Reading typed values out of the files that people edit; every refusal becomes a mistake in the report."""

from __future__ import annotations

import re
from datetime import date

from restonb import quantity
from restonb.errors import QuantityError
from restonb.stated._csv import CsvCell
from restonb.stated._text import Report, quoted, refused

__all__ = ["day", "difference", "is_name", "name", "unit_of", "value", "yes"]

_NAME = re.compile(r"[a-z][a-z0-9_]*")


def is_name(word: str) -> bool:
    """Whether a word may be used as a name in commands and notebooks."""
    return _NAME.fullmatch(word) is not None


def name(cell: CsvCell, what: str, report: Report) -> str:
    """A word that may be used in commands and notebooks; '' when it is none."""
    if is_name(cell.text):
        return cell.text
    if not cell:
        report.add(cell.line, cell.column, f"no {what}", f"write a short name for the {what}, as in gap_loose")
        return ""
    slug = re.sub(r"[^a-z0-9]+", "_", cell.text.lower()).strip("_")
    advice = f"write {quoted(slug)}" if is_name(slug) else "start with a letter, as in gap_loose"
    report.add(cell.line, cell.column, f"{what} {quoted(cell.text)}", f"{advice} (small letters, digits and _ only)")
    return ""


def unit_of(cell: CsvCell, report: Report) -> str:
    """The unit in our spelling; '' when it is none."""
    if not cell:
        report.add(cell.line, cell.column, "no unit", "write the unit, as in mm, or 1 for a plain number")
        return ""
    try:
        return quantity.unit(cell.text).name
    except QuantityError as error:
        report.add(cell.line, cell.column, *refused(error))
        return ""


def value(cell: CsvCell, unit: str, report: Report) -> float | None:
    """The value of a cell in `unit`, whatever unit of that kind it was written in; None when empty."""
    if not cell or not unit:
        return None
    try:
        return quantity.read(cell.text, unit).to(unit).value
    except QuantityError as error:
        report.add(cell.line, cell.column, *refused(error))
        return None


def difference(cell: CsvCell, unit: str, what: str, report: Report) -> float | None:
    """The size of a step or an error in `unit`: never below zero, and 1.8 degF of it are 1 degC."""
    text = re.sub(r"^(\+/-|\+-|±)\s*", "", cell.text)
    if not text or not unit:
        return None
    try:
        typed = quantity.read(text, unit)
        size = float(quantity.convert_difference(typed.value, typed.unit, unit))
    except QuantityError as error:
        report.add(cell.line, cell.column, *refused(error))
        return None
    if size < 0:
        report.add(cell.line, cell.column, f"{what} {quoted(cell.text)} below zero", "write its size without a sign")
        return None
    return size


def day(cell: CsvCell, report: Report) -> date | None:
    """A calendar day; None when empty."""
    if not cell:
        return None
    try:
        if not re.fullmatch(r"\d{4}-\d\d-\d\d", cell.text):
            raise ValueError
        return date.fromisoformat(cell.text)
    except ValueError:
        report.add(cell.line, cell.column, f"date {quoted(cell.text)}", "write year-month-day, as in 2026-03-14")
        return None


def yes(cell: CsvCell, report: Report) -> bool:
    """Whether a cell says yes; empty is no."""
    word = cell.text.casefold()
    if word in ("yes", "true", "1", "x", "y"):
        return True
    if word not in ("", "no", "false", "0", "n", "-"):
        report.add(cell.line, cell.column, quoted(cell.text), "write yes, or leave it empty")
    return False
