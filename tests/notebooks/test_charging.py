"""Charging: balance, spread and drain by hand, the battery against its table, each decision, and an empty build."""

import shutil
from types import SimpleNamespace

import pytest
from restonb.decisions.charted import last_day, named, paired

from restonb import log
from restonb.bench._values import NotYet
from restonb.decisions.electrical.charging import next_steps, nominal_of, powers, speeds_of, unlike, whole
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


def test_it_runs(run):
    assert (run.state, run.reason, run.filed["open"]) == ("good", "", [])


def test_the_speed_from_which_the_output_carries_the_loads(run):
    """Loads 8.6 A at 12.71 V; output 7.4 A at 12.58 V and 2000 rpm, 10.4 A at 14.20 V and 3000 rpm: the line between."""
    loads, low, high = 8.6 * 12.71, 7.4 * 12.58, 10.4 * 14.20
    assert numbers(run)["even_at"] == pytest.approx(2000 + 1000 * (loads - low) / (high - low))
    assert any("carries the loads from about 2300 rpm" in line for line in run.filed["decision"])


def test_the_phases_running(run):
    """Most unlike at 1500 rpm, (17.9 - 17.7) V of 17.8 V, and at 3000 rpm, (35.7 - 35.3) V of 35.467 V."""
    assert numbers(run)["phases"] == pytest.approx(max(20 / 17.8, 100 * 0.4 / (106.4 / 3)))


@pytest.mark.published("lead-acid state of charge table: 12.65 V is full")
def test_a_battery_above_the_top_row_is_full(run):
    assert numbers(run)["charge"] == 100


def test_the_drain_in_days(run):
    """Half of 12 Ah at 0.62 mA."""
    assert numbers(run)["days"] == pytest.approx(6 / 0.00062 / 24)


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"electrical/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert run.filed["decision"][0].startswith("Measure the battery at rest")
    assert any("explosive gas" in line for line in run.filed["cautions"])


def regulated(*rows):
    c = Characteristic("s", "v", "volts", "once", "V", lower=14.0, upper=14.8)
    return Verdicts(tuple(Verdict(c, place, word, value) for place, word, value in rows))


@pytest.fixture
def decide(judged):
    good = {
        "battery": judged(rest="inside", load="inside"),
        "winding": judged(AB="inside", BC="inside"),
        "earth": judged(A="inside", B="inside"),
        "regulator": regulated(("lights off", "inside", 14.4)),
        "drain": judged(once="inside"),
        "balance": SimpleNamespace(even_at=1000.0, least=5.0, margins=(5.0, 50.0)),
        "phases": 1.2,
        "phase_limit": 10.0,
    }
    return lambda **other: " ".join(next_steps(**{**good, **other}))


def test_good_on_all_counts(decide):
    assert decide() == (
        "The battery is charged and holds up under load. The phases are alike. The winding is insulated from earth. "
        "Running, the phases give alike (1.2 % apart). The regulator holds its voltage. "
        "The output carries the loads at every speed measured. Nothing drains the battery at rest."
    )


@pytest.mark.parametrize(
    ("what", "word", "said"),
    [
        ("battery", "outside", "Judge nothing else of the charging on it"),
        ("battery", "too close to call", "after a day"),
        ("battery", "not measured", "Measure the battery at rest"),
        ("winding", "outside", "one that reads high has a bad joint"),
        ("winding", "too close to call", "compare their voltages"),
        ("winding", "not measured", "leads subtracted"),
        ("earth", "outside", "leaks to earth at A: dry it warm"),
        ("earth", "too close to call", "dry it, and measure again"),
        ("earth", "not measured", "connector off"),
        ("drain", "outside", "pull one fuse"),
        ("drain", "not measured", "everything switched off"),
    ],
)
def test_each_case(decide, judged, what, word, said):
    assert said in decide(**{what: judged(A=word)})


@pytest.mark.parametrize(
    ("word", "volts", "said"),
    [
        ("outside", 15.6, "too high (lights on): stop the engine"),
        ("outside", 13.1, "too low (lights on): look at joints"),
        ("too close to call", 14.0, "too close to its limit"),
        ("not measured", None, "running fast, lights off and on (lights on still to do)"),
    ],
)
def test_the_regulator(decide, word, volts, said):
    rows = regulated(("lights off", "inside", 14.4), ("lights on", word, volts))
    assert said in decide(regulator=rows)


def test_phases_that_differ_while_running(decide):
    assert "one is shorted within itself" in decide(phases=18.0)
    assert "Running" not in decide(phases=NotYet(("x",)))


def test_an_output_that_is_short(decide):
    short = SimpleNamespace(even_at=None, least=-80.0, margins=(-80.0, -20.0))
    assert "never carries the loads: it is 20 W short at best" in decide(balance=short)
    part = SimpleNamespace(even_at=2297.0, least=-77.0, margins=(-77.0, 40.0))
    assert "from about 2300 rpm; below, the battery gives up to 77 W" in decide(balance=part)
    assert "output" not in decide(balance=NotYet(("x",)))


def test_speeds_are_those_of_the_positions():
    assert speeds_of(["1000 rpm", "3000 rpm"]) == [1000, 3000]
    assert not speeds_of(["idle", "3000 rpm"])
    assert not speeds_of(["3000 rpm", "1000 rpm"])
    assert not speeds_of([])


def test_power_and_difference():
    assert powers([2.0, 3.0], [12.0, 14.0]) == [24.0, 42.0]
    assert unlike([[10.0, 30.0], [10.0, 33.0]]) == pytest.approx(100 * 3 / 31.5)


def test_what_a_chart_takes():
    assert paired([1000.0, 2000.0], [5.0, 9.0]) == [(1000.0, 5.0), (2000.0, 9.0)]
    assert named(["lamp"], [4.6]) == {"lamp": 4.6}


def test_the_day_of_the_newest_reading():
    class Sheet:
        class evidence:
            @staticmethod
            def all(key):
                return [SimpleNamespace(at="2026-03-14T11:00:00+01:00")] if key == "known" else []

    assert (last_day(Sheet, "known"), last_day(Sheet, "other")) == ("2026-03-14", "")


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
    if other is None:
        assert found == nominal
    else:
        assert f"write nominal = {other} into build.toml" in found.text


def test_a_6_volt_battery_left_at_12_is_not_called_flat(play, tmp_path):
    build = Build.open(shutil.copytree(play(SHEET)[0].folder, tmp_path / SHEET))
    with Record.open(build) as record:
        enter_readings(record, build, SHEET, "rest_voltage", {"once": "12.71 V"})
        run = log.run(build, record, f"electrical/{SHEET}", {"nominal": 6})
    assert (run.state, run.reason) == ("good", "")
    assert "charge" not in run.filed["numbers"]
    assert "nominal = 12" in run.filed["decision"][0]


@pytest.mark.published("lead-acid state of charge table: 12.45 V is 75 %, 12.24 V is 50 %")
def test_the_charge_is_told_in_whole_per_cent():
    """12.40 V lies 0.16 / 0.21 of the way from 50 % to 75 %: 69.05 %."""
    assert whole(electrical.rest_voltage(12.40).charge) == 69
