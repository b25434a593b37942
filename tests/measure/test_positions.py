"""Every pattern of the spec book's `positions` column: what it means, how it lies, and how people type a position."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import PositionError
from restonb.measure import DERIVATIONS, Derived, derived, expand, find_position, layout, places_of

GRID = "depth 10mm,40mm,70mm x axis A,B"

PATTERNS = {
    "once": ("once",),
    " Once ": ("once",),
    "repeat 5": ("1", "2", "3", "4", "5"),
    "feet 4": ("foot 1", "foot 2", "foot 3", "foot 4"),
    "feet 3": ("foot 1", "foot 2", "foot 3"),
    "clock 4": ("12:00", "3:00", "6:00", "9:00"),
    "clock 8": ("12:00", "1:30", "3:00", "4:30", "6:00", "7:30", "9:00", "10:30"),
    "clock 36": tuple(f"{m // 60 or 12}:{m % 60:02d}" for m in range(0, 720, 20)),
    "links 20": ("over 20 links",),
    "links 10, 20": ("over 10 links", "over 20 links"),
    "phases AB,BC,CA": ("phase AB", "phase BC", "phase CA"),
    "bolts 6": ("bolt 1", "bolt 2", "bolt 3", "bolt 4", "bolt 5", "bolt 6"),
    "teeth 3": ("tooth 1", "tooth 2", "tooth 3"),
    "bushes 2": ("bush 1", "bush 2"),
    "front, rear": ("front", "rear"),
    "top left, top right, drain": ("top left", "top right", "drain"),
    "front left,right": ("front left", "front right"),
    "cylinder 1": ("cylinder 1",),
    "axis A,B": ("axis A", "axis B"),
    "boss 1,2": ("boss 1", "boss 2"),
    "depth 10mm x axis A, B": ("depth 10mm / axis A", "depth 10mm / axis B"),
    "disc left,right × clock 4": tuple(
        f"disc {s} / {c}" for s in ("left", "right") for c in ("12:00", "3:00", "6:00", "9:00")
    ),
    "depth 10mm,40mm x axis A,B; depth 70mm x axis A": (
        *("depth 10mm / axis A", "depth 10mm / axis B", "depth 40mm / axis A", "depth 40mm / axis B"),
        "depth 70mm / axis A",
    ),
    "feet 4; drain plug": ("foot 1", "foot 2", "foot 3", "foot 4", "drain plug"),
    "clock 8 without 6:00, 7:30": ("12:00", "1:30", "3:00", "4:30", "9:00", "10:30"),
    "cylinder 1,2 x ring 1,2 without cylinder 2 / ring 2": (
        "cylinder 1 / ring 1",
        "cylinder 1 / ring 2",
        "cylinder 2 / ring 1",
    ),
}


@pytest.mark.parametrize(("pattern", "names"), PATTERNS.items())
def test_pattern_means(pattern: str, names: tuple[str, ...]) -> None:
    assert expand(pattern) == names


@pytest.mark.parametrize(
    ("pattern", "says"),
    [
        ("", "write once, repeat 5"),
        ("  ", "no positions given"),
        ("once 3", "'once' alone"),
        ("repeat", "like 'repeat 8'"),
        ("repeat 0", "from 1 to 720"),
        ("repeat -2", "from 1 to 720"),
        ("repeat 2.5", "whole number"),
        ("repeat 100000", "from 1 to 720"),
        ("clock", "like 'clock 8'"),
        ("clock 4,8", "one number after 'clock'"),
        ("feet four", "like 'feet 8'"),
        ("links many", "like 'links 8'"),
        ("cloc 8", "write 'clock 8'"),
        ("repaet 5", "write 'repeat 5'"),
        ("onec", "write 'once'"),
        ("5", "repeat 5, clock 5 or bolts 5"),
        ("a,,b", "the extra comma"),
        ("a, b,", "the extra comma"),
        ("left, Left", "'Left' twice"),
        ("left/right", "without it"),
        ("a=b", "without it"),
        ("depth 10mm x ", "an empty part"),
        ("feet 4;", "an empty part"),
        ("clock 4 without", "after 'without'"),
        ("clock 4 without 5:00", "no position '5:00' to leave out"),
        ("axis A,B without A, B", "keep at least one"),
        ("ovality of bore", "enter the readings of bore"),
        ("ovalty of bore", "write 'ovality of bore'"),
        ("difference of bore", "write 'difference of bore and ...'"),
        ("taper of bore and piston", "write 'taper of bore'"),
    ],
)
def test_pattern_that_cannot_be_read_says_what_to_write(pattern: str, says: str) -> None:
    with pytest.raises(PositionError, match=says.replace("(", r"\(").replace(".", r"\.")):
        expand(pattern)


@pytest.mark.parametrize(
    ("pattern", "typed", "name"),
    [
        ("once", "", "once"),
        ("once", "ONCE", "once"),
        ("once", "1", "once"),
        ("feet 4", "3", "foot 3"),
        ("feet 4", "FOOT 3", "foot 3"),
        ("feet 4", " foot  3 ", "foot 3"),
        ("feet 4", "foot3", "foot 3"),
        ("bolts 12", "12", "bolt 12"),
        ("clock 8", "12", "12:00"),
        ("clock 8", "3 o'clock", "3:00"),
        ("clock 8", "1.30", "1:30"),
        ("clock 8", "01:30", "1:30"),
        ("clock 8", "4h30", "4:30"),
        ("links 20", "20", "over 20 links"),
        ("phases AB,BC,CA", "bc", "phase BC"),
        ("repeat 5", "2", "2"),
        (GRID, "10 a", "depth 10mm / axis A"),
        (GRID, "10a", "depth 10mm / axis A"),
        (GRID, "depth 10mm axis A", "depth 10mm / axis A"),
        (GRID, "10mm axis a", "depth 10mm / axis A"),
        (GRID, "10mm/B", "depth 10mm / axis B"),
        (GRID, "b 40", "depth 40mm / axis B"),
        (GRID, "Depth 70mm, axis a", "depth 70mm / axis A"),
        (GRID, "depth 70mm/axis a", "depth 70mm / axis A"),
        ("clock 4 x repeat 3", "3:00 2", "3:00 / 2"),
        ("front, rear", "Rear", "rear"),
    ],
)
def test_position_is_found_as_people_type_it(pattern: str, typed: str, name: str) -> None:
    assert find_position(pattern, typed) == name


@pytest.mark.parametrize(
    ("pattern", "typed", "says"),
    [
        ("feet 4", "5", "write one of foot 1, foot 2, foot 3 or foot 4"),
        ("feet 4", "", "write one of foot 1"),
        ("clock 36", "5:03", "12:00, 12:20.* or 29 more"),
        (GRID, "10", "no position '10'"),
        ("top left, bottom left", "left", "fits top left and bottom left; write one of them in full"),
    ],
)
def test_position_that_is_not_there(pattern: str, typed: str, says: str) -> None:
    with pytest.raises(PositionError, match=says):
        find_position(pattern, typed)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_every_position_is_found_by_its_own_name_and_lies_somewhere(pattern: str) -> None:
    plan = layout(pattern)
    assert tuple(p.name for p in plan.places) == expand(pattern)
    assert len({(round(p.x, 9), round(p.y, 9)) for p in plan.places}) == len(plan.places)
    assert len({(p.row, p.column) for p in plan.places}) == len(plan.places)
    for name in expand(pattern):
        assert find_position(pattern, name) == name
        assert find_position(pattern, name.upper()) == name


@pytest.mark.parametrize(
    ("pattern", "kind"),
    [
        ("once", "once"),
        ("repeat 3", "list"),
        ("front, rear", "list"),
        ("feet 4", "feet"),
        ("clock 8", "clock"),
        (GRID, "grid"),
    ],
)
def test_kind_of_layout(pattern: str, kind: str) -> None:
    assert layout(pattern).kind == kind


def test_clock_lies_as_on_a_clock() -> None:
    spots = {p.name: (p.x, p.y) for p in layout("clock 12").places}
    for name, (x, y) in {"12:00": (0, 1), "3:00": (1, 0), "6:00": (0, -1), "9:00": (-1, 0)}.items():
        assert spots[name] == pytest.approx((x, y), abs=1e-12)
    assert spots["1:00"] == pytest.approx((math.sin(math.radians(30)), math.cos(math.radians(30))))


def test_clock_keeps_its_angles_where_places_are_left_out() -> None:
    plan = layout("clock 8 without 6:00")
    assert plan.kind == "clock"
    assert {p.name: (p.x, p.y) for p in plan.places}["9:00"] == pytest.approx((-1, 0), abs=1e-12)


def test_feet_go_round_clockwise_from_the_front_left() -> None:
    assert [(p.x, p.y) for p in layout("feet 4").places] == [(-1, 1), (1, 1), (1, -1), (-1, -1)]
    six = [(p.x, p.y) for p in layout("feet 6").places]
    assert six == [(-1, 1), (0, 1), (1, 1), (1, -1), (0, -1), (-1, -1)]


def test_grid_knows_its_rows_columns_and_holes() -> None:
    plan = layout("depth 10mm,40mm x axis A,B; depth 70mm x axis A")
    assert plan.rows == ("depth 10mm", "depth 40mm", "depth 70mm")
    assert plan.columns == ("axis A", "axis B")
    assert plan.at("depth 40mm", "axis B").name == "depth 40mm / axis B"
    assert plan.at("depth 70mm", "axis B") is None


@pytest.mark.parametrize("word", DERIVATIONS)
def test_worked_out_rows_are_told_from_measured_ones(word: str) -> None:
    two = word in ("difference", "sum")
    assert derived(f"{word} of bore{' and piston' * two}") == Derived(word, ("bore", "piston")[: 1 + two])
    assert derived("feet 4") is None


def test_a_place_of_something_is_a_name() -> None:
    assert expand("top of bore, foot of bore") == ("top of bore", "foot of bore")
    assert expand("end of shaft") == ("end of shaft",)
    assert derived("runout of rim") == Derived("run-out", ("rim",))


@given(st.text(max_size=40))
@settings(deadline=None)
def test_any_text_gives_positions_or_a_plain_refusal(text: str) -> None:
    try:
        names = expand(text)
    except PositionError:
        return
    assert names
    assert len(set(names)) == len(names)
    assert all(find_position(text, name) == name for name in names[:5])


@given(
    st.lists(
        st.sampled_from(["feet 4", "clock 8", "axis A,B", "depth 10mm,40mm", "left, right", "bolts 3", "repeat 2"]),
        min_size=1,
        max_size=3,
        unique=True,
    )
)
@settings(deadline=None)
def test_a_grid_has_the_product_of_its_parts(parts: list[str]) -> None:
    assert len(expand(" x ".join(parts))) == math.prod(len(expand(p)) for p in parts)


def test_reading_patterns_needs_the_standard_library_only() -> None:
    code = "import sys, restonb.measure as m; m.layout('clock 8'); print([n for n in ('numpy','scipy','pandas','pint','csv') if n in sys.modules])"
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"
    )


def test_a_row_may_say_that_a_formula_gives_its_number() -> None:
    assert derived("worked out") == Derived("worked out", ())
    assert derived("Worked out from distance and speed") == Derived("worked out", ("distance", "speed"))
    assert derived("worked out from a, b and c at front, rear") == Derived("worked out", ("a", "b", "c"), "front, rear")
    asked = derived("worked out at feet 4")
    assert asked is not None
    assert places_of(asked) == ("foot 1", "foot 2", "foot 3", "foot 4")
    for read_by_nobody in ("worked out", "worked out from a at front, rear"):
        with pytest.raises(PositionError, match="nothing is read here"):
            expand(read_by_nobody)


@pytest.mark.parametrize(
    "wrong", ["worked out of distance", "worked out from", "worked out at", "worked out from a b", "worked out at feet"]
)
def test_worked_out_is_read_strictly(wrong: str) -> None:
    with pytest.raises(PositionError, match=r"write '|needs a whole number|no positions|unknown pattern"):
        derived(wrong)
