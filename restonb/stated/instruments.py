"""instruments.csv: the gauges of the workshop, what they resolve, and how wrong they may be."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import NamedTuple

from restonb import quantity
from restonb.measure import Instrument
from restonb.stated import _cells
from restonb.stated._csv import CsvCell, read_table
from restonb.stated._text import Report, quoted, read_text

__all__ = ["INSTRUMENT_COLUMNS", "Gauge", "read_instruments"]

INSTRUMENT_COLUMNS = (
    "instrument",
    "what",
    "unit",
    "resolution",
    "error",
    "expansion",
    "last_check",
    "source",
)


class Gauge(NamedTuple):
    """One row of instruments.csv: the instrument, and what the file says about its standing."""

    instrument: Instrument
    last_check: date | None
    source: str
    """Where resolution and error come from: a certificate, a data sheet, a standard, an estimate."""
    line: int


def read_instruments(path: Path, report: Report) -> dict[str, Gauge]:
    """The gauges by name. Mistakes go to `report`; BuildError only where the file cannot be read at all."""
    header = ",".join(INSTRUMENT_COLUMNS)
    text = read_text(path, report, f"create it with the header: {header}")
    gauges: dict[str, Gauge] = {}
    for row in read_table(text, INSTRUMENT_COLUMNS, report):
        key = _cells.name(row["instrument"], "instrument", report)
        unit = _cells.unit_of(row["unit"], report)
        resolution = _cells.difference(row["resolution"], unit, "resolution", report)
        error, percent = _error(row["error"], unit, resolution, report)
        expansion = _cells.difference(row["expansion"], "1/K", "expansion", report)
        last_check = _cells.day(row["last_check"], report)
        cell = row["resolution"]
        if resolution == 0:
            report.add(cell.line, cell.column, "resolution 0", "write the smallest step that it shows")
        if expansion is not None and not expansion < 1e-3:
            cell = row["expansion"]
            report.add(
                cell.line,
                cell.column,
                f"expansion {quoted(cell.text)}",
                "write it per kelvin: 11.5e-6 for steel, or 11.5 um/m/K",
            )
        if not row["what"]:
            report.add(row.line, 0, f"no words for {quoted(key)}", "say in 'what' which gauge this is")
        if error is None and not row["error"]:
            report.warn(
                row.line,
                0,
                f"no error for {quoted(key)}",
                "write its maximum permissible error, or verdicts rest on its resolution alone",
            )
        if key in gauges:
            cell = row["instrument"]
            report.add(
                cell.line,
                cell.column,
                f"instrument {quoted(key)} a second time",
                f"rename it; the first is in line {gauges[key].line}",
            )
        elif key and unit:
            instrument = Instrument(key, row["what"].text, unit, resolution, error, expansion, percent)
            gauges[key] = Gauge(instrument, last_check, row["source"].text, row.line)
    return gauges


_OF_READING = r"(\d+\.?\d*|\.\d+) *%( *(of )?(the )?(reading|rdg\.?|value))?"
_DIGITS = r"(\d+) *(digits?|dgts?|counts?)"


def _error(cell: CsvCell, unit: str, resolution: float | None, report: Report) -> tuple[float | None, float]:
    """The fixed part of the largest error in `unit`, and the part in % of the reading.

    As data sheets state it: '0.03', '0.03 mm', '4 %', '0.5 % + 2 digits', '±(0.2 % of reading + 0.01 V)'; a digit is one step
    of the resolution. On a gauge that itself reads a ratio, '2 %' is what it says, and '2 % of reading' the other.
    """
    text = re.sub(r"^(\+/-|\+-|±) *", "", cell.text)
    text = text[1:-1] if text.startswith("(") and text.endswith(")") else text
    if not text or not unit:
        return None, 0.0
    fixed, percent = 0.0, 0.0
    for part in re.split(r"(?<=[^e]) *\+ *", text, flags=re.IGNORECASE):
        of_reading = re.fullmatch(_OF_READING, part) if "%" in part else None
        digits = re.fullmatch(_DIGITS, part)
        if of_reading and (of_reading[2] or quantity.unit(unit).kind != "ratio"):
            percent += float(of_reading[1])
        elif digits and resolution:
            fixed += int(digits[1]) * resolution
        elif digits:
            report.add(
                cell.line, cell.column, f"error {quoted(cell.text)}", "write the resolution too: that is one digit"
            )
            return None, 0.0
        elif percent and part.isdecimal():  # '0.5 % + 2' of a data sheet; 2 V would be meant by few
            report.add(
                cell.line,
                cell.column,
                f"error {quoted(cell.text)}",
                f"write '+ {part} digits' or '+ {part} {unit}', whichever the data sheet means",
            )
            return None, 0.0
        else:
            size = _cells.difference(cell._replace(text=part), unit, "error", report)
            if size is None:
                return None, 0.0
            fixed += size
    if percent >= 100:
        report.add(cell.line, cell.column, f"error {quoted(cell.text)}", "write it in % of the reading, as in 4 %")
        return None, 0.0
    return fixed, percent
