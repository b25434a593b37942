"""Loads and wiring: balance, drop and fuse by hand and by the standards, each decision, and an empty build."""

from types import SimpleNamespace

import pytest

from restonb.bench._values import Values
from restonb.decisions import NotYet, sentence
from restonb.decisions.electrical._wiring import circuit_steps
from restonb.decisions.electrical.loads_and_wiring import (
    Checks,
    at_cruise,
    circuit_table,
    next_steps,
    pick,
    plan,
    spread,
    watts,
)
from restonb.measure import Characteristic, Verdict, Verdicts
from restonb.quantity import Quantity

SHEET = "loads_and_wiring"
AMPS = Values("current of the load", {"main": Quantity(4.6, "A"), "tail": Quantity(0.4, "A"), "horn": None})


@pytest.fixture(scope="module")
def run(play):
    (run,) = play(SHEET)[1]
    return run


def test_the_balance_by_hand(run):
    """12.6 V: in town 3.4 + 0.4 + 1.8 + 3.6 = 9.2 A against 5.2 A at 1500 rpm; at night 8.6 A against 10.4 A at 3000 rpm;
    between the two the output rises by 5.2 A in 1500 rpm, and 8.6 A are 3.4 A above the start."""
    assert (run.state, run.reason, run.filed["open"]) == ("good", "", [])
    found = {name: n["value"] for name, n in run.filed["numbers"].items()}
    assert found == {
        "idle_margin": pytest.approx((5.2 - 9.2) * 12.6),
        "cruise_margin": pytest.approx((10.4 - 8.6) * 12.6),
        "even_at": pytest.approx(1500 + 1500 * 3.4 / 5.2),
    }
    assert {step["state"] for step in run.filed["steps"]} == {"settled"}


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"electrical/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert [(s["state"], s["finding"]) for s in run.filed["steps"]] == [
        ("to do", "loads.measure"), ("to do", "cruise.measure"), ("to do", "idle.measure"), ("to do", "circuits.write"),
        ("to do", "feed.measure"),
    ]  # fmt: skip
    cautions = " ".join(run.filed["cautions"])
    for word in ("never fit a larger one", "flux", "local rules"):
        assert word in cautions


def planned(*row, allowed=0.3, load_u=0.0):
    return plan([row], AMPS, allowed, False, 20.0, load_u)[0]


def faults(*row, **given):
    return [(step.state, step.finding) for step in circuit_steps(planned(*row, **given))]


@pytest.mark.published("IEC 60228 Table 3: 39.0 ohm/km at 0.5 mm2, 26.0 at 0.75 mm2")
@pytest.mark.recalled("ISO 8820-3: a blade fuse of 7.5 A is brown")
def test_wire_and_fuse_of_one_circuit():
    """4.6 A over 2 m at 20 degC: 0.5 mm2 would lose 0.359 V, 0.75 mm2 loses 0.239 V; 4.6/0.8 = 5.75, next 7.5 A."""
    found = planned("lamp", "2 m", "main")
    assert (found.area, found.fuse, found.colour) == (0.75, 7.5, "brown")
    assert found.drop == pytest.approx(4.6 * 26.0 * 2 / 1000)


@pytest.mark.published("IEC 60228 Table 3: 26.0 ohm/km at 0.75 mm2")
def test_a_wire_thick_enough_for_the_current_but_not_for_its_fuse_goes_up_a_size():
    """5.0 A would go through 0.5 mm2 (usual load 5 A), but 5.0/0.8 = 6.25 asks for a fuse of 7.5 A: 0.75 mm2."""
    found = planned("both", "6 ft", "main + tail", allowed=1.0)
    assert found.amps == pytest.approx(5.0)
    assert (found.area, found.fuse) == (0.75, 7.5)
    assert found.drop == pytest.approx(5.0 * 26.0 * 6 * 0.3048 / 1000)


@pytest.mark.published("IEC 60228 Table 3: 39.0 ohm/km at 0.5 mm2, 26.0 at 0.75 mm2, 13.3 at 1.5 mm2")
@pytest.mark.parametrize(
    ("length", "area", "drop", "fails"),
    [
        ("2 m", "0.75", 4.6 * 26.0 * 2 / 1000, False),  # 0.239 V
        ("2 m", "0.5", 4.6 * 39.0 * 2 / 1000, True),  # 0.359 V: too thin
        ("6 m", "0.75", 4.6 * 26.0 * 6 / 1000, True),  # 0.718 V: too long
        ("6 m", "1.5", 4.6 * 13.3 * 6 / 1000, True),  # 0.367 V
        ("2 m", "1.2", 4.6 * 19.5 * 2 / 1000, False),  # no size of the table: as 1 mm2, 0.179 V
    ],
)
def test_a_fitted_wire_is_judged_by_its_length_and_area(length, area, drop, fails):
    found = planned("lamp", length, "main", area, "7.5")
    assert found.fitted_drop == pytest.approx(drop)
    assert ("circuit.drop" in {s.finding for s in circuit_steps(found)}) == fails


def test_a_drop_that_the_clamp_cannot_tell_from_the_limit_is_not_known():
    """0.239 V of 0.3 V at 4.6 A; at 4.6 + 2 x 0.7 A it would be 0.312 V."""
    assert faults("lamp", "2 m", "main", "0.75", "7.5", load_u=0.7) == [("not known", "circuit.drop_close")]


@pytest.mark.practice
@pytest.mark.parametrize(
    ("area", "fuse", "found"),
    [
        ("0.75", "7.5", []),
        ("1.5", "20", [("stop", "circuit.fuse_above_wire")]),
        ("1.2", "15", [("stop", "circuit.fuse_above_wire")]),  # carries what 1 mm2 does, 10 A
        ("6", "40", [("stop", "circuit.fuse_above_wire")]),  # no load is tabled above 4 mm2, 32 A
        ("0.75", "5", [("to do", "circuit.fuse_small")]),
        ("0.75", "none", [("stop", "circuit.no_fuse")]),
        ("0.75", "0", [("stop", "circuit.no_fuse")]),
        ("", "7.5", [("to do", "circuit.fitted")]),
        ("0.75", "", [("to do", "circuit.fitted")]),
        ("0.2", "7.5", [("to do", "circuit.thin")]),
        ("-1.5", "7.5", [("to do", "circuit.unknown")]),
        ("nan", "7.5", [("to do", "circuit.unknown")]),
        ("1.5", "-5", [("to do", "circuit.unknown")]),
    ],
)
def test_what_is_fitted_is_compared(area, fuse, found):
    assert faults("lamp", "2 m", "main", area, fuse) == found


@pytest.mark.practice
def test_a_current_too_much_for_its_wire_is_a_stop():
    """5.0 A through 0.5 mm2 lies at its usual load of 5 A; 9.6 A through 0.75 mm2, for 7.5 A, is too much."""
    amps = Values("load", {"a": Quantity(9.6, "A")})
    (circuit,) = plan([["x", "0.2 m", "a", "0.75", "7.5"]], amps, 0.3, False, 20.0)
    found = {step.finding: step for step in circuit_steps(circuit)}
    assert (found["circuit.wire_overloaded"].state, found["circuit.wire_overloaded"].safety) == ("stop", True)


@pytest.mark.parametrize(
    "row",
    [
        ("horn", "1 m", "horn"),
        ("heater", "1 m", "heater"),
        ("lamp", "1 furlong", "main"),
        ("lamp", "1 m", "main", "thick"),
        ("lamp", "9000 m", "main"),
        ("lamp",),
    ],
)
def test_what_cannot_be_worked_out_is_to_do(row):
    assert planned(*row).area is None
    assert faults(*row) == [("to do", "circuit.unknown")]


def test_loads_are_picked_by_name():
    assert pick(AMPS, ["main", "tail"]) == [4.6, 0.4]
    assert not pick(AMPS, ["main", "horn"])
    assert not pick(AMPS, [])
    assert watts([2.0], 12.5) == [25.0]


def test_the_table_of_circuits():
    (row,) = circuit_table([planned("lamp", "2 m", "main", "0.5", "7.5")])
    assert row == ("lamp", "main", "2 m", "4.6 A", "0.75 mm2", "0.24 V", "7.5 A (brown)", "0.5 mm2", "0.36 V", "7.5 A")


# -- what each set of verdicts says


def rows(key, unit, word, value=None, **limits):
    c = Characteristic(SHEET, key, key, "once", unit, **limits)
    return Verdicts((Verdict(c, "once", word, value, U=0.1),))


GOOD = Checks(
    loads=rows("load_current", "A", "no limit", 4.6),
    output=rows("charge_current", "A", "no limit", 10.4),
    margin=rows("cruise_margin", "W", "inside", 30.0, lower=0.0),
    feed=rows("wire_diameter", "mm", "inside", 1.9, lower=1.1),
)


def decide(idle=(5.0, 60.0), cruise=(-5.0, 30.0), circuits=None, idle_U=0.0, **other):
    def balance(margins):
        return margins if isinstance(margins, NotYet) else SimpleNamespace(margins=margins)

    fitted = [planned("lamp", "2 m", "main", "0.75", "7.5")] if circuits is None else circuits
    steps = next_steps(GOOD._replace(**other), balance(idle), balance(cruise), fitted, idle_U, 0.0)
    return {step.finding: step for step in steps}


def test_good_on_all_counts():
    found = decide()
    assert list(found) == ["cruise", "idle.carries", "circuits.good", "feed"]
    assert {step.state for step in found.values()} == {"settled"}
    for step in found.values():
        print(sentence(step))


def test_a_loss_in_town_is_settled_only_where_the_road_makes_up_for_it():
    assert decide(idle=(-50.0, 1.0))["idle.short"].state == "settled"
    short = decide(idle=(-50.0, 1.0), margin=rows("cruise_margin", "W", "outside", -7.0, lower=0.0))
    assert (short["cruise.below"].state, short["idle.short"].state) == ("to do", "to do")
    gone = decide(idle=NotYet(("x",)), cruise=NotYet(("x",)))
    assert (gone["cruise.measure"].state, gone["idle.measure"].state) == ("to do", "to do")


def test_a_balance_within_what_the_clamp_can_tell():
    """0.175 A for the output and for each of three loads, at 12.6 V: 2 x 12.6 x 4 x 0.175 W."""
    told = spread(0.175, 0.175, 3, 12.6)
    assert told == pytest.approx(17.64)
    assert decide(idle=(-9.0, 1.0), idle_U=told)["idle.even"].state == "settled"
    close = rows("cruise_margin", "W", "too close to call", 9.0, lower=0.0)
    found = decide(idle=(-9.0, 1.0), idle_U=told, margin=close)
    assert (found["cruise.close"].state, found["idle.even"].state) == ("not known", "not known")
    assert at_cruise(SimpleNamespace(margins=(0.0, 9.0)), told) == (9.0, "W", told / 2)
    assert isinstance(at_cruise(NotYet(("x",)), told), NotYet)


@pytest.mark.parametrize("name", ["loads", "output"])
@pytest.mark.parametrize(("word", "value"), [("no limit", -4.6), ("outside", 40.0), ("too close to call", 10.0)])
def test_nothing_is_concluded_from_a_current_that_cannot_be_relied_on(name, word, value):
    found = decide(**{name: rows(f"{name}_current", "A", word, value, upper=None if word == "no limit" else 10.0)})
    assert not {"cruise", "idle.carries"} & set(found)
    assert name != "loads" or "circuits.good" not in found
    assert found[f"{name}.reversed"].state == "to do" if value < 0 else True


def test_loads_that_are_not_measured_are_asked_for():
    assert decide(loads=rows("load_current", "A", "not measured"))["loads.measure"].about == (("load_current", "once"),)
    assert decide(loads=Verdicts())["loads.measure"].state == "to do"


def test_circuits():
    assert decide(circuits=[])["circuits.write"].state == "to do"
    found = decide(circuits=[planned("lamp", "2 m", "main")])
    assert found["circuit.fitted"].values["area"].value == 0.75
    assert "circuits.good" not in found


@pytest.mark.parametrize(
    ("word", "value", "state", "finding"),
    [
        ("outside", 0.9, "to do", "feed.below"),
        ("too close to call", 1.1, "not known", "feed.close"),
        ("not measured", None, "to do", "feed.measure"),
        ("no limit", 1.9, "not known", "feed.limit"),
    ],
)
def test_the_main_feed(word, value, state, finding):
    lower = None if word == "no limit" else 1.1
    assert decide(feed=rows("wire_diameter", "mm", word, value, lower=lower))[finding].state == state
