"""Circuits: the losing joint by hand, readings that cannot be, wires by length and area, each decision, and an empty build."""

import pytest

from restonb.bench._values import Values
from restonb.decisions import NotYet, sentence
from restonb.decisions.electrical.circuits import (
    Checks,
    Walk,
    drops_of,
    excess_of,
    lost,
    next_steps,
    walk,
    wire_name,
    wire_table,
)
from restonb.measure import Characteristic, Verdict, Verdicts
from restonb.quantity import Quantity

SHEET = "circuits"
WIRES = [["1", "battery plus", "fuse", "red", "2.5", "1 m"], ["2", "fuse", "switch", "", "1.5", "3 ft"], ["3"]]


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def steps_of(run):
    return {step["finding"]: step for step in run.filed["steps"]}


def test_it_names_the_earth_that_loses_the_voltage(runs):
    """0.21 V at the lamp's earth, 0.02 V at the steering head: 0.19 V at 3.4 A are 56 milliohm."""
    assert (runs[0].state, runs[0].reason) == ("good", "")
    found = steps_of(runs[0])["path.earth"]
    assert (found["state"], found["values"]["joint"]) == ("to do", "lamp earth to steering head")
    assert found["values"]["volts"]["value"] == pytest.approx(0.19)
    assert found["values"]["ohm"]["value"] == pytest.approx(0.19 / 3.4)
    drops = steps_of(runs[0])["drops.above"]
    assert drops["safety"]
    assert drops["about"] == [["joint_drop", "headlamp earth"], ["lamp_drop", "head main"]]
    assert numbers(runs[0]) == {"feed_lost": pytest.approx(12.52 - 12.24), "earth_lost": pytest.approx(0.21)}


def test_after_the_eye_was_moved_everything_is_settled(runs):
    assert (runs[1].state, runs[1].filed["open"]) == ("good", [])
    assert {step["state"] for step in runs[1].filed["steps"]} == {"settled"}
    assert steps_of(runs[1])["path"]["values"]["total"]["value"] == pytest.approx(0.32)


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"electrical/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert [s["finding"] for s in run.filed["steps"]] == [
        "insulation.measure", "wires.measure", "path.measure", "drops.measure"
    ]  # fmt: skip
    cautions = " ".join(run.filed["cautions"])
    for word in ("Earth lead off first", "welding", "chlorinated", "local rules"):
        assert word in cautions


def path(**volts):
    return Values(
        "path", {name.replace("_", " "): None if v is None else Quantity(v, "V") for name, v in volts.items()}
    )


VOLTS = path(battery=12.5, switch=12.35, lamp_feed=12.3, lamp_earth=0.05, minus=0.0)


def walked(values=VOLTS, last="lamp feed", amps=5.0, switches=("switch",)):
    return walk(values, last, amps, switches, 0.1, 0.2)


def test_what_the_load_uses_is_no_loss():
    """0.15 V across a switch may be lost, 0.05 V elsewhere too: nothing is over."""
    found = walked()
    assert (found.found.over, found.found.notes) == ((), ())
    assert drops_of(found) == {
        "battery to switch": pytest.approx(0.15),
        "switch to lamp feed": pytest.approx(0.05),
        "lamp earth to minus": pytest.approx(0.05),
    }
    assert {name: amount.value for name, amount in excess_of(found).items()} == {
        "battery to switch": pytest.approx(-0.05),
        "switch to lamp feed": pytest.approx(-0.05),
        "lamp earth to minus": pytest.approx(-0.05),
    }
    assert lost(found, behind=False) == pytest.approx(0.2)
    assert lost(found, behind=True) == pytest.approx(0.05)


def test_the_same_loss_is_too_much_where_there_is_no_switch():
    assert walked(switches=()).found.over == ("battery to switch",)


@pytest.mark.parametrize(
    ("values", "last"),
    [
        (path(battery=12.5, switch=12.9, lamp_feed=12.3, lamp_earth=0.1, minus=0), "lamp feed"),
        (path(battery=12.5, switch=None, lamp_feed=12.3, lamp_earth=0.1, minus=0), "lamp feed"),
        (path(battery=-12.5, switch=-12.4, lamp_feed=-12.3, lamp_earth=-0.1, minus=0), "lamp feed"),
        (VOLTS, "bulb"),
        (VOLTS, "minus"),
    ],
)
def test_readings_that_cannot_be_work_nothing_out(values, last):
    found = walked(values, last)
    assert not found.found
    assert not drops_of(found)
    assert not lost(found, behind=True)


def test_without_a_current_there_is_no_resistance_and_no_verdict():
    found = walked(amps=NotYet(("current",)))
    assert found.found.resistance is None
    assert isinstance(excess_of(found), NotYet)


@pytest.mark.parametrize("amps", [0.0, -3.4])
def test_a_current_of_nothing_or_less_works_nothing_out(amps):
    assert not walked(amps=amps).found


def test_wires_are_named_as_far_as_they_are_written_down():
    assert wire_name("wire 1", WIRES) == "wire 1 (battery plus to fuse, red)"
    assert wire_name("wire 2", WIRES) == "wire 2 (fuse to switch)"
    assert wire_name("wire 3", WIRES) == "wire 3"
    assert wire_name("wire 9", WIRES) == "wire 9"


# -- what each set of verdicts says


def rows(key, unit, safety=False, upper=None, lower=None, **words):
    c = Characteristic("circuits", key, key, "once", unit, lower=lower, upper=upper, safety=safety)
    return Verdicts(tuple(
        Verdict(c, at.replace("_", " "), word, value, U=0.001) for at, (word, value) in words.items()
    ))  # fmt: skip


GOOD = Checks(
    insulation=rows("insulation", "Mohm", lower=1.0, once=("inside", 50.0)),
    drops=rows("lamp_drop", "mV", True, upper=500, head_main=("inside", 300.0), tail=("inside", 140.0)),
    path=rows("path_voltage", "V", battery=("no limit", 12.5)),
    path_excess=rows(
        "path_excess", "V", upper=0.0, battery_to_switch=("inside", -0.05), lamp_earth_to_minus=("inside", -0.05)
    ),
    continuity=rows("continuity", "ohm", upper=0.1, wire_1=("inside", 0.012), wire_2=("inside", 0.02)),
)


def decide(along=None, wires=WIRES, **other):
    return next_steps(GOOD._replace(**other), along or walked(), wires, ["switch"])


def findings(steps):
    return {step.finding: step for step in steps}


def word(name, verdict, value=None):
    good = getattr(GOOD, name)
    return Verdicts((Verdict(good[0].characteristic, good[0].position, verdict, value, U=0.001), *tuple(good)[1:]))


def test_good_on_all_counts():
    assert {step.state for step in decide()} == {"settled"}
    for step in (*decide(), *decide(continuity=word("continuity", "outside", 0.5))):
        print(step.state, "|", sentence(step))


@pytest.mark.parametrize("name", ["insulation", "drops", "path_excess", "continuity"])
@pytest.mark.parametrize("verdict", ["outside", "too close to call", "not measured", "no limit"])
def test_nothing_is_settled_on_a_row_that_is_not_inside(name, verdict):
    steps = decide(**{name: word(name, verdict)})
    key, at = getattr(GOOD, name)[0].characteristic.key, getattr(GOOD, name)[0].position
    assert all(step.state != "settled" for step in steps if (key, at) in step.about)
    assert any(step.state != "settled" for step in steps)


def test_a_harness_that_leaks_ends_the_matter():
    (step,) = decide(insulation=word("insulation", "outside", 0.1))
    assert (step.state, step.finding, step.safety) == ("stop", "insulation.below", True)


def test_a_negative_drop_is_swapped_leads_and_not_inside():
    """-1200 mV lies below an upper limit of 500 mV."""
    found = findings(decide(drops=word("drops", "inside", -1200.0)))
    assert found["drops.reversed"].state == "to do"
    assert found["drops.reversed"].about == (("lamp_drop", "head main"),)
    assert found["drops.reversed"].safety
    assert "drops" not in found


@pytest.mark.parametrize(("name", "finding"), [("path", "path.reversed"), ("continuity", "wires.reversed")])
def test_other_readings_below_0_are_questioned_too(name, finding):
    assert findings(decide(**{name: word(name, "inside", -0.5)}))[finding].state == "to do"


def test_a_wire_that_fails_is_named():
    found = findings(decide(continuity=word("continuity", "outside", 0.5)))["wires.above"]
    assert found.values["wires"] == ["wire 1 (battery plus to fuse, red)"]


@pytest.mark.published("IEC 60228 Table 3: 7.98 ohm/km at 2.5 mm2, 13.3 at 1.5 mm2")
def test_a_wire_is_judged_by_its_length_and_area():
    """1 m of 2.5 mm2 has 0.008 ohm: 0.09 ohm is inside 0.1 ohm for all wires, and far too much for this one."""
    found = findings(decide(continuity=word("continuity", "inside", 0.09)))
    assert found["wire.ends"].about == (("continuity", "wire 1"),)
    assert found["wire.ends"].values["copper"].value == pytest.approx(7.98e-3)
    assert "wire.copper" not in found
    table = {row[0]: row[6] for row in wire_table(GOOD.continuity, WIRES)}
    assert table == {"1": "0.008 ohm", "2": f"{13.3 * 3 * 0.3048 / 1000:.3f} ohm"}


@pytest.mark.parametrize(
    ("wires", "finding"),
    [
        ([], "wire.length"),
        ([["1", "a", "b", "red", "2.5"]], "wire.length"),
        ([["1", "a", "b", "red", "2.2", "1 m"]], "wire.size"),
    ],
)
def test_a_wire_without_length_or_of_no_size_is_not_judged_by_it(wires, finding):
    found = findings(decide(wires=wires))
    assert found[finding].state == "not known"
    assert "wire.copper" not in found


def test_each_side_has_its_own_cure():
    """5 A: 0.3 V are 60 milliohm, 0.2 V are 40."""
    found = findings(decide(along=walked(path(battery=12.5, switch=12.2, lamp_feed=12.0, lamp_earth=0.3, minus=0.0))))
    ohms = {name: found[name].values["ohm"].value for name in ("path.switch", "path.feed", "path.earth")}
    assert ohms == {
        "path.switch": pytest.approx(0.06),
        "path.feed": pytest.approx(0.04),
        "path.earth": pytest.approx(0.06),
    }
    assert "path" not in found


def test_a_path_that_is_not_measured():
    found = findings(decide(along=Walk((), 0, NotYet(("x",))), path_excess=Verdicts()))
    assert found["path.measure"].state == "to do"
