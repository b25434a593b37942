"""Tables as people and spreadsheets write them: held against Python's own csv module (RFC 4180)."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import Mistake
from restonb.stated._csv import read_table
from restonb.stated._text import Report

COLUMNS = ("name", "what", "limit")
SPEC_HEADER = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source"
Told = Callable[..., list[Mistake]]


def rows(text: str) -> tuple[list[tuple[str, ...]], Report]:
    report = Report("t.csv")
    found = read_table(text, COLUMNS, report)
    return [tuple(row[c].text for c in COLUMNS) for row in found], report


CELLS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=12).map(str.strip)


@settings(deadline=None)
@given(st.lists(st.tuples(CELLS, CELLS, CELLS), max_size=6), st.sampled_from(["\n", "\r\n", "\r"]))
def test_what_csv_writes_is_read_back(table: list[tuple[str, str, str]], end: str) -> None:
    kept = [row for row in table if any(row) and not row[0].startswith("#")]
    out = io.StringIO(newline="")
    # Python leaves a line break bare that is not its own line end; RFC 4180 wants it quoted.
    breaks = any("\r" in cell or "\n" in cell for row in table for cell in row)
    quoting = csv.QUOTE_ALL if breaks else csv.QUOTE_MINIMAL
    csv.writer(out, lineterminator=end, quoting=quoting).writerows([COLUMNS, *table])
    found, report = rows(out.getvalue())
    assert report.mistakes == []
    assert found == kept


@settings(deadline=None)
@given(st.permutations(COLUMNS), CELLS.filter(bool).filter(lambda t: t[0] != "#"))
def test_columns_may_stand_in_any_order(order: list[str], text: str) -> None:
    out = io.StringIO(newline="")
    csv.writer(out).writerows([order, [text + c for c in order]])
    assert rows(out.getvalue())[0] == [tuple(text + c for c in COLUMNS)]


@settings(deadline=None)
@given(st.text(st.sampled_from('ab,"\n\r# ;\t'), max_size=60))
def test_any_text_gives_rows_or_mistakes_with_a_place_inside_it(text: str) -> None:
    _, report = rows("name,what,limit\n" + text)
    lines = ("name,what,limit\n" + text).replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for mistake in report.mistakes:
        assert 1 <= mistake.line <= len(lines)
        assert 0 <= mistake.column <= len(lines[mistake.line - 1]) + 1


def test_cells_know_where_they_start() -> None:
    text = 'name,what,limit\n# remark, with "quotes\n\na,"two\nlines",  0.5\nlast,"say ""hi""",\n'
    report = Report("t.csv")
    first, second = read_table(text, COLUMNS, report)
    places = [(c.text, c.line, c.column) for r in (first, second) for c in (r["name"], r["what"], r["limit"])]
    assert places == [
        ("a", 4, 1),
        ("two\nlines", 4, 3),
        ("0.5", 5, 10),
        ("last", 6, 1),
        ('say "hi"', 6, 6),
        ("", 6, 19),
    ]


@pytest.mark.practice
def test_an_inch_mark_inside_a_cell_stands_for_itself() -> None:
    found, report = rows('name,what,limit\nbolt,1/4" bolt,0.5"\n')
    assert (found, report.mistakes) == ([("bolt", '1/4" bolt', '0.5"')], [])


def test_what_a_spreadsheet_makes_of_remarks_and_blank_rows() -> None:
    found, report = rows('"# two, words",,\nname,what,limit\n,,\n# more,,\na,b,1\n,,\n')
    assert (found, report.mistakes) == ([("a", "b", "1")], [])


MISTAKES = [
    ("name,what,limit\na,b", 2, 3, "2 cells under 3 columns", "write all 3"),
    ("name,what,limit\na,b,1,p. 3", 2, 7, "4 cells under 3 columns", "double quotes"),
    ('name,what,limit\na,"b,1', 2, 3, "whose quotes do not close", "write one"),
    ("name,what,limt\na,b,1", 1, 11, "unknown column 'limt'", "write 'limit'"),
    ("name,what,limit,colour\na,b,1,red", 1, 17, "unknown column 'colour'", "use only: name, what, limit"),
    ("name,what,limit,what\na,b,1,c", 1, 17, "column 'what' a second time", "leave one of them out"),
    ("name,what\na,b", 1, 0, "no column 'limit'", "write the header: name,what,limit"),
    ("name;what;limit\na;b;1", 1, 1, "columns separated by semicolons", "commas"),
    ("name\twhat\tlimit\na\tb\t1", 1, 1, "columns separated by tabs", "commas"),
    ("", 0, 0, "no header", "write the first line: name,what,limit"),
    ("# only remarks\n", 0, 0, "no header", "write the first line: name,what,limit"),
]


@pytest.mark.parametrize(
    ("text", "line", "column", "found", "write"), MISTAKES, ids=[m[3] + m[0][-3:] for m in MISTAKES]
)
def test_a_mistake_of_form(text: str, line: int, column: int, found: str, write: str) -> None:
    mistake = rows(text)[1].mistakes[0]
    assert (mistake.line, mistake.column) == (line, column)
    assert found in mistake.found
    assert write in mistake.write


def test_a_misspelt_column_does_not_hide_the_mistakes_below_it() -> None:
    found, report = rows("name,what,limt\na,b,1\nc,d")
    assert found == [("a", "b", "1")]
    assert [m.line for m in report.mistakes] == [1, 3]


# -- encodings, through a spec file

ROW = "g,gap,Spalt über Fuß,once,,,1,,mm,,,Müller p. 3"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_utf_8_with_any_line_ends_is_read(told: Told, folder: Path, encoding: str, end: str) -> None:
    (folder / "specs" / "brakes.csv").write_bytes(f"{SPEC_HEADER}{end}{ROW}{end}".encode(encoding))
    assert told("specs/drivetrain.csv", SPEC_HEADER) == []


@pytest.mark.parametrize(
    ("encoding", "name"),
    [("utf-16", "UTF-16 text"), ("utf-16-le", "UTF-16 text"), ("utf-16-be", "UTF-16 text"), ("utf-32", "UTF-32 text")],
)
def test_wide_text_is_refused_by_name(told: Told, folder: Path, encoding: str, name: str) -> None:
    (folder / "specs" / "brakes.csv").write_bytes(f"{SPEC_HEADER}\n{ROW}\n".encode(encoding))
    (mistake,) = told("specs/drivetrain.csv", SPEC_HEADER)
    assert (mistake.file, mistake.found) == ("specs/brakes.csv", name)
    assert "save the file as UTF-8" in mistake.write


def test_old_single_byte_text_is_refused_at_its_place(told: Told, folder: Path) -> None:
    (folder / "specs" / "brakes.csv").write_bytes(f"{SPEC_HEADER}\n{ROW}\n".encode("latin-1"))
    (mistake,) = told("specs/drivetrain.csv", SPEC_HEADER)
    assert (mistake.line, mistake.column) == (2, 13)
    assert mistake.found == "byte 0xFC, which is not UTF-8 text"
