"""Front hydraulics: ratio, pressure and hold by hand, the decision in each case, and an empty build."""

import math
from types import SimpleNamespace

import pytest

from restonb.bench._values import NotYet
from restonb.decisions.brakes.hydraulics import fluid_due, hoses_shown, mismatched, next_steps, unions_shown
from restonb.formulas import brakes

SHEET = "hydraulics"
UNIONS = [["pipe top", "double flare 45 deg", "Double  flare 45 deg"]]
HOLDS, LEAKS = SimpleNamespace(holds=True), SimpleNamespace(holds=False)


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", ""), ("good", "")]


def test_ratio_pressure_and_force_by_hand(runs):
    """Bore (15.896 + 15.896 + 15.897 + 15.896)/4; pistons 41.26, 41.25, 41.25 mm and 1.6245 in; 100 N at 5.5 to 1."""
    bore = (15.896 * 3 + 15.897) / 4
    piston = (41.26 + 41.25 * 2 + 1.6245 * 25.4) / 4
    pressure = 100 * 5.5 / (math.pi / 4 * bore**2)
    found = numbers(runs[1])
    assert found["ratio"] == pytest.approx((piston / bore) ** 2)
    assert found["pressure"] == pytest.approx(10 * pressure)
    assert found["clamp"] == pytest.approx(pressure * math.pi / 4 * piston**2)


def test_the_pressure_lost(runs):
    """From 78 to 69 bar is 11.5 %, from 80 to 80 bar nothing."""
    assert numbers(runs[0])["loss"] == pytest.approx(100 * 9 / 78)
    assert numbers(runs[1])["loss"] == pytest.approx(0)
    assert any("Do not ride it" in line for line in runs[0].filed["decision"])
    assert any("calliper union" in line and "No sealant" in line for line in runs[0].filed["decision"])
    assert "It holds its pressure." in runs[1].filed["decision"]
    assert runs[1].filed["open"] == []


@pytest.mark.published("49 CFR 571.116, DOT 4: 230 degC dry, 155 degC wet; glycol")
def test_the_grade_is_shown_with_what_it_must_bear(play, runs):
    build, _ = play(SHEET)
    page = (build.folder / runs[1].folder / "hydraulics.html").read_text()
    assert "230 degC" in page
    assert "155 degC" in page
    assert brakes.fluid_grade("DOT 4").base == "glycol"


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"brakes/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert run.filed["decision"][0].startswith("Measure the bore of the master cylinder")
    cautions = " ".join(run.filed["cautions"])
    for word in ("sealant", "never mixed", "Flares of different form", "pierces skin", "maker's manual"):
        assert word in cautions


@pytest.fixture
def decide(judged):
    good = {
        "cylinders": judged(a="inside", b="inside"),
        "hold": HOLDS,
        "loss": judged(once="inside"),
        "fluid": judged(once="inside"),
        "faults": judged(hose="inside", union="inside"),
        "bleeding": judged(once="inside"),
        "unions": UNIONS,
        "grade": "DOT 4",
        "filled": "2026-02-21",
    }
    return lambda **other: " ".join(next_steps(**{**good, **other}))


def test_good_on_all_counts(decide):
    assert decide() == (
        "Master cylinder and pistons are within their limits. Hoses and unions are sound and dry. It is bled. "
        "It holds its pressure. The DOT 4 fluid is fit to use. Change it again by 2028-02-21."
    )


@pytest.mark.parametrize("seat", ["bubble", ""])
def test_flares_that_do_not_belong_together_stop_everything(decide, seat):
    said = decide(unions=[["pipe top", "double flare 45 deg", seat]])
    assert said.startswith("Pipe end and seat are not of one form at pipe top")
    assert "pressure" not in said


def test_a_union_without_a_seat_written_down_is_not_taken_for_good():
    assert mismatched([*UNIONS, ["pipe bottom", "bubble"]]) == ["pipe bottom"]
    assert "never join them" in unions_shown([["a", "bubble", "flare"]]).text
    assert "Unions: write" in unions_shown([]).text


def test_a_worn_cylinder_stops_everything_after_it(decide, judged):
    said = decide(cylinders=judged(a="outside", b="not measured"))
    assert said.startswith("Worn or pitted past the limit at a: fit a new part")
    assert "pressure" not in said


@pytest.mark.parametrize(
    ("what", "word", "said"),
    [
        ("cylinders", "too close to call", "replace it unless"),
        ("cylinders", "not measured", "Measure the bore"),
        ("faults", "outside", "No sealant, no tape"),
        ("faults", "not measured", "white paper"),
        ("bleeding", "outside", "Bleed on"),
        ("bleeding", "not measured", "count the strokes"),
        ("loss", "outside", "master's cup lets it past"),
        ("loss", "too close to call", "for longer, or with a finer gauge"),
        ("loss", "not measured", "five minutes"),
        ("fluid", "outside", "flush it through"),
        ("fluid", "too close to call", "flush it through"),
        ("fluid", "not measured", "sealed can"),
    ],
)
def test_each_case(decide, judged, what, word, said):
    assert said in decide(**{what: judged(a=word)})


def test_a_loss_that_the_temperature_does_not_explain(decide):
    assert "more than the temperature explains" in decide(hold=LEAKS)
    assert "It holds its pressure." in decide(hold=NotYet(("x",)))


def test_fluid_and_hoses_by_date():
    """Two years: common practice. A leap day has no second anniversary."""
    assert fluid_due("2024-02-29") == "2026-02-28"
    assert fluid_due(None) == ""
    assert "2035-11" in hoses_shown([["front", "2025-11"]], 10).text
    assert "2035" not in hoses_shown([["front", "2025-11"]], None).text
    assert "not known" in hoses_shown([["front"]], 10).text
    assert "Hoses: write" in hoses_shown([], 10).text
