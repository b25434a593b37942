"""The spec book: what is taken, in which unit, and what is told about a row that cannot be meant."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from restonb.errors import BuildError, Mistake
from restonb.stated import Build, SpecBook

SPEC_HEADER = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source"
Told = Callable[..., list[Mistake]]
GOOD = "gearbox_mounting,gap_loose,gap under foot,feet 4,0,,0.05,,mm,feeler,,manual p. 31"


def book(folder: Path, *rows: str) -> SpecBook:
    (folder / "specs" / "drivetrain.csv").write_text("\n".join((SPEC_HEADER, *rows)) + "\n", encoding="utf-8")
    return Build.open(folder).specs


def test_a_row_is_taken_as_written(folder: Path) -> None:
    row = book(folder, GOOD).get("gearbox_mounting", "gap_loose")
    assert (row.what, row.positions, row.unit, row.instrument) == ("gap under foot", "feet 4", "mm", "feeler")
    assert (row.nominal, row.lower, row.upper, row.wear_limit) == (0.0, None, 0.05, None)
    assert (row.safety, row.source, row.subsystem) == (False, "manual p. 31", "drivetrain")


def test_limits_may_be_typed_in_any_unit_of_the_kind(folder: Path) -> None:
    """The inch is 25.4 mm exactly, the pound force foot 1.3558179483314004 N m (1959 agreement)."""
    row = book(
        folder,
        'g,gap,gap,once,3/8 in,9 mm,.4 in,0.45",mm,,,x',
        "g,torque,nut,once,25 ft-lb,30,40,,N m,,,x",
        "g,hot,head,once,,,212 degF,,degC,,,x",
    )
    gap = row.get("g", "gap")
    assert (gap.nominal, gap.lower, gap.upper, gap.wear_limit) == pytest.approx((9.525, 9.0, 10.16, 11.43))
    assert row.get("g", "torque").nominal == pytest.approx(25 * 1.3558179483314004)
    assert row.get("g", "hot").upper == pytest.approx(100.0)


def test_units_take_our_spelling(folder: Path) -> None:
    assert book(folder, "g,t,nut,once,,30,40,,Nm,,,x").get("g", "t").unit == "N m"


@pytest.mark.parametrize(("word", "said"), [("yes", True), ("X", True), ("", False), ("no", False)])
def test_safety(folder: Path, word: str, said: bool) -> None:
    assert book(folder, f"g,gap,gap,once,,,1,,mm,,{word},x").get("g", "gap").safety is said


def test_sheets_in_the_order_of_the_files(folder: Path) -> None:
    (folder / "specs" / "brakes.csv").write_text(SPEC_HEADER + "\ndisc,runout,dial,clock 8,,,0.15,,mm,,yes,x\n")
    found = book(folder, GOOD, "clutch,plate,plate,plates 5,,3.4,,,mm,,,x")
    assert found.sheets == ("disc", "gearbox_mounting", "clutch")
    assert found.subsystems == ("brakes", "drivetrain")
    assert found.subsystem("clutch") == "drivetrain"
    assert [row.key for row in found.sheet("disc")] == ["runout"]
    row = found.get("clutch", "plate")
    assert (found.line_of(row), found.place_of(row)) == (3, "specs/drivetrain.csv:3")
    assert len(found) == len(list(found)) == 3


def test_an_unknown_name_is_answered_with_the_near_one(folder: Path) -> None:
    found = book(folder, GOOD)
    with pytest.raises(BuildError, match="no sheet 'gearbox_mountin' in the spec book; write 'gearbox_mounting'"):
        found.sheet("gearbox_mountin")
    with pytest.raises(BuildError, match="no characteristic 'gap_lose' in sheet 'gearbox_mounting'; write 'gap_loose'"):
        found.get("gearbox_mounting", "gap_lose")
    with pytest.raises(BuildError, match="the sheets are: gearbox_mounting"):
        found.sheet("wheels")


def test_the_digest_changes_with_what_a_row_states_and_only_then(folder: Path) -> None:
    def digest(*rows: str) -> str:
        return SpecBook.digest(book(folder, *rows).get("gearbox_mounting", "gap_loose"))

    same = digest(GOOD)
    assert digest("# a remark", "", GOOD) == same
    assert digest(GOOD.replace("0.05", "0.050 mm")) == same
    for changed in (
        GOOD.replace("0.05", "0.06"),
        GOOD.replace("p. 31", "p. 32"),
        GOOD.replace("feet 4", "feet 3"),
        GOOD.replace(",mm,feeler,", ",mm,,"),
    ):
        assert digest(changed) != same


# -- mistakes: all at once, each with its place and what to write


def test_every_mistake_at_once_in_the_order_of_the_file(specs: Told) -> None:
    found = specs(
        "g,one,gap,feet 4,,0.3,0.1,,mm,,,x",
        "g,one,gap,feet 4,,,0.1,,mm,,,x",
        "g,two,gap,feat 4,,,1 ft-lb,,mm,feler,maybe,x",
    )
    assert [(m.line, m.column) for m in found] == [(2, 19), (3, 3), (4, 11), (4, 20), (4, 32), (4, 38)]
    assert {m.file for m in found} == {"specs/drivetrain.csv"}


MISTAKES = [
    ("g,a,w,once,,0.3,0.1,,mm,,,x", "upper '0.1' below lower '0.3'", "swap them"),
    ("g,a,w,once,5,-0.1,0.1,,mm,,,x", "beside nominal '5' the limit '-0.1'", "write the limit itself"),
    ("g,a,w,once,,1,3,2,mm,,,x", "wear limit '2'", "past the limits of a new part"),
    ("g,a,w,once,,1,3,3,mm,,,x", "wear limit '3'", "leave it empty, since it only repeats upper"),
    ("g,a,w,once,,1,,1,mm,,,x", "wear limit '1'", "leave it empty, since it only repeats lower"),
    ("g,a,w,once,3,1,,,arc minuts,,,x", "unit 'arc minuts', which is not in the list", ""),
    ("g,a,w,once,,18-20 mm,,,mm,,,x", "'18-20 mm', which has more than one number", "write one of each"),
    ("g,a,w,once,,,1,0.5,mm,,,x", "wear limit '0.5'", "write it above upper"),
    ("g,a,w,once,,1,,2,mm,,,x", "wear limit '2'", "write it below lower"),
    ("g,a,w,once,,,,2,mm,,,x", "wear limit '2'", "write lower, upper or nominal too"),
    ("g,a,w,once,,,1 ft-lb,,mm,,,x", "'1 ft-lb'", "mm"),
    ("g,a,w,once,,,1 J,,N m,,,x", "'1 J'", "N m"),
    ('g,a,w,once,,,"0,5",,mm,,,x', "'0,5'", "'0.5'"),
    ("g,a,w,once,,,thin,,mm,,,x", "'thin'", "0.25 mm"),
    ("g,a,w,once,,,1,,milimetr,,,x", "'milimetr'", "mm"),
    ("g,a,w,once,,,1,,,,,x", "no unit", "write the unit"),
    ("g,a,w,,,,1,,mm,,,x", "no positions", "once"),
    ("g,a,w,feat 4,,,1,,mm,,,x", "unknown pattern 'feat 4'", "'feet 4'"),
    ("g,a,w,once,,,1,,mm,feler,,x", "unknown instrument 'feler'", "write 'feeler'"),
    ("g,a,w,once,,,1,,V,feeler,,x", "instrument 'feeler', which reads mm", "voltage"),
    ("g,a,w,once,,,1,,mm,,perhaps,x", "'perhaps'", "write yes, or leave it empty"),
    ("g,a,,once,,,1,,mm,,,x", "no words for 'a'", "say in 'what'"),
    ("Gear Box,a,w,once,,,1,,mm,,,x", "sheet 'Gear Box'", "write 'gear_box'"),
    ("g,7th,w,once,,,1,,mm,,,x", "characteristic '7th'", "start with a letter"),
    (",a,w,once,,,1,,mm,,,x", "no sheet", "write a short name for the sheet"),
    ("g,a,w,ovality of bore,,,1,,mm,,,x", "the sheet has no measured row 'bore'", "use one of sheet g"),
]


@pytest.mark.parametrize(("row", "found", "write"), MISTAKES, ids=[f for _, f, _ in MISTAKES])
def test_a_mistake_in_a_row(specs: Told, row: str, found: str, write: str) -> None:
    (mistake,) = specs(row)
    assert found in mistake.found
    assert write in mistake.write
    assert (mistake.line, mistake.file) == (2, "specs/drivetrain.csv")
    cell = row.split(",")
    assert mistake.column == 0 or any(mistake.column == len(",".join(cell[:i])) + (i > 0) + 1 for i in range(12))


ACCEPTED = [
    "g,a,hole 52 N7,once,52,51.961,51.991,,mm,,,x",
    "g,a,disc that wears thin,once,6,5.9,6.1,5.2,mm,,,x",
    "g,a,drum that wears wide,once,,177.75,177.95,178.8,mm,,,x",
    "g,a,lining,once,5,,,1.5,mm,,,x",
    "g,a,clearance that grows,once,0.1,0.05,,0.3,mm,,,x",
    "g,a,exactly,once,,1,1,,mm,,,x",
    "g,a,no limits at all,once,,,,,mm,,,",
    "g,a,offset,once,0,-1,1,,mm,,,x",
]


@pytest.mark.practice
@pytest.mark.parametrize("row", ACCEPTED)
def test_what_a_manual_may_well_say_is_accepted(specs: Told, row: str) -> None:
    assert specs(row) == []


def test_a_limit_without_a_source_is_a_warning(specs: Told, folder: Path) -> None:
    row = "g,a,w,once,,,1,,mm,,,"
    assert specs(row) == []
    (warning,) = specs(row, warnings=True)
    assert warning.found == "no source for the limits of 'a'"
    assert Build.open(folder).warnings == (warning,)


def test_a_derived_row_needs_its_base_in_a_unit_of_its_kind(specs: Told) -> None:
    base = 'g,bore,w,"axis A,B",,,1,,mm,,,x'
    assert specs(base, "g,oval,w,ovality of bore,,,0.05,,in,,,x") == []
    (wrong,) = specs(base, "g,oval,w,ovality of bore,,,0.05,,V,,,x")
    assert (wrong.line, wrong.write) == (3, "give it a unit like that of 'bore', mm")
    (near,) = specs(base, "g,oval,w,ovality of boar,,,0.05,,mm,,,x")
    assert near.write == "write 'bore'"
    (no_chain,) = specs(base, "g,oval,w,ovality of bore,,,1,,mm,,,x", "g,more,w,largest of oval,,,1,,mm,,,x")
    assert "the sheet has no measured row 'oval'" in no_chain.found


def test_a_sheet_stands_in_one_file(specs: Told, folder: Path) -> None:
    (folder / "specs" / "brakes.csv").write_text(SPEC_HEADER + "\ng,first,w,once,,,1,,mm,,,x\n")
    (mistake,) = specs("g,second,w,once,,,1,,mm,,,x")
    assert (mistake.found, mistake.write) == ("sheet 'g' in a second file", "keep all its rows in specs/brakes.csv")


def test_mistakes_of_several_spec_files_come_together(specs: Told, folder: Path) -> None:
    (folder / "specs" / "brakes.csv").write_text(SPEC_HEADER + "\nd,a,w,once,,2,1,,mm,,,x\n")
    assert [m.file for m in specs("g,a,w,once,,2,1,,mm,,,x")] == ["specs/brakes.csv", "specs/drivetrain.csv"]


def test_without_any_spec_file_the_message_says_which_to_create(folder: Path) -> None:
    for path in (folder / "specs").iterdir():
        path.unlink()
    with pytest.raises(BuildError, match=f"create specs/drivetrain.csv with the header: {SPEC_HEADER}"):
        Build.open(folder).specs.sheets  # noqa: B018 - reading it is the test
    (folder / "specs" / "limits.xlsx").write_bytes(b"PK")
    with pytest.raises(BuildError, match=r"specs/limits.xlsx: found a table that is not read; save it as limits.csv"):
        Build.open(folder).specs.sheets  # noqa: B018 - reading it is the test


def test_a_table_that_is_not_read_is_told(specs: Told, folder: Path) -> None:
    (folder / "specs" / "Brakes.CSV").write_text(SPEC_HEADER)
    (folder / "specs" / "notes.md").write_text("mine")
    (folder / "specs" / "~lock.drivetrain.csv").write_text("nonsense")
    assert specs(GOOD) == []
    (warning,) = specs(GOOD, warnings=True)
    assert str(warning) == "specs/Brakes.CSV: found a table that is not read; save it as brakes.csv"


def test_a_spec_file_has_a_name_that_commands_can_use(specs: Told, folder: Path) -> None:
    (folder / "specs" / "drivetrain (copy).csv").write_text(SPEC_HEADER)
    (mistake,) = specs(GOOD)
    assert (mistake.file, mistake.line) == ("specs/drivetrain (copy).csv", 0)
    assert mistake.write == "name it in small letters, digits and _, as in brakes.csv"
