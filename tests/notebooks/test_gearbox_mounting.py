"""Seating a gearbox: the template run on a small build, empty, filled, and filled again, against a hand calculation.

The feet are a rectangle on a flat platform. For a rectangle the only way not to sit is one twist,
w = z1 - z2 + z3 - z4 (heights of the feet), and the unit rocks about the diagonal of the two feet that carry on
either side; |w| under one end of the other diagonal makes it sit.
"""

import json
import re
from types import SimpleNamespace

import pytest

from restonb import log
from restonb.bench._values import NotYet
from restonb.decisions.drivetrain.gearbox_mounting import at_rest, fitted, next_steps
from restonb.measure import Characteristic, Reading, Verdict, Verdicts
from restonb.record import Record, enter_reading
from restonb.stated import Build

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
gearbox_mounting,gap,"gap, nuts off",feet 4,,,0.05,,mm,feeler,,common practice
gearbox_mounting,gap_tight,"gap, tight",feet 4,,,0.05,,mm,feeler,,common practice
gearbox_mounting,foot_movement,"rise of the foot",feet 4,,,0.05,,mm,indicator,,common practice
"""
INSTRUMENTS = """instrument,what,unit,resolution,error,expansion,last_check,source
feeler,feeler gauges,mm,0.01 mm,0.005 mm,,,data sheet
indicator,dial indicator,mm,0.01 mm,0.005 mm,,,data sheet
"""
PARAMETERS = """
[parameters.gearbox_mounting]
feet_mm = [[0, 0], [300, 0], [300, 200], [0, 200]]
mass_mm = [140, 90]
stock = ["0.05 mm", "0.1 mm", "0.2 mm", "0.5 mm"]
"""
SHEET = "gearbox_mounting"


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    """The runs: empty, as found (foot 3 short by 0.20 mm), shimmed and tight with foot 2 moving."""
    folder = tmp_path_factory.mktemp("build") / "small"
    build = Build.create(folder, "Small")
    with Record.open(build) as record:
        runs = {"empty": log.run(build, record, SHEET)}
        (folder / "specs" / "drivetrain.csv").write_text(SPECS)
        (folder / "instruments.csv").write_text(INSTRUMENTS)
        with (folder / "build.toml").open("a") as file:
            file.write(PARAMETERS)
        build = Build.open(folder)

        def enter(characteristic, *values, occasion="as found"):
            for n, value in enumerate(values, 1):
                enter_reading(record, build, SHEET, characteristic, str(n), value, occasion=occasion)

        enter("gap", "0", "0", "0.20", "0")
        runs["found"] = log.run(build, record, SHEET)
        enter("gap", "0", "0", "0", "0", occasion="after rework")
        enter("gap_tight", "0", "0", "0", "0")
        enter("foot_movement", "0.01", "0.12", "0.01", "0.01")
        runs["tight"] = log.run(build, record, SHEET, {"max_plies": 2})
        runs["changes"] = log.what_changed(record, runs["tight"])
    runs["build"] = build
    return runs


def test_gaps_from_no_single_resting_state_file_no_plan(tmp_path):
    """All four feet with a gap: nothing would carry the gearbox, so that neither largest gap nor shims mean anything."""
    build = Build.create(tmp_path / "odd", "Odd")
    (build.folder / "specs" / "drivetrain.csv").write_text(SPECS)
    (build.folder / "instruments.csv").write_text(INSTRUMENTS)
    with (build.folder / "build.toml").open("a") as file:
        file.write(PARAMETERS)
    build = Build.open(build.folder)
    with Record.open(build) as record:
        for n, value in enumerate(("0.20", "0.15", "0.20", "0.15"), 1):
            enter_reading(record, build, SHEET, "gap", str(n), value)
        run = log.run(build, record, SHEET)
    assert (run.state, run.reason) == ("good", "")
    assert run.filed["numbers"] == {}
    assert run.filed["decision"][0].startswith("Do not shim on these gaps")
    text = (build.folder / run.folder / f"{SHEET}.html").read_text()
    assert "these do not, and no shim is chosen on them" in text


def page(ran, name):
    folder = ran["build"].folder / ran[name].folder
    return (folder / f"{SHEET}.html").read_text()


@pytest.mark.parametrize("name", ["empty", "found", "tight"])
def test_it_runs_top_to_bottom(ran, name):
    assert (ran[name].state, ran[name].reason) == ("good", "")


def test_on_an_empty_build_it_says_what_to_measure_and_works_out_nothing(ran):
    filed = ran["empty"].filed
    assert filed["verdicts"] == []
    assert filed["numbers"] == {}
    assert filed["decision"][0].startswith("Measure the gap under every foot with the nuts off")
    assert len(filed["open"]) == 3
    text = page(ran, "empty")
    assert "gearbox_mounting,gap," in text
    assert "feet_mm, to be written into build.toml" in text
    assert "<svg" not in text


def test_the_numbers_are_those_of_the_hand_calculation(ran):
    numbers = {name: n["value"] for name, n in ran["found"].filed["numbers"].items()}
    # w = 0 - 0 + (-0.20) - 0: foot 3 hangs by all of it, and one 0.2 mm shim under it leaves nothing.
    assert numbers == {"largest_gap": pytest.approx(0.20), "shims": 1, "residual": pytest.approx(0, abs=1e-9)}


def test_the_decision_says_what_rocks_what_to_shim_and_what_comes_next(ran):
    said = " ".join(ran["found"].filed["decision"])
    assert "foot 3 goes down 0.2 mm about feet 2 and 4" in said
    assert "Put 0.2 mm under foot 3" in said
    assert said.endswith("Then measure the gaps again with the nuts off.")


def test_verdicts_are_those_of_the_limits(ran):
    words = {(v["characteristic"], v["position"]): v["verdict"] for v in ran["tight"].filed["verdicts"]}
    outside = [key for key, word in words.items() if word == "outside"]
    assert outside == [("foot_movement", "foot 2")]
    assert len(words) == 12


def test_the_newest_gap_counts_and_the_plan_stays_that_of_the_gaps_as_found(ran):
    gaps = {
        v["position"]: (v["value"], v["verdict"], v["occasion"])
        for v in ran["tight"].filed["verdicts"]
        if v["characteristic"] == "gap"
    }
    assert gaps["foot 3"] == (0.0, "inside", "after rework")
    assert ran["tight"].filed["numbers"]["largest_gap"]["value"] == pytest.approx(0.20)


def test_a_foot_that_rises_is_named_as_the_place_where_the_base_flexes(ran):
    assert any("flexes at foot 2" in line for line in ran["tight"].filed["decision"])


def test_the_movement_filed_is_the_largest_that_was_read(ran):
    assert ran["tight"].filed["numbers"]["movement"]["value"] == pytest.approx(0.12)
    assert "movement" not in ran["found"].filed["numbers"]


def test_cautions_are_filed(ran):
    said = " ".join(ran["tight"].filed["cautions"])
    for word in ("heavy", "roll or tip", "fingers", "maker's manual"):
        assert word in said


def test_the_second_run_says_what_changed(ran):
    kinds = [c.kind for c in ran["changes"]]
    assert kinds.count("first") == 8
    flipped = [(c.what, c.was, c.now) for c in ran["changes"] if c.kind == "verdict"]
    assert flipped == [("gap, nuts off, foot 3", "0.2000 mm outside", "0.0000 mm inside")]
    assert [(c.what, c.was, c.now) for c in ran["changes"] if c.kind == "parameter"] == [("max_plies", "3", "2")]
    text = page(ran, "tight")
    assert "1 verdict flipped, 8 places newly measured, 1 result changed, 1 parameter changed" in text
    assert "<td>max_plies</td><td>3</td><td>2</td>" in text


@pytest.mark.parametrize("name", ["empty", "found", "tight"])
def test_its_page_stands_alone(ran, name):
    text = page(ran, name)
    assert "<script" not in text
    assert not re.search(r"https?://", text)
    assert not re.search(r"(src|href)=\"(?!#|data:image/)", text)
    assert str(ran["build"].folder) not in text


def test_its_page_shows_charts_with_words_for_who_cannot_see_them(ran):
    text = page(ran, "tight")
    assert text.count("<svg") == 3
    assert len(re.findall(r"<svg[^>]*role=\"img\"", text)) == 3
    assert "rocks about foot 2 and foot 4" in text


def test_the_executed_notebook_is_valid_and_what_was_filed_stands_in_the_record_alone(ran):
    import nbformat

    folder = ran["build"].folder / ran["tight"].folder
    notebook = json.loads((folder / f"{SHEET}.ipynb").read_text())
    nbformat.validate(nbformat.from_dict(notebook))
    assert "restonb.filed" not in json.dumps(notebook)
    assert notebook["metadata"]["restonb"]["parameters"]["max_plies"] == 2


# -- the decision alone


FOUND = [("foot 1", 0.2, "outside"), ("foot 2", 0.0, "inside")]
ROCKS = SimpleNamespace(firm=False, worst=0.2, rocks=("foot 1 goes down 0.2 mm about feet 2 and 4",), cautions=())


def gaps(*rows, occasion="as found"):
    """Verdicts on gaps: position, value, word."""
    c = Characteristic(SHEET, "gap", "gap, nuts off", "feet 2", "mm", upper=0.05)
    taken = {p: (Reading(SHEET, "gap", p, v, "mm", occasion=occasion),) for p, v, _ in rows if v is not None}
    return Verdicts(tuple(Verdict(c, p, word, v, readings=taken.get(p, ())) for p, v, word in rows))


def planned(**changes):
    plan = {
        "pieces": 3,
        "residual": 0.01,
        "limit": 0.05,
        "shims": ("0.1 + 0.1 mm", "0.05 mm"),
        "fewest": (),
        "fewest_residual": None,
    }
    return SimpleNamespace(**{**plan, **changes})


DONE = gaps(("foot 1", 0.0, "inside"), ("foot 2", 0.0, "inside"), occasion="after rework")
NOTHING = gaps(("foot 1", None, "not measured"), ("foot 2", None, "not measured"))


def test_it_names_the_simpler_plan_where_fewer_shims_also_stay_within_the_limit():
    plan = planned(fewest=("0.2 mm", "none"), fewest_residual=0.03)
    said = next_steps(gaps(*FOUND), ROCKS, plan, gaps(*FOUND), NOTHING)
    assert said[1].startswith(
        "Put 0.1 + 0.1 mm under foot 1 and 0.05 mm under foot 2: the largest gap left is 0.010 mm"
    )
    assert said[2].startswith(
        "Simpler, with fewer shims: 0.2 mm under foot 1. That leaves 0.030 mm, still within the limit"
    )
    assert said[3] == "Then measure the gaps again with the nuts off."


def test_it_names_no_simpler_plan_where_there_is_none():
    assert "Simpler" not in " ".join(next_steps(gaps(*FOUND), ROCKS, planned(), gaps(*FOUND), NOTHING))


def test_gaps_inside_the_limit_are_not_shimmed_away():
    small = gaps(("foot 1", 0.02, "inside"), ("foot 2", 0.0, "inside"))
    plan = planned(fewest=("none", "none"), fewest_residual=0.02)
    said = next_steps(small, ROCKS, plan, small, NOTHING)
    assert said[1:] == [
        "As it stands now every gap is inside its limit.",
        "Tighten to the plan, then measure gaps and foot movement, one nut at a time.",
    ]


def test_the_shims_filed_are_those_that_the_decision_names():
    """Nothing is put under a gearbox whose gaps are inside as found, whatever the plan would better: no shim is filed."""
    small = gaps(("foot 1", 0.02, "inside"), ("foot 2", 0.0, "inside"))
    plan = planned(fewest=("none", "none"), fewest_residual=0.02, stacks=((0.1, 0.1), (0.05,)))
    rest = SimpleNamespace(worst=0.02, cautions=())
    assert fitted(small, rest, plan) == (((), ()), 0, 0.02)
    assert fitted(gaps(*FOUND), ROCKS, plan) == (((0.1, 0.1), (0.05,)), 3, 0.01)


def test_gaps_from_no_single_resting_state_give_no_number():
    odd = SimpleNamespace(cautions=("These gaps do not come from one resting state",), worst=0.1)
    told = at_rest(odd, [0.1, 0.2])
    assert isinstance(told, NotYet)
    assert "these do not, and no shim is chosen on them" in told.text
    assert at_rest(ROCKS, [0.1, 0.2]) == [0.1, 0.2]
    assert isinstance(fitted(gaps(*FOUND), odd, told), NotYet)


def test_once_measured_again_the_newest_gaps_are_judged():
    said = next_steps(gaps(*FOUND), ROCKS, planned(), DONE, NOTHING)
    assert said[1:] == [
        "As it stands now every gap is inside its limit.",
        "Tighten to the plan, then measure gaps and foot movement, one nut at a time.",
    ]


def test_shims_that_do_not_do_come_out_again():
    now = gaps(("foot 1", 0.1, "outside"), ("foot 2", 0.0, "inside"), occasion="after rework")
    said = next_steps(gaps(*FOUND), ROCKS, planned(), now, NOTHING)
    assert said[1:] == [
        "The gap is still too large at foot 1.",
        "Do not tighten yet: take the shims out, measure the gaps as found, and shim what they show.",
    ]


def test_half_measured_again_is_not_measured_again():
    now = gaps(("foot 1", 0.0, "inside"), occasion="after rework") + gaps(("foot 2", 0.0, "inside"))
    said = next_steps(gaps(*FOUND), ROCKS, planned(), now, NOTHING)
    assert said[-1] == "Then measure the gaps again with the nuts off (foot 2 still to do)."


def test_gaps_that_a_disturbed_joint_has_spoiled_are_measured_first():
    assert next_steps(gaps(*FOUND), ROCKS, planned(), NOTHING, NOTHING) == [
        "Measure the gap under every foot with the nuts off. Nothing is decided before that."
    ]


def test_one_that_stands_firm_without_shims_is_not_measured_twice():
    firm = SimpleNamespace(firm=True, worst=0.0, rocks=(), cautions=())
    fine = gaps(("foot 1", 0.0, "inside"), ("foot 2", 0.0, "inside"))
    said = next_steps(fine, firm, planned(pieces=0, residual=0.0), fine, NOTHING)
    assert said[-1].startswith("Tighten to the plan")


def test_a_stock_that_is_too_coarse_is_told():
    plan = planned(residual=0.08)
    assert "get thinner shims" in next_steps(gaps(*FOUND), ROCKS, plan, gaps(*FOUND), NOTHING)[-1]
