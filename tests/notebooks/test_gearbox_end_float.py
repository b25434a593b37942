"""End float: the shims of the demo by hand, the decision in each case, and a build of which nothing is known."""

from types import SimpleNamespace

import pytest

from restonb.decisions import NotYet, worst_state
from restonb.decisions.drivetrain.gearbox_end_float import Shaft, next_steps, pack
from restonb.formulas import seating, stackup

SHEET = "gearbox_end_float"


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def found(run):
    return {step["finding"]: step for step in run.filed["steps"]}


def by_finding(steps):
    return {step.finding: step for step in steps}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", ""), ("good", "")]


def test_the_shim_is_the_float_less_the_middle_of_its_range(runs):
    """Read 0.31, 0.30, 0.31, 0.32, 0.31: mean 0.31. The middle of 0.05 to 0.15 is 0.10, so 0.21 mm are wanted;
    of 0.10 (2), 0.15, 0.20 (2), 0.30, 0.50 (2) in stacks of two at most, 0.20 alone comes nearest with one piece."""
    filed = numbers(runs[0])
    assert filed["mainshaft_float"] == pytest.approx(0.31)
    assert filed["mainshaft_change"] == pytest.approx(0.21)
    assert filed["mainshaft_stack"] == pytest.approx(0.20)
    values = found(runs[0])["mainshaft.float.above"]["values"]
    assert values["stack"] == [{"value": 0.2, "unit": "mm"}]
    assert values["then"]["value"] == pytest.approx(0.11)


def test_limits_in_thou_and_readings_in_mm_come_together(runs):
    """Middle of 3 to 8 thou is 5.5 thou = 0.1397 mm; the float is (0.14 + 0.15 + 0.14)/3 mm."""
    assert numbers(runs[0])["layshaft_change"] == pytest.approx(0.43 / 3 - 0.1397)


def test_after_the_shim_all_is_inside_and_nothing_is_open(runs):
    assert {v["verdict"] for v in runs[1].filed["verdicts"]} == {"inside"}
    assert runs[1].filed["open"] == []
    assert {step["state"] for step in runs[1].filed["steps"]} == {"settled"}


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"drivetrain/{SHEET}")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert run.filed["verdicts"] == []
    assert {f: s["state"] for f, s in found(run).items()} == {"float.measure": "to do"}


def shaft(verdicts, value, fitted=0.0, pieces=(0.2,), limits=(0.05, 0.15)):
    return Shaft("mainshaft", verdicts, value, fitted, SimpleNamespace(pieces=pieces, thickness=sum(pieces)), limits)


@pytest.mark.parametrize(
    ("value", "fitted", "pieces", "finding", "then"),
    [
        (0.30, 0.0, (0.2,), "mainshaft.float.above", 0.10),
        (0.02, 0.3, (0.2,), "mainshaft.float.below", 0.12),
        (0.02, 0.0, (), "mainshaft.float.below", 0.02),
        (0.90, 0.0, (0.5,), "mainshaft.float.above", 0.40),
    ],
)
def test_what_the_stack_leaves(judged, value, fitted, pieces, finding, then):
    rows = judged("float", lower=0.05, upper=0.15, value=value, once="outside")
    step = by_finding(next_steps([shaft(rows, value, fitted, pieces)], judged("fork", fork_1="inside")))[finding]
    assert step.state == "to do"
    assert step.values["then"].value == pytest.approx(then)


def test_a_stack_that_leaves_the_float_on_its_limit_brings_it_in(judged):
    """0.55 + 0.30 - 0.70 is 0.15, and 0.15000000000000002 in floats: it lies on the limit of 0.15, and not beyond it."""
    assert 0.55 + 0.30 - 0.70 > 0.15
    rows = judged("float", lower=0.05, upper=0.15, value=0.55, once="outside")
    forks = judged("fork", fork_1="inside")
    on, over = (next_steps([shaft(rows, 0.55, 0.30, (size,))], forks)[0].values for size in (0.70, 0.699))
    assert (on["brought_in"], over["brought_in"]) == (True, False)
    stack = seating.stack(0.70, [0.70])
    assert stack.thickness == 0.70
    change = stackup.bring_in(0.55, 0.05, 0.15, fitted=0.30, sizes=[0.70])
    assert change.inside_then


@pytest.mark.parametrize(
    ("word", "finding", "state"),
    [
        ("inside", "mainshaft.float", "settled"),
        ("too close to call", "mainshaft.float.close", "not known"),
        ("no limit", "mainshaft.float.limit", "not known"),
    ],
)
def test_the_decision_in_each_case(judged, word, finding, state):
    steps = next_steps([shaft(judged(once=word), 0.10)], judged("fork", fork_1="inside"))
    assert by_finding(steps)[finding].state == state


def test_without_stock_it_asks_for_it(judged):
    rows = judged("float", lower=0.05, upper=0.15, value=0.3, once="outside")
    gone = shaft(rows, 0.3)._replace(stack=NotYet(("stock",)))
    step = by_finding(next_steps([gone], judged("fork", fork_1="inside")))["mainshaft.float.above"]
    assert step.state == "to do"
    assert "stack" not in step.values


@pytest.mark.parametrize(("value", "finding"), [(0.03, "forks.below"), (0.5, "forks.above")], ids=["too tight", "worn"])
def test_a_fork_that_is_too_tight_is_not_a_worn_one(judged, value, finding):
    forks = judged("fork", lower=0.1, upper=0.25, value=value, fork_2="outside")
    step = by_finding(next_steps([shaft(judged(once="inside"), 0.1)], forks))[finding]
    assert (step.state, step.about) == ("to do", (("fork", "fork 2"),))


def test_a_shaft_or_a_fork_that_is_not_measured_is_asked_for(judged):
    good, gone = shaft(judged(once="inside"), 0.1), shaft(judged(once="not measured"), None)
    steps = by_finding(next_steps([good, gone._replace(name="layshaft")], judged("fork", fork_1="not measured")))
    assert {f: s.state for f, s in steps.items()} == {
        "mainshaft.float": "settled",
        "layshaft.float.measure": "to do",
        "forks.measure": "to do",
    }


def test_all_inside_is_settled(judged):
    assert worst_state(next_steps([shaft(judged(once="inside"), 0.1)], judged("fork", fork_1="inside"))) == "settled"


def test_a_stack_is_never_below_nothing():
    assert pack(-0.3, 0.1) == 0.0
    assert pack(0.21, 0.0) == pytest.approx(0.21)
