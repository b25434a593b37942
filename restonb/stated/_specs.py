"""Reading and checking the files of the spec book."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from restonb import quantity
from restonb.errors import BuildError, Mistake, PositionError
from restonb.measure import WORKED_OUT, Characteristic, Derived, derived, expand
from restonb.stated import _cells
from restonb.stated._csv import CsvCell, Row, read_table
from restonb.stated._limits import check_limits
from restonb.stated._text import Report, quoted, read_text, refused
from restonb.stated.instruments import Gauge
from restonb.stated.specs import SPEC_COLUMNS, SPEC_OPTIONAL
from restonb.words import listed, nearest

__all__ = ["Found", "read_specs", "spec_files"]

Found = dict[tuple[str, str], tuple[Characteristic, int]]
"""Characteristics with the line of each, by sheet and name."""


_TABLES = (".csv", ".xls", ".xlsx", ".ods", ".txt", ".tsv")


def spec_files(folder: Path) -> tuple[list[Path], list[Mistake]]:
    """The spec files of a build, by name, and a warning for each table beside them that is not read.

    Raises BuildError when there is none.
    """
    found = sorted(folder.iterdir()) if folder.is_dir() else []
    tables = [p for p in found if p.suffix.lower() in _TABLES and not p.name.startswith((".", "~"))]
    files = [path for path in tables if path.suffix == ".csv"]
    if not tables:
        write = f"create specs/drivetrain.csv with the header: {','.join(SPEC_COLUMNS)}"
        raise BuildError(mistakes=[Mistake("specs", 0, 0, "no spec file", write)])
    left = [
        Mistake(f"specs/{p.name}", 0, 0, "a table that is not read", f"save it as {p.stem.lower()}.csv", warning=True)
        for p in tables
        if p not in files
    ]
    if not files:
        raise BuildError(mistakes=left)
    return files, left


def read_specs(path: Path, report: Report, gauges: Mapping[str, Gauge] | None, before: Found) -> Found:
    """The rows of one spec file. `before` holds the rows of the files already read.

    With `gauges` None, because instruments.csv cannot be read, instruments are not checked.
    """
    text = read_text(path, report, f"create it with the header: {','.join(SPEC_COLUMNS)}")
    if not _cells.is_name(path.name[:-4]):
        report.add(0, 0, f"file name {quoted(path.name)}", "name it in small letters, digits and _, as in brakes.csv")
    found: Found = {}
    places: dict[tuple[str, str], CsvCell] = {}
    subsystem = path.name[:-4]
    owner = {sheet: row.subsystem for (sheet, _), (row, _) in before.items()}
    for row in read_table(text, SPEC_COLUMNS, report, SPEC_OPTIONAL):
        characteristic = _characteristic(row, subsystem, gauges, report)
        if characteristic is None:
            continue
        name, cell = (characteristic.sheet, characteristic.key), row["characteristic"]
        if name in found:
            report.add(
                cell.line,
                cell.column,
                f"characteristic {quoted(cell.text)} a second time",
                f"rename it; sheet {quoted(name[0])} has it in line {found[name][1]}",
            )
        elif name[0] in owner:
            cell = row["sheet"]
            report.add(
                cell.line,
                cell.column,
                f"sheet {quoted(name[0])} in a second file",
                f"keep all its rows in specs/{owner[name[0]]}.csv",
            )
        else:
            found[name] = (characteristic, row.line)
            places[name] = row["positions"]
    _check_derived(found, places, report)
    return found


def _characteristic(
    row: Row, subsystem: str, gauges: Mapping[str, Gauge] | None, report: Report
) -> Characteristic | None:
    sheet = _cells.name(row["sheet"], "sheet", report)
    key = _cells.name(row["characteristic"], "characteristic", report)
    unit = _cells.unit_of(row["unit"], report)
    if unit == "date" and any(row[c] for c in _LIMITS):
        _limited_date(row, key, report)
        return None
    nominal, lower, upper, wear = (_cells.value(row[c], unit, report) for c in _LIMITS)
    if not row["what"]:
        report.add(
            row.line,
            0,
            f"no words for {quoted(row['characteristic'].text)}",
            "say in 'what' what is measured, and where",
        )
    check_limits(row, nominal, lower, upper, wear, report)
    pattern = row["positions"].text
    _check_pattern(row["positions"], report)
    instrument = _instrument(row["instrument"], unit, gauges, report)
    safety = _cells.yes(row["safety"], report)
    source = row["source"].text
    if not source and (lower, upper, wear) != (None, None, None):
        report.warn(
            row.line,
            row["source"].column,
            f"no source for the limits of {quoted(key)}",
            "write where they come from, as in 'workshop manual p. 31'",
        )
    if not (sheet and key and unit):
        return None
    return Characteristic(
        sheet,
        key,
        row["what"].text,
        pattern,
        unit,
        nominal,
        lower,
        upper,
        wear,
        instrument,
        safety,
        source,
        subsystem,
        row["remedy"].text,
    )


_LIMITS = ("nominal", "lower", "upper", "wear_limit")


def _limited_date(row: Row, key: str, report: Report) -> None:
    cell = next(row[c] for c in _LIMITS if row[c])
    write = f"leave it empty, and write the limit into a row 'age of {key or '...'}' with the unit year or month"
    report.add(cell.line, cell.column, f"a limit {quoted(cell.text)} on a date", write)


def _check_pattern(cell: CsvCell, report: Report) -> None:
    try:
        if derived(cell.text) is None:
            expand(cell.text)
    except PositionError as error:
        report.add(cell.line, cell.column, *refused(error))


def _check_derived(found: Found, places: Mapping[tuple[str, str], CsvCell], report: Report) -> None:
    """A row that is worked out from others needs those in its sheet, measured, and in a unit that goes with its own."""
    for (sheet, key), (characteristic, _) in found.items():
        worked_out = _derived(characteristic.positions)
        if worked_out is None:
            continue
        cell = places[sheet, key]
        by_formula = worked_out.what == WORKED_OUT
        mine = {k: row for (s, k), (row, _) in found.items() if s == sheet and k != key}
        known = {k: row for k, row in mine.items() if by_formula or _derived(row.positions) is None}
        for other in worked_out.of:
            if other not in known:
                meant = nearest(other, known)
                report.add(
                    cell.line,
                    cell.column,
                    f"{quoted(cell.text)}, but the sheet has no {'other' if by_formula else 'measured'} row {quoted(other)}",
                    f"write {quoted(meant)}" if meant else f"use one of sheet {sheet}: {listed(known, 12, ',')}",
                )
            elif wrong := _other_unit(worked_out.what, characteristic.unit, other, known[other].unit):
                report.add(cell.line, cell.column, f"{quoted(cell.text)} in {characteristic.unit}", wrong)


def _other_unit(what: str, unit: str, other: str, its_unit: str) -> str:
    """What to write where a row that is worked out has a unit that does not go with that of the row it names; '' where it does."""
    if what == WORKED_OUT:
        return ""
    dated = quantity.unit(its_unit).kind == "date"
    if what == "age":
        if not dated:
            return f"give {quoted(other)}, which is read as the date of making, the unit date"
        return "" if quantity.unit(unit).kind == "time" else "give it the unit year or month"
    if dated:
        return f"write 'age of {other}' with the unit year or month: nothing else is worked out from dates"
    return "" if quantity.same_kind(its_unit, unit) else f"give it a unit like that of {quoted(other)}, {its_unit}"


def _derived(pattern: str) -> Derived | None:
    try:
        return derived(pattern)
    except PositionError:
        return None


def _instrument(cell: CsvCell, unit: str, gauges: Mapping[str, Gauge] | None, report: Report) -> str | None:
    if not cell or gauges is None:
        return None
    if cell.text not in gauges:
        meant = nearest(cell.text, gauges)
        report.add(
            cell.line,
            cell.column,
            f"unknown instrument {quoted(cell.text)}",
            f"write {quoted(meant)}"
            if meant
            else f"use one of instruments.csv: {listed(gauges, 12, ',')}"
            if gauges
            else "add it to instruments.csv",
        )
        return None
    theirs = gauges[cell.text].instrument.unit
    if unit and not quantity.same_kind(theirs, unit):
        report.add(
            cell.line,
            cell.column,
            f"instrument {quoted(cell.text)}, which reads {theirs}",
            f"name an instrument that reads {quantity.unit(unit).kind}, or correct the unit {quoted(unit)}",
        )
        return None
    return cell.text
