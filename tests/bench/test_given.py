"""Parameters of a template: a wrong value is refused before anything is worked out, and it is said what to write."""

import pytest

from restonb import log
from restonb.bench import given
from restonb.errors import RunError
from restonb.record import Record
from restonb.stated import Build


@pytest.mark.parametrize("empty", [None, ""])
def test_what_is_left_empty_is_never_wrong(empty):
    assert given.amount(empty, "mm", above="0 mm") == ""
    assert given.choice(empty, "a") == given.day(empty) == given.thread(empty) == given.tolerance_class(empty) == ""
    assert (
        given.amounts([], "mm") == given.points([]) == given.rows([], "a") == given.same_length([], [1], "feet") == ""
    )
    assert given.number(None, above=0) == given.whole(None, 1, 2) == given.either(None, 6) == ""


@pytest.mark.parametrize(
    ("fault", "says"),
    [
        (given.amount("0.04 V", "mm"), "voltage, where length is wanted"),
        (given.amount("0,04 mm", "mm"), "decimal comma: write '0.04"),
        (given.amount("0 mm", "mm", above="0 mm"), "write above 0 mm, not '0 mm'"),
        (given.amount("3 in", "mm", above="0 mm", most="50 mm"), "write above 0 mm and at most 50 mm"),
        (given.amount("-300 degF", "degC", least="-40 degC"), "write -40 degC or more"),
        (given.amounts(["0.1 mm", "2 bar"], "mm"), "pressure, where length is wanted"),
        (given.amounts(["0.1 mm", ""], "mm"), "an empty text"),
        (given.number(0, above=0), "write above 0, not 0"),
        (given.number(13, least=0, most=12), "write 0 or more and at most 12"),
        (given.numbers([1, -1], least=0), "not -1"),
        (given.whole(-1, 1, 6), "write a whole number from 1 to 6"),
        (given.choice("steel", "chain", "v-belt", "toothed belt"), "write chain, v-belt or toothed belt"),
        (given.either(24, 6, 12), "write 6 or 12, not 24"),
        (given.day("21.2.2026"), "write year-month-day"),
        (given.thread("M8x"), "M8"),
        (given.tolerance_class("k55"), "grade"),
        (given.points([[0, 0], [1, 1]]), "2 positions; write 3 to 8"),
        (given.points([[0, 0], [1, 1], [2]]), "write each as [x, y]"),
        (given.rows([["lamp"]], "name", "length"), "a row of 1; write 2 texts: name, length"),
        (given.same_length([1], [1, 2], "thicknesses"), "write one for each of the 2 thicknesses"),
    ],
)
def test_what_will_not_do_says_what_to_write(fault, says):
    assert says in fault


@pytest.mark.parametrize(
    "fault",
    [
        given.amount("2 thou", "mm", above="0 mm", most="5 mm"),
        given.amount("0.05", "mm"),
        given.amount("68 degF", "degC", least="-20 degC", most="50 degC"),
        given.thread("3/8-26 BSCyc"),
        given.tolerance_class("N7"),
        given.day("2026-02-21"),
        given.whole(6, 1, 6),
        given.number(12, least=0, most=12),
    ],
)
def test_what_will_do_is_not_wrong(fault):
    assert fault == ""


def test_all_that_is_wrong_is_said_at_once():
    with pytest.raises(RunError, match=r"parameter a: .*; parameter c: write a whole number from 1 to 6, not 9"):
        given.takes(a=given.amount("x", "mm"), b="", c=given.whole(9, 1, 6))
    assert given.takes(a="", b="") is None


@pytest.mark.parametrize(
    ("template", "parameters", "says"),
    [
        ("gearbox_mounting", {"residual_limit": "9 mm", "max_plies": -1}, "max_plies: write a whole number.*, not -1; parameter residual_limit: .*5 mm"),
        ("charging", {"nominal": 24.0}, "nominal: write 6 or 12, not 24"),
        ("thread_repair", {"bolt_class": "88", "torque": "18 J"}, "bolt_class: '88' is not known"),
        ("hydraulics", {"fluid_grade": "DOT 6"}, "fluid_grade: 'DOT 6' is not known; write DOT 3"),
    ],
)  # fmt: skip
def test_a_run_stops_at_its_top(tmp_path, template, parameters, says):
    import re

    build = Build.create(tmp_path / "build", "Toy")
    with Record.open(build) as record:
        run = log.run(build, record, template, parameters)
    assert run.state == "failed"
    assert re.search(says, run.reason), run.reason
    cells = log.find_template(build, template).notebook["cells"]
    assert cells[run.cell - 1]["id"] == "parameters-check"
