"""Final chain: elongation and miles left of the demo by hand, the decision in each case, an empty build."""

import shutil
from dataclasses import replace
from types import SimpleNamespace

import pytest

from restonb import log
from restonb.bench._values import NotYet
from restonb.decisions.drivetrain.final_chain import Chain, next_steps, wear
from restonb.measure import Verdicts
from restonb.quantity import Quantity
from restonb.record import Record, enter_readings
from restonb.stated import Build

SHEET = "final_chain"


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", "")] * 3


def test_the_old_chain_is_done(runs):
    """12-25/32 in is 12.78125 x 25.4 = 324.64375 mm over 20 links of 15.875 mm: 2.25 % longer than new."""
    assert numbers(runs[0])["elongation"] == pytest.approx(100 * (12.78125 * 25.4 / 317.5 - 1))
    assert len(runs[0].filed["decision"]) == 1
    assert "replace it together with both sprockets" in runs[0].filed["decision"][0]


def test_the_new_chain_is_well_and_nothing_is_open(runs):
    assert {v["verdict"] for v in runs[1].filed["verdicts"]} == {"inside"}
    assert len(runs[1].filed["decision"]) == 6
    assert runs[1].filed["open"] == []


def test_the_links_to_order_are_those_of_the_story(runs):
    """X = 2 x 587/15.875 + 63/2 + (27/2 pi)^2 x 15.875/587 = 73.95 + 31.5 + 0.50 = 105.95 by the handbook's short form."""
    short_form = 2 * 587 / 15.875 + 63 / 2 + (27 / 6.2832) ** 2 * 15.875 / 587
    assert short_form == pytest.approx(105.95, abs=0.01)
    assert numbers(runs[0])["links"] == 106


def test_the_line_through_the_readings_meets_the_limit(runs):
    """317.60, 317.75, 317.85, 317.95 mm at 31462, 31640, 31815, 31988 miles; least squares by hand, limit 323.8 mm."""
    x, y = [31462, 31640, 31815, 31988], [317.60, 317.75, 317.85, 317.95]
    mx, my = sum(x) / 4, sum(y) / 4
    rate = sum((a - mx) * (b - my) for a, b in zip(x, y, strict=True)) / sum((a - mx) ** 2 for a in x)
    assert numbers(runs[2])["lasts_to"] == pytest.approx(mx + (323.8 - my) / rate)
    assert numbers(runs[2])["lasts_at_least_to"] < numbers(runs[2])["lasts_to"]


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"drivetrain/{SHEET}")
    assert (run.state, run.reason) == ("good", "")
    assert run.filed["numbers"] == {}
    assert run.filed["decision"][0].startswith("Measure the length over the links first")


def test_nothing_is_projected_from_two_mileages():
    found = wear([(100, 317.5), (100, 317.6), (200, 317.7)], Quantity(323.8, "mm"), 0.03)
    assert isinstance(found, NotYet)
    assert "three different mileages" in found.text


@pytest.fixture
def chain(judged):
    """A chain on which all is well; each test spoils one thing."""
    return Chain(
        length=judged("length", over_20_links="inside"),
        elongation=0.5,
        advised=3.0,
        link=judged("side play", once="inside"),
        clip=judged("faults", clip_direction="inside", clip_seat="inside", stiff_link="inside"),
        slack=judged("slack", tightest="inside", slackest="inside"),
        tight_spot=judged("spread", once="inside"),
        line=judged("offset", front="inside", rear="inside"),
        lie=SimpleNamespace(in_line=False, steps=("turn the wheel by 0.3 deg",)),
        sprocket=judged("lift", once="inside"),
        wear=NotYet(("miles",)),
    )


def test_all_is_well(chain):
    assert next_steps(chain)[-1].startswith("With the axle at its torque")


def test_a_clip_the_wrong_way_round_is_not_ridden(chain, judged):
    clip = judged("faults", clip_direction="outside", clip_seat="inside", stiff_link="inside")
    assert next_steps(chain._replace(clip=clip))[1] == (
        "Do not ride: turn the clip round: its closed end leads in the direction of travel."
    )


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"length": {"over_20_links": "too close to call"}}, "measure over more links"),
        ({"link": {"once": "outside"}}, "Do not ride: the joining link is outside its limit (link)"),
        ({"link": {"once": "not measured"}}, "Look at the joining link"),
        ({"link": {"once": "too close to call"}}, "joining link is too close to call"),
        ({"slack": {"tightest": "outside"}}, "outside at tightest: adjust at the tightest place"),
        ({"slack": {"tightest": "not measured"}}, "Measure the slack at the tightest"),
        ({"slack": {"tightest": "too close to call"}}, "set it nearer to the middle"),
        ({"tight_spot": {"once": "outside"}}, "a tight spot is an eccentric sprocket"),
        ({"line": {"front": "outside"}}, "Out of line at front: turn the wheel by 0.3 deg"),
        ({"line": {"front": "not measured"}}, "Measure the wheel sprocket against a straight edge"),
        ({"line": {"front": "too close to call"}}, "line is too close to call"),
        ({"sprocket": {"once": "outside"}}, "lifts off the wheel sprocket"),
        ({"sprocket": {"once": "not measured"}}, "Pull the chain away"),
        ({"sprocket": {"once": "too close to call"}}, "hooked or sharp ones decide it"),
    ],
)
def test_the_decision_in_each_case(chain, judged, changes, says):
    spoilt = {name: judged(name, **words) for name, words in changes.items()}
    said = next_steps(chain._replace(**spoilt))
    assert says in " ".join(said)
    assert not said[-1].startswith("With the axle at its torque")


@pytest.mark.practice
def test_the_advised_limit_counts_only_where_none_is_stated(chain):
    over = chain._replace(elongation=3.4)
    assert "replace it together with both sprockets" in next_steps(over)[0]
    row = chain.length.rows[0]
    stated = Verdicts((replace(row, characteristic=row.characteristic._replace(wear_limit=330.0)),))
    assert next_steps(over._replace(length=stated))[0].startswith("The chain is worn longer by 3.40 %, which is inside")


def test_a_wrong_pitch_is_an_open_point_and_no_failed_run(play, tmp_path):
    """324.644 mm over 20 links is 16.232 mm each: no chain of 1/2 in (12.7 mm) is worn by 27.8 %."""
    build = Build.open(shutil.copytree(play(SHEET)[0].folder, tmp_path / SHEET))
    with Record.open(build) as record:
        enter_readings(record, build, SHEET, "length", {"over 20 links": "324.644 mm"})
        run = log.run(build, record, f"drivetrain/{SHEET}", {"pitch": "1/2 in"})
    assert (run.state, run.reason) == ("good", "")
    assert "elongation" not in run.filed["numbers"]
    assert run.filed["decision"][0].startswith("Not worked out: count the links and check the pitch")
    assert any("not worked out" in line and "20 links of 12.7 mm makes 2" in line for line in run.filed["open"])


def test_a_length_that_the_formula_refuses_replaces_no_chain(chain, judged):
    refused = chain._replace(
        length=judged("length", over_20_links="outside"), elongation=NotYet(("x makes -19.5 %; y",))
    )
    said = next_steps(refused)
    assert said[0].endswith("before the wear is judged (x makes -19.5 %).")
    assert not said[-1].startswith("With the axle")
