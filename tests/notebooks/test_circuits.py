"""Circuits: the losing joint by hand, readings that cannot be, each decision, and an empty build."""

import pytest

from restonb.bench._values import NotYet, Values
from restonb.decisions.electrical.circuits import Walk, continuity_shown, drops_of, lost, next_steps, walk, wire_name
from restonb.measure import Verdicts
from restonb.quantity import Quantity

SHEET = "circuits"
WIRES = [["1", "battery plus", "fuse", "red", "2.5"], ["2", "fuse", "switch"], ["3"]]


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", ""), ("good", "")]


def test_it_names_the_earth_that_loses_the_voltage(runs):
    """0.21 V at the lamp's earth, 0.02 V at the steering head: 0.19 V at 3.4 A are 56 milliohm."""
    said = " ".join(runs[0].filed["decision"])
    assert "loses the voltage: lamp earth to steering head, 0.19 V (56 milliohm). It is on the earth side" in said
    assert "headlamp earth and head main" in said
    found = numbers(runs[0])
    assert found == {"feed_lost": pytest.approx(12.52 - 12.24), "earth_lost": pytest.approx(0.21)}


def test_after_the_eye_was_moved_no_joint_is_named(runs):
    assert runs[1].filed["open"] == []
    assert "No joint along the circuit loses more than it may; 0.32 V are lost in all." in runs[1].filed["decision"]


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"electrical/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert run.filed["decision"][0].startswith("Measure the insulation")


def path(**volts):
    return Values(
        "path", {name.replace("_", " "): None if v is None else Quantity(v, "V") for name, v in volts.items()}
    )


GOOD = path(battery=12.5, switch=12.35, lamp_feed=12.3, lamp_earth=0.05, minus=0.0)


def walked(values, last="lamp feed", amps=5.0, switches=("switch",)):
    return walk(values, last, amps, switches, 0.1, 0.2)


def test_what_the_load_uses_is_no_loss():
    """0.15 V across a switch may be lost, 0.05 V elsewhere too: nothing is over."""
    found = walked(GOOD)
    assert found.found.over == ()
    assert found.found.notes == ()
    assert drops_of(found) == {
        "battery to switch": pytest.approx(0.15),
        "switch to lamp feed": pytest.approx(0.05),
        "lamp earth to minus": pytest.approx(0.05),
    }
    assert lost(found, behind=False) == pytest.approx(0.2)
    assert lost(found, behind=True) == pytest.approx(0.05)


def test_the_same_loss_is_too_much_where_there_is_no_switch():
    assert walked(GOOD, switches=()).found.over == ("battery to switch",)


@pytest.mark.parametrize(
    ("values", "last", "said"),
    [
        (path(battery=12.5, switch=12.9, lamp_feed=12.3, lamp_earth=0.1, minus=0), "lamp feed", "the voltage rises"),
        (path(battery=12.5, switch=None, lamp_feed=12.3, lamp_earth=0.1, minus=0), "lamp feed", "path (switch)"),
        (GOOD, "bulb", "'bulb' is none of the path"),
        (GOOD, "minus", "'minus' is none of the path"),
    ],
)
def test_readings_that_cannot_be_are_told_and_nothing_is_worked_out(values, last, said):
    found = walked(values, last)
    assert said in repr(found.found)
    assert not drops_of(found)
    assert not lost(found, behind=True)


def test_without_a_current_there_is_no_resistance():
    assert walked(GOOD, amps=NotYet(("current",))).found.resistance is None


def test_wires_are_named_as_far_as_they_are_written_down():
    assert wire_name("wire 1", WIRES) == "wire 1 (battery plus to fuse, red)"
    assert wire_name("wire 2", WIRES) == "wire 2 (fuse to switch)"
    assert wire_name("wire 3", WIRES) == "wire 3"
    assert wire_name("wire 9", WIRES) == "wire 9"


def test_the_table_of_wires_shows_those_without_a_name_too(judged):
    shown = continuity_shown(judged(wire_1="inside", wire_4="not measured"), WIRES).text
    assert "battery plus" in shown
    assert "not measured" in shown.splitlines()[-1]
    assert "no wire to show" in continuity_shown(Verdicts(), WIRES).text


@pytest.fixture
def decide(judged):
    good = {
        "insulation": judged(once="inside"),
        "drops": judged(engine_earth="inside", dip="inside"),
        "path": walked(GOOD),
        "continuity": judged(wire_1="inside", wire_2="inside"),
        "wires": WIRES,
        "switches": ["switch"],
    }
    return lambda **other: " ".join(next_steps(**{**good, **other}))


def test_good_on_all_counts(decide):
    assert decide() == (
        "The harness is insulated from the frame. Every wire carries from end to end. No joint along the circuit loses more "
        "than it may; 0.25 V are lost in all. Every joint, switch and lamp is within its drop under load."
    )


def test_a_harness_that_leaks_ends_the_matter(decide, judged):
    said = decide(insulation=judged(once="outside"))
    assert said.startswith("The harness leaks to the frame: do not connect the battery.")
    assert "wire" not in said
    assert "before the battery is connected" in decide(insulation=judged(once="not measured"))


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("outside", "Bad end to end: wire 1 (battery plus to fuse, red)."),
        ("too close to call", "Too close to call end to end: wire 1"),
        ("not measured", "unplugged at both (wire 1 still to do)"),
    ],
)
def test_wires(decide, judged, word, said):
    assert said in decide(continuity=judged(wire_1=word, wire_2="inside"))


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("outside", "Loses more than it may under load: dip."),
        ("too close to call", "Too close to its limit to call: dip"),
        ("not measured", "(dip still to do)"),
    ],
)
def test_drops(decide, judged, word, said):
    assert said in decide(drops=judged(engine_earth="inside", dip=word))


def test_each_side_has_its_own_cure(decide):
    """5 A: 0.3 V are 60 milliohm, 0.2 V are 40."""
    said = decide(path=walked(path(battery=12.5, switch=12.2, lamp_feed=12.0, lamp_earth=0.3, minus=0.0)))
    assert "battery to switch, 0.30 V (60 milliohm). It is across a switch: clean its contacts" in said
    assert "switch to lamp feed, 0.20 V (40 milliohm). It is on the feed side: part the plug" in said
    assert "lamp earth to minus, 0.30 V (60 milliohm). It is on the earth side" in said


def test_a_path_that_is_not_measured(decide):
    assert "they tell which joint loses them" in decide(path=Walk((), 0, NotYet(("x",))))
