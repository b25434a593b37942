"""Comma-separated tables with the place of every cell, and every mistake of form at once.

RFC 4180, with what spreadsheets and people add to it: lines that start with '#' are remarks, blank lines
are skipped, blanks around a cell do not count, and a quote inside a cell stands for itself (1/4" bolt).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from restonb.stated._text import Report, quoted
from restonb.words import listed, nearest

__all__ = ["CsvCell", "Row", "read_table"]


class CsvCell(NamedTuple):
    """The text of one cell, stripped, and where it starts."""

    text: str
    line: int
    column: int

    def __bool__(self) -> bool:
        return bool(self.text)


class Row:
    """One row: its cells by column name."""

    __slots__ = ("cells", "line")

    def __init__(self, line: int, cells: dict[str, CsvCell]) -> None:
        self.line, self.cells = line, cells

    def __getitem__(self, column: str) -> CsvCell:
        return self.cells[column]


def read_table(text: str, columns: Sequence[str], report: Report, optional: Sequence[str] = ()) -> list[Row]:
    """The rows of `text`, whose first row that is not a remark must name exactly `columns`, in any order.

    It may name those of `optional` too; where it does not, their cells are empty.
    """
    records = [r for r in _records(text, report) if any(r) and not r[0].text.startswith("#")]
    if not records:
        report.add(0, 0, "no header", f"write the first line: {','.join(columns)}")
        return []
    header = records[0]
    names = _header(header, columns, report, optional)
    rows: list[Row] = []
    if not names:
        return rows
    for record in records[1:]:
        extra = record[len(header) :]
        if any(extra):
            place = next(c for c in extra if c)
            report.add(
                place.line,
                place.column,
                f"{len(record)} cells under {len(header)} columns",
                f'write {len(header)} cells; put text that has a comma in double quotes: "one, two"',
            )
        elif len(record) < len(header):
            report.add(
                record[-1].line,
                record[-1].column,
                f"{len(record)} cells under {len(header)} columns",
                f"write all {len(header)}, with nothing between the commas where there is no value",
            )
        else:
            cells = {name: CsvCell("", record[0].line, 0) for name in optional}
            cells |= {name: cell for name, cell in zip(names, record, strict=False) if name}
            rows.append(Row(record[0].line, cells))
    return rows if set(names) >= set(columns) else []


def _header(header: list[CsvCell], needed: Sequence[str], report: Report, optional: Sequence[str] = ()) -> list[str]:
    """The column that each cell of the header names; '' for one that does not count."""
    columns = (*needed, *optional)
    names: list[str] = []
    for cell in header:
        word = cell.text
        if word in columns and word not in names:
            names.append(word)
            continue
        names.append("")
        if not word:
            continue
        if word in columns:
            report.add(cell.line, cell.column, f"column {quoted(word)} a second time", "leave one of them out")
        elif len(header) == 1 and (";" in word or "\t" in word):
            between = "semicolons" if ";" in word else "tabs"
            report.add(
                cell.line,
                cell.column,
                f"columns separated by {between}",
                "save the table with commas between the cells",
            )
            return []
        else:
            meant = nearest(word, [c for c in columns if c not in names])
            report.add(
                cell.line,
                cell.column,
                f"unknown column {quoted(word)}",
                f"write {quoted(meant)}" if meant else f"use only: {listed(columns, 20, ',')}",
            )
            if meant:
                names[-1] = meant
    missing = [column for column in needed if column not in names]
    if missing:
        found = f"no column {quoted(missing[0])}" if len(missing) == 1 else f"no columns {', '.join(missing)}"
        report.add(header[0].line, 0, found, f"write the header: {','.join(needed)}")
    return names


_BREAK = re.compile(r"\r\n|\n|\r")
_CELL = re.compile(r'[ \t]*"((?:[^"]|"")*)"[ \t]*(?=,|\r|\n|\Z)|[^,\r\n]*')
"""A cell in quotes, or else anything up to the next comma or line break."""
_REMARK = re.compile(r"[ \t]*#[^\r\n]*")


def _records(text: str, report: Report) -> Iterator[list[CsvCell]]:
    at, line, start = 0, 1, 0
    record: list[CsvCell] = []
    while at < len(text):
        if not record and (remark := _REMARK.match(text, at)):
            at = remark.end()
            record.append(CsvCell("#", line, 1))
        else:
            column = at - start + 1
            cell = _CELL.match(text, at)
            assert cell is not None
            found, inside = cell[0], cell[1]
            if inside is not None:
                record.append(CsvCell(inside.replace('""', '"').strip(), line, column))
                breaks = list(_BREAK.finditer(text, at, cell.end()))
                if breaks:
                    line, start = line + len(breaks), breaks[-1].end()
            else:
                typed = found.strip()
                if typed.startswith('"'):
                    report.add(
                        line,
                        column,
                        f"{quoted(typed)}, whose quotes do not close the cell",
                        'write one " before and one " after the cell; a " inside is doubled: ""',
                    )
                if len(typed) < len(found):
                    column += found.index(typed)
                record.append(CsvCell(typed, line, column))
            at = cell.end()
        if text.startswith(",", at):
            at += 1
            if at == len(text):
                record.append(CsvCell("", line, at - start + 1))
        elif broke := _BREAK.match(text, at):
            at, line, start = broke.end(), line + 1, broke.end()
            yield record
            record = []
    if record:
        yield record
