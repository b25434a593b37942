"""End float: the shims of the demo by hand, the decision in each case, and a build of which nothing is known."""

from types import SimpleNamespace

import pytest

from restonb.decisions.drivetrain.gearbox_end_float import Shaft, next_steps, pack

SHEET = "gearbox_end_float"


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", ""), ("good", "")]


def test_the_shim_is_the_float_less_the_middle_of_its_range(runs):
    """Read 0.31, 0.30, 0.31, 0.32, 0.31: mean 0.31. The middle of 0.05 to 0.15 is 0.10, so 0.21 mm are wanted;
    of 0.10 (2), 0.15, 0.20 (2), 0.30, 0.50 (2) in stacks of two at most, 0.20 alone comes nearest with one piece."""
    found = numbers(runs[0])
    assert found["mainshaft_float"] == pytest.approx(0.31)
    assert found["mainshaft_change"] == pytest.approx(0.21)
    assert found["mainshaft_stack"] == pytest.approx(0.20)
    assert "Fit 0.2 mm: that leaves 0.11 mm" in runs[0].filed["decision"][0]


def test_limits_in_thou_and_readings_in_mm_come_together(runs):
    """Middle of 3 to 8 thou is 5.5 thou = 0.1397 mm; the float is (0.14 + 0.15 + 0.14)/3 mm."""
    assert numbers(runs[0])["layshaft_change"] == pytest.approx(0.43 / 3 - 0.1397)


def test_after_the_shim_all_is_inside_and_nothing_is_open(runs):
    assert {v["verdict"] for v in runs[1].filed["verdicts"]} == {"inside"}
    assert runs[1].filed["open"] == []
    assert runs[1].filed["decision"][-1].startswith("All is inside")


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"drivetrain/{SHEET}")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert run.filed["verdicts"] == []
    assert run.filed["decision"] == [
        "Measure the end float of the mainshaft and layshaft with the cover tight. Nothing is decided before that."
    ]


def shaft(verdicts, value, fitted=0.0, pieces=(0.2,), limits=(0.05, 0.15)):
    stack = SimpleNamespace(
        pieces=pieces, thickness=sum(pieces), text=" + ".join(map(str, pieces)) + " mm" if pieces else "none"
    )
    return Shaft("mainshaft", verdicts, value, fitted, stack, limits)


@pytest.mark.parametrize(
    ("word", "value", "fitted", "pieces", "says"),
    [
        ("inside", 0.10, 0.2, (0.2,), "leave the shims as they are"),
        ("too close to call", 0.15, 0.2, (0.2,), "too close to call"),
        ("outside", 0.30, 0.0, (0.2,), r"Fit 0.2 mm: that leaves 0.10 mm"),
        ("outside", 0.02, 0.3, (0.2,), r"Fit 0.2 mm instead of the 0.30 mm fitted: that leaves 0.12 mm"),
        ("outside", 0.02, 0.0, (), "Even without shims the float is too small"),
        ("outside", 0.90, 0.0, (0.5,), "No stack from this stock brings it in"),
    ],
)
def test_the_decision_in_each_case(judged, word, value, fitted, pieces, says):
    said = next_steps([shaft(judged(once=word), value, fitted, pieces)], judged("fork", fork_1="inside"))
    assert says in said[0]


def test_without_stock_it_asks_for_it(judged):
    said = next_steps([shaft(judged(once="outside"), 0.3)._replace(stack=None)], judged("fork", fork_1="inside"))
    assert "write the stock into build.toml" in said[0]


def test_a_worn_fork_is_named(judged):
    said = next_steps([shaft(judged(once="inside"), 0.1)], judged("fork", fork_1="inside", fork_2="outside"))
    assert "at fork 2" in said[1]


def test_a_shaft_or_a_fork_that_is_not_measured_is_asked_for(judged):
    good, gone = shaft(judged(once="inside"), 0.1), shaft(judged(once="not measured"), None)
    said = next_steps([good, gone._replace(name="layshaft")], judged("fork", fork_1="not measured"))
    assert said[1:] == ["Measure the end float of the layshaft.", "Measure the side clearance of the selector forks."]


def test_a_stack_is_never_below_nothing():
    assert pack(-0.3, 0.1) == 0.0
    assert pack(0.21, 0.0) == pytest.approx(0.21)
