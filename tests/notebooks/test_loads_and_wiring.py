"""Loads and wiring: balance, drop and fuse by hand and by the standards, each decision, and an empty build."""

from types import SimpleNamespace

import pytest

from restonb.bench._values import NotYet, Values
from restonb.decisions.electrical.loads_and_wiring import Circuit, circuits_shown, next_steps, pick, plan, spread, watts
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
    assert "Every circuit has wire enough, and a fuse that protects it." in run.filed["decision"]


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"electrical/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert run.filed["decision"][0] == "Measure the current of every load by itself."
    assert any("never fit a larger one" in line for line in run.filed["cautions"])


def planned(*row, allowed=0.3):
    return plan([row], AMPS, allowed, False, 20.0)[0]


@pytest.mark.published("IEC 60228 Table 3: 39.0 ohm/km at 0.5 mm2, 26.0 at 0.75 mm2; ISO 8820-3: 7.5 A, brown")
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


@pytest.mark.practice
def test_what_is_fitted_is_compared():
    assert planned("lamp", "2 m", "main", "0.75", "7.5").faults == ()
    assert planned("lamp", "2 m", "main", "0.5", "7.5").faults == (
        "its wire of 0.5 mm2 is too thin: 0.75 mm2 are needed",
        "its fuse of 7.5 A does not protect a wire for 5 A",
    )
    assert planned("lamp", "2 m", "main", "0.75", "5").faults == ("its fuse of 5 A will tire: 4.6 A run through it",)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (("horn", "1 m", "horn"), "still missing: current of the load (horn)"),
        (("heater", "1 m", "heater"), "heater: there is main, tail, horn"),
        (("lamp", "1 furlong", "main"), "not to be read"),
        (("lamp", "1 m", "main", "thick"), "not to be read"),
        (("lamp", "9000 m", "main"), "no size"),
        (("lamp",), "not to be read"),
    ],
)
def test_what_cannot_be_worked_out_says_why(row, said):
    found = planned(*row)
    assert found.area is None
    assert said in found.faults[0]


def test_loads_are_picked_by_name():
    assert pick(AMPS, ["main", "tail"]) == [4.6, 0.4]
    assert not pick(AMPS, ["main", "horn"])
    assert "none given" in repr(pick(AMPS, []))
    assert watts([2.0], 12.5) == [25.0]


def test_the_table_of_circuits():
    shown = circuits_shown([planned("lamp", "2 m", "main", "0.5", "7.5"), planned("horn", "1 m", "horn")]).text
    assert "7.5 A (brown)" in shown
    assert "0.24 V" in shown
    assert "Circuits: write" in circuits_shown([]).text


@pytest.fixture
def decide(judged):
    good = {
        "loads": judged(main="no limit"),
        "idle": SimpleNamespace(margins=(5.0, 60.0)),
        "cruise": SimpleNamespace(margins=(-5.0, 30.0)),
        "planned": [planned("lamp", "2 m", "main", "0.75", "7.5")],
        "feed": judged(once="inside"),
    }
    return lambda **other: " ".join(next_steps(**{**good, **other}))


def test_good_on_all_counts(decide):
    assert decide() == (
        "At idle the output carries the loads, 5 W to spare. At cruise it carries them with 30 W to spare, which charges the "
        "battery. Every circuit has wire enough, and a fuse that protects it. The main feed is as thick as it should be."
    )


def test_a_balance_that_is_short(decide):
    said = decide(idle=SimpleNamespace(margins=(-50.0, 1.0)), cruise=SimpleNamespace(margins=(-50.0, -7.0)))
    assert "At idle the battery gives 50 W" in said
    assert "At cruise it is 7 W short" in said
    assert "write down what is switched on" in decide(idle=NotYet(("x",)), cruise=NotYet(("x",)))


def test_a_balance_within_what_the_clamp_can_tell(decide):
    """0.175 A for the output and for each of three loads, at 12.6 V: 2 x 12.6 x 4 x 0.175 W."""
    told = spread(0.175, 0.175, 3, 12.6)
    assert told == pytest.approx(17.64)
    said = decide(
        idle=SimpleNamespace(margins=(-9.0, 1.0)),
        cruise=SimpleNamespace(margins=(0.0, 9.0)),
        idle_U=told,
        cruise_U=told,
    )
    assert "At idle output and loads are alike within what the clamp can tell (18 W)" in said
    assert "At cruise it is too close to call: 9 W" in said


def test_circuits(decide):
    assert "lamp: its wire of 0.5 mm2 is too thin" in decide(planned=[planned("lamp", "2 m", "main", "0.5", "7.5")])
    assert "At least: lamp 0.75 mm2 and 7.5 A. Write down" in decide(planned=[planned("lamp", "2 m", "main")])
    assert "Write the circuits" in decide(planned=[])
    assert "x: no way." in decide(planned=[Circuit("x", "", "", trouble="no way")])


@pytest.mark.parametrize(
    ("word", "said"),
    [("outside", "replace it"), ("too close to call", "replace it"), ("not measured", "bare copper of the main feed")],
)
def test_the_main_feed(decide, judged, word, said):
    assert said in decide(feed=judged(once=word))


def test_loads_still_to_measure(decide, judged):
    assert "by itself (tail still to do)" in decide(loads=judged(main="no limit", tail="not measured"))
