"""Parameters: read from the cell without running it, merged in order, refused before anything starts."""

import ast
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import RunError
from restonb.log._parameters import merged, parsed, read_cell, write_cell

CELL = """
feet_mm: list[list[float]] = []  # mm, plan position of each foot
max_plies = 3  # most shims in one stack
# mm, largest gap
# that may stay
limit = 0.05
note = "as found"
careful = True  # slow but sure
lift: str | None = None  # wanted rise
sizes = [
    0.05,  # mm, thin
    0.1,
]
"""


@pytest.fixture
def known():
    return read_cell(CELL)


def test_each_parameter_has_its_default_and_the_comment_that_belongs_to_it(known):
    found = {p.name: (p.default, p.comment) for p in known}
    assert found == {
        "feet_mm": ([], "mm, plan position of each foot"),
        "max_plies": (3, "most shims in one stack"),
        "limit": (0.05, "mm, largest gap that may stay"),
        "note": ("as found", ""),
        "careful": (True, "slow but sure"),
        "lift": (None, "wanted rise"),
        "sizes": ([0.05, 0.1], "mm, thin"),
    }


def test_the_unit_is_what_the_comment_begins_with_if_that_is_one(known):
    units = {p.name: p.unit for p in known}
    assert units["limit"] == "mm"
    assert units["max_plies"] is None


def test_nothing_in_the_cell_is_executed(tmp_path):
    trace = tmp_path / "ran"
    with pytest.raises(RunError, match="line 1: x is not a plain value; write a number"):
        read_cell(f"x = open({str(trace)!r}, 'w')")
    assert not trace.exists()


@pytest.mark.parametrize(
    ("cell", "message"),
    [
        ("import os", r"line 1: only assignments belong here; write name = value"),
        ("a = 1\na += 1", r"line 2: only assignments"),
        ("a, b = 1, 2", r"line 1: only assignments"),
        ("x = {1: 2}", r"x is not a plain value"),
        ("x = 1e999", r"x is not a plain value"),
        ("x = (", r"line 1: not Python"),
        ("x: complex = 1", r"no type of a parameter; write float, int"),
    ],
)
def test_a_cell_that_holds_anything_else_is_refused_with_its_line(cell, message):
    with pytest.raises(RunError, match=message) as caught:
        read_cell(cell)
    assert "\n" not in str(caught.value)


def test_later_layers_win(known):
    values = merged(known, [("build.toml", {"max_plies": 4, "limit": 1}), ("command line", {"max_plies": 2})], "t")
    assert values["max_plies"] == 2
    assert values["limit"] == 1.0
    assert isinstance(values["limit"], float)
    assert values["note"] == "as found"


def test_an_unknown_parameter_is_refused_in_one_line_with_the_near_name_and_all_names(known):
    with pytest.raises(
        RunError, match=r"has no parameter 'max_ply' \(build.toml\); did you mean max_plies\?"
    ) as caught:
        merged(known, [("build.toml", {"max_ply": 4})], "t")
    assert "it takes feet_mm, max_plies, limit, note, careful, lift, sizes" in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("name", "value", "wants"),
    [
        ("max_plies", "four", "a whole number"),
        ("max_plies", 2.5, "a whole number"),
        ("max_plies", True, "a whole number"),
        ("max_plies", [3], "a whole number"),
        ("limit", True, "a number"),
        ("limit", None, "a number"),
        ("limit", float("nan"), "a number"),
        ("note", 3, "text"),
        ("careful", 1, "true or false"),
        ("feet_mm", [1, 2], "a list of lists of numbers"),
        ("feet_mm", [["a", "b"]], "a list of lists of numbers"),
        ("sizes", ["thin"], "a list of numbers"),
        ("sizes", 0.05, "a list of numbers"),
        ("lift", 3, "text"),
        ("lift", {"a": 1}, "text"),
    ],
)
def test_a_value_of_another_type_is_refused_by_name(known, name, value, wants):
    with pytest.raises(RunError, match=f"parameter {name} takes {wants}, not .* \\(x\\)"):
        merged(known, [("x", {name: value})], "t")


@pytest.mark.parametrize(
    ("name", "value", "taken"),
    [
        ("max_plies", 4.0, 4),
        ("limit", "2 thou", 0.0508),  # 1 thou is 0.0254 mm by definition of the inch
        ("limit", ".05", 0.05),
        ("feet_mm", [[0, 1], [2, 3.5]], [[0, 1], [2, 3.5]]),
        ("feet_mm", [], []),
        ("lift", None, None),
        ("lift", "0.5 mm", "0.5 mm"),
    ],
)
def test_what_a_person_may_write(known, name, value, taken):
    got = merged(known, [("x", {name: value})], "t")[name]
    assert got == (pytest.approx(taken) if isinstance(taken, float) else taken)


def test_shop_text_of_the_wrong_kind_is_refused(known):
    with pytest.raises(RunError, match=r"parameter limit: .*degC"):
        merged(known, [("x", {"limit": "3 degC"})], "t")


def test_command_line_texts_are_json_where_they_are_json(known):
    texts = {"max_plies": "4", "feet_mm": "[[0, 0], [1, 2]]", "note": "4", "limit": "2 thou", "careful": "false"}
    assert parsed(known, texts, "t") == {
        "max_plies": 4, "feet_mm": [[0, 0], [1, 2]], "note": "4", "limit": pytest.approx(0.0508), "careful": False,
    }  # fmt: skip


def test_command_line_texts_may_come_as_name_value_pairs(known):
    assert parsed(known, ["max_plies = 4", "note=a=b"], "t") == {"max_plies": 4, "note": "a=b"}
    with pytest.raises(RunError, match=r"'max_plies' is not a parameter; write NAME=VALUE; it takes feet_mm"):
        parsed(known, ["max_plies"], "t")


WHOLE = 2**53  # RFC 8785, 3.2.2.3, and so the record: larger whole numbers would not survive in JSON
plain = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(1 - WHOLE, WHOLE - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner, max_size=4),
    max_leaves=8,
)


@settings(deadline=None, max_examples=60)
@given(value=plain, other=plain)
def test_a_written_cell_reads_back_as_what_was_written(value, other):
    cell = f"a = 1  # mm, first\nb: list[float] = [\n    1.0,  # é\n]\nc = {other!r}"
    written = write_cell(cell, {"a": 2, "b": [3.0], "c": value})
    assert [p.default for p in read_cell(written)] == [2, [3.0], value]
    assert "# mm, first" in written
    assert json.dumps(ast.literal_eval(repr(value))) == json.dumps(value)


@pytest.mark.parametrize("value", [WHOLE, -WHOLE, 10**400, "half \ud800 character", [1, WHOLE], ["\udfff"]])
def test_what_the_record_could_not_keep_is_refused_before_anything_starts(value):
    known = read_cell("a = None\n")
    with pytest.raises(RunError, match=r"parameter a takes any plain value, not .* \(given for this run\)"):
        merged(known, [("given for this run", {"a": value})], "toy")


AMOUNTS = """\
limit = "0.05 mm"  # largest gap that may stay
torque: str = ""  # torque in use, with its unit
lift: str | None = None  # wanted rise, with its unit
stock: list[str] = []  # shims on hand, each with its unit
note = "chain"  # what runs
"""


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("limit=0,04", r"limit: '0,04' has a decimal comma: write '0.04'"),
        ("limit=2 bar", "limit: '2 bar' is pressure, where length is wanted"),
        ("torque=24 Mn", "torque: there is no unit 'Mn'"),
        ("lift=about 2 mm", "lift: "),
        ('stock=["0.1 mm", "0,2 mm"]', "stock: '0,2 mm' has a decimal comma"),
        ("stock=0.1 mm", r"stock takes a list of amounts, each with its unit, such as '\["),
    ],
)
def test_an_amount_that_is_none_is_refused_before_anything_starts(text, says):
    with pytest.raises(RunError, match=says):
        parsed(read_cell(AMOUNTS), [text], "t")


def test_amounts_are_passed_on_as_typed():
    texts = {"limit": "2 thou", "torque": "24 N m", "lift": "", "stock": '["1/64 in"]', "note": "0,5 of it"}
    assert parsed(read_cell(AMOUNTS), texts, "t") == texts | {"stock": ["1/64 in"]}
    assert parsed(read_cell(AMOUNTS), {"limit": "0.04"}, "t") == {"limit": "0.04"}  # in the unit of the template


def test_a_parameter_that_a_template_took_once_says_what_is_written_instead():
    former = {"hoses": "enter the date printed on it as a reading"}
    with pytest.raises(RunError, match=r"takes no hoses any more.*enter the date printed on it as a reading"):
        merged(read_cell("strength = 2"), [("build.toml", {"hoses": 1})], "hydraulics", former)
