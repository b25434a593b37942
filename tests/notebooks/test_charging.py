"""Charging: balance, spread and drain by hand, the battery against its table, each decision, and an empty build."""

import shutil
from types import SimpleNamespace

import pytest

from restonb import log
from restonb.decisions import NotYet, sentence
from restonb.decisions.electrical.charging import (
    Carried,
    Checks,
    Running,
    carried,
    flowing,
    margin_u,
    next_steps,
    nominal_of,
    powers,
    speeds_of,
    unlike,
    whole,
)
from restonb.errors import FormulaError
from restonb.formulas import electrical
from restonb.measure import Characteristic, Verdict, Verdicts
from restonb.record import Record, enter_readings
from restonb.stated import Build

SHEET = "charging"


@pytest.fixture(scope="module")
def run(play):
    (run,) = play(SHEET)[1]
    return run


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def findings(steps):
    return [(step.state, step.finding) for step in steps]


def test_it_runs_and_everything_is_settled(run):
    assert (run.state, run.reason, run.filed["open"]) == ("good", "", [])
    assert {step["state"] for step in run.filed["steps"]} == {"settled"}


def test_the_speed_from_which_the_output_carries_the_loads(run):
    """Loads 8.6 A at 12.71 V; output 7.4 A at 12.58 V and 2000 rpm, 10.4 A at 14.20 V and 3000 rpm: the line between."""
    loads, low, high = 8.6 * 12.71, 7.4 * 12.58, 10.4 * 14.20
    assert numbers(run)["even_at"] == pytest.approx(2000 + 1000 * (loads - low) / (high - low))


def test_what_is_left_over_at_the_speed_asked_for(run):
    """3000 rpm is asked for: 10.4 A at 14.20 V less 8.6 A at 12.71 V; at 4500 rpm it gives more."""
    (step,) = [step for step in run.filed["steps"] if step["finding"] == "output"]
    assert step["values"]["margin"]["value"] == pytest.approx(10.4 * 14.20 - 8.6 * 12.71)
    assert ["output_margin", "once"] in step["about"]


def test_the_phases_running(run):
    """Most unlike at 1500 rpm, (17.9 - 17.7) V of 17.8 V, and at 3000 rpm, (35.7 - 35.3) V of 35.467 V."""
    assert numbers(run)["phases"] == pytest.approx(max(20 / 17.8, 100 * 0.4 / (106.4 / 3)))


@pytest.mark.recalled("BCI Battery Service Manual: 12.65 V is full")
def test_a_battery_above_the_top_row_is_full(run):
    assert numbers(run)["charge"] == 100


def test_the_drain_in_days(run):
    """Half of 12 Ah at 0.62 mA."""
    assert numbers(run)["days"] == pytest.approx(6 / 0.00062 / 24)


def test_on_an_empty_build_nothing_is_settled(empty):
    run = empty(f"electrical/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert {step["state"] for step in run.filed["steps"]} == {"to do", "not known"}
    assert run.filed["steps"][0]["finding"] == "battery.measure"
    cautions = " ".join(run.filed["cautions"])
    for word in ("explosive gas", "Earth lead off first", "welding", "maker's manual"):
        assert word in cautions


# -- what each set of verdicts says


def rows(key, unit, *at, lower=None, upper=None, U=None):
    c = Characteristic("charging", key, key.replace("_", " "), "once", unit, lower=lower, upper=upper)
    return Verdicts(tuple(Verdict(c, place, word, value, U=U) for place, word, value in at))


GOOD = Checks(
    battery=rows("rest_voltage", "V", ("once", "inside", 12.7), lower=12.45),
    phase=rows("phase_resistance", "ohm", ("AB", "inside", 0.34), lower=0.3, upper=0.4),
    spread=rows("phase_spread", "ohm", ("once", "inside", 0.005), upper=0.04),
    earth=rows("phase_to_earth", "Mohm", ("A", "inside", 50.0), lower=1.0),
    regulator=rows("regulated_voltage", "V", ("lights off", "inside", 14.4), lower=14.0, upper=14.8),
    phase_voltage=rows("phase_voltage", "V", ("AB", "no limit", 17.8)),
    phase_difference=rows("phase_difference", "%", ("once", "inside", 1.2), upper=10.0),
    output=rows("output_current", "A", ("1500 rpm", "no limit", 5.2), ("3000 rpm", "no limit", 10.4)),
    output_margin=rows("output_margin", "W", ("once", "inside", 38.0), lower=0.0),
    drain=rows("drain", "mA", ("once", "inside", 0.6), upper=5.0),
)
RUNNING = Running(
    12.0, SimpleNamespace(passes=True, least=9.6),
    SimpleNamespace(even_at=2300.0, least=-77.0, margins=(-77.0, 38.0)), Carried(3000.0, 38.0, 5.0),
)  # fmt: skip


def decide(running=None, **other):
    return next_steps(GOOD._replace(**other), RUNNING._replace(**(running or {})))


def word(name, verdict, value=None):
    """The good rows of that name, each with another verdict."""
    return Verdicts(tuple(Verdict(r.characteristic, r.position, verdict, value) for r in getattr(GOOD, name)))


def test_good_on_all_counts():
    assert {step.state for step in decide()} == {"settled"}


def test_its_sentences_can_be_read():
    """To be read, not compared."""
    for step in (
        *decide(),
        *decide(battery=word("battery", "outside", 11.0)),
        *decide(drain=word("drain", "inside", -60.0)),
    ):
        print(step.state, "|", sentence(step))
        assert "{" not in sentence(step)


@pytest.mark.parametrize("name", [f for f in Checks._fields if f not in ("phase_voltage", "output")])
@pytest.mark.parametrize("verdict", ["outside", "too close to call", "not measured", "no limit"])
def test_nothing_is_settled_on_a_row_that_is_not_inside(name, verdict):
    steps = decide(**{name: word(name, verdict)})
    speaking = [s for s in steps if {r.characteristic.key for r in getattr(GOOD, name)} & {key for key, _ in s.about}]
    assert all(step.state != "settled" for step in speaking)
    assert any(step.state != "settled" for step in steps)


@pytest.mark.parametrize(
    ("name", "value", "found"),
    [
        ("battery", 11.5, ("to do", "battery.below")),
        ("phase", 0.1, ("to do", "winding.below")),
        ("phase", 0.9, ("to do", "winding.above")),
        ("spread", 0.2, ("to do", "winding.spread.above")),
        ("earth", 0.1, ("to do", "earth.below")),
        ("phase_difference", 18.0, ("to do", "phases.above")),
        ("regulator", 13.1, ("to do", "regulator.below")),
        ("regulator", 15.6, ("stop", "regulator.high")),
        ("output_margin", -30.0, ("to do", "output.below")),
        ("drain", 30.0, ("to do", "drain.above")),
    ],
)
def test_outside_says_on_which_side(name, value, found):
    assert found in findings(decide(**{name: word(name, "outside", value)}))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("battery", -12.7),
        ("phase", -0.1),
        ("regulator", -14.4),
        ("phase_voltage", -17.8),
        ("output", -5.2),
        ("drain", -60.0),
    ],
)
def test_a_reading_below_0_is_swapped_leads_and_not_inside(name, value):
    """-60 mA lies below an upper limit of 5 mA, and says nothing good."""
    verdict = "no limit" if name in ("phase_voltage", "output") else "inside"
    steps = decide(**{name: word(name, verdict, value)})
    assert [s.state for s in steps if s.finding.endswith(".reversed")] == ["to do"]


def test_a_hair_below_0_is_nothing_at_all():
    """-0.01 mA by a meter that is good for 0.06 mA."""
    assert findings(decide(drain=rows("drain", "mA", ("once", "inside", -0.01), upper=5.0, U=0.06)))[-1] == (
        "settled",
        "drain",
    )


@pytest.mark.parametrize("verdict", ["outside", "not measured", "too close to call"])
def test_what_is_measured_running_counts_on_a_good_battery(verdict):
    steps = findings(decide(battery=word("battery", verdict, 11.0)))
    assert ("not known", "running.battery_first") in steps
    assert not {"regulator", "output"} & {finding for _, finding in steps}


def test_a_battery_that_is_charged_too_high_is_told_though_the_battery_is_bad():
    steps = decide(battery=word("battery", "outside", 11.0), regulator=word("regulator", "outside", 15.6))
    assert ("stop", "regulator.high") in findings(steps)


def test_a_load_test_that_fails_keeps_the_battery_from_being_good():
    steps = decide({"load_test": SimpleNamespace(passes=False, least=9.6)})
    assert findings(steps)[0] == ("to do", "battery.load_test")


def test_an_output_that_is_short_or_not_known():
    short = SimpleNamespace(even_at=None, least=-80.0, margins=(-80.0, -20.0))
    (found,) = [s for s in decide({"balance": short}) if s.finding == "output.short"]
    assert found.values["short"].value == 20.0
    assert ("to do", "output.measure") in findings(decide({"balance": NotYet(("x",))}))
    assert ("not known", "output.from") in findings(decide({"carried": NotYet(("a speed",))}))


# -- what is worked out


def test_what_is_left_over_is_the_least_from_that_speed_upwards():
    """-77 W at 1500 rpm, 40 W at 3000, 30 W at 4500: at 2250 rpm the line gives -18.5 W; from 3000 up 30 W is the least."""
    balance = SimpleNamespace(margins=(-77.0, 40.0, 30.0))
    speeds = [1500.0, 3000.0, 4500.0]
    assert carried(balance, speeds, 2250.0, 1.0) == (2250.0, pytest.approx(-18.5), 1.0)
    assert carried(balance, speeds, 3000.0, 1.0).margin == 30.0
    assert isinstance(carried(balance, speeds, 900.0, 1.0), NotYet)
    assert isinstance(carried(balance, speeds, 6000.0, 1.0), NotYet)
    assert margin_u(12.0, 0.2, 0.1) == pytest.approx(3.6)


def test_speeds_are_those_of_the_positions():
    assert speeds_of(["1000 rpm", "3000 rpm"]) == [1000, 3000]
    assert not speeds_of(["idle", "3000 rpm"])
    assert not speeds_of(["3000 rpm", "1000 rpm"])
    assert not speeds_of([])


def test_power_and_difference():
    """33 and 30 V are 3 V apart, of 31.5 V; two voltages, each good for 0.1 V, leave 0.1414 V of that."""
    assert powers([2.0, 3.0], [12.0, 14.0]) == [24.0, 42.0]
    found = unlike([[10.0, 30.0], [10.0, 33.0]], 0.1)
    assert found.value == pytest.approx(100 * 3 / 31.5)
    assert found.u == pytest.approx(100 * 2**0.5 * 0.1 / 10)


@pytest.mark.parametrize("grid", [[[0.0], [0.0]], [[-5.0], [-5.0]], []])
def test_phases_that_give_nothing_are_refused(grid):
    with pytest.raises(FormulaError, match="broken lead"):
        unlike(grid, 0.1)


def test_a_current_that_the_meter_cannot_tell_from_nothing_drains_nothing():
    assert flowing(0.00062) == 0.00062
    assert isinstance(flowing(-0.060), NotYet)
    assert isinstance(flowing(NotYet(("drain",))), NotYet)


@pytest.mark.practice
@pytest.mark.parametrize(
    ("rest", "nominal", "other"),
    [
        (6.32, 12, 6),
        (6.9, 12, 6),
        (12.65, 6, 12),
        (11.0, 6, 12),
        (12.2, 12, None),
        (10.6, 12, None),
        (6.1, 6, None),
        (0.4, 12, None),
    ],
)
def test_a_rest_voltage_of_the_other_kind_of_battery_is_told(rest, nominal, other):
    """Full, three cells of about 2.1 V are 6.3 V and six are 12.6 V; a flat battery stays of its kind."""
    found = nominal_of(rest, nominal)
    assert (found == nominal) == (other is None)
    steps = decide({"nominal": found})
    assert (("stop", "battery.other_voltage") in findings(steps)) == (other is not None)


def test_a_6_volt_battery_left_at_12_is_not_called_flat(play, tmp_path):
    build = Build.open(shutil.copytree(play(SHEET)[0].folder, tmp_path / SHEET))
    with Record.open(build) as record:
        enter_readings(record, build, SHEET, "rest_voltage", {"once": "12.71 V"})
        run = log.run(build, record, f"electrical/{SHEET}", {"nominal": 6})
    assert (run.state, run.reason) == ("good", "")
    assert "charge" not in run.filed["numbers"]
    assert run.filed["steps"][0]["finding"] == "battery.other_voltage"


@pytest.mark.recalled("BCI Battery Service Manual: 12.45 V is 75 %, 12.24 V is 50 %")
def test_the_charge_is_told_in_whole_per_cent():
    """12.40 V lies 0.16 / 0.21 of the way from 50 % to 75 %: 69.05 %."""
    assert whole(electrical.rest_voltage(12.40).charge) == 69
