"""instruments.csv: the gauges of the workshop, what they resolve, and how wrong they may be."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import NamedTuple

from restonb.build import _cells
from restonb.build._csv import read_table
from restonb.build._text import Report, quoted, read_text
from restonb.measure.model import Instrument

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
        error = _cells.difference(row["error"], unit, "error", report)
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
            instrument = Instrument(key, row["what"].text, unit, resolution, error, expansion)
            gauges[key] = Gauge(instrument, last_check, row["source"].text, row.line)
    return gauges
