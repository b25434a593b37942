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
from restonb.decisions import NotYet, sentence
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
    assert found(run)["gap.misfit"]["state"] == "to do"
    text = (build.folder / run.folder / f"{SHEET}.html").read_text()
    assert "these do not, and no shim is chosen on them" in text


def found(run):
    return {step["finding"]: step for step in run.filed["steps"]}


def by_finding(steps):
    return {step.finding: step for step in steps}


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
    assert {f: s["state"] for f, s in found(ran["empty"]).items()} == {"gap.measure": "to do"}
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
    steps = found(ran["found"])
    assert list(steps) == ["rest.rocks", "shims.put", "gap.again"]
    rocks = steps["rest.rocks"]["values"]
    assert (rocks["axis"], rocks["foot"], rocks["drop"]["value"]) == ("foot 2 and foot 4", "foot 3", pytest.approx(0.2))
    assert steps["shims.put"]["values"]["foot_3"] == [{"value": 0.2, "unit": "mm"}]
    assert {step["state"] for step in steps.values()} == {"to do"}


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
    assert found(ran["tight"])["tight.outside"]["about"] == [["foot_movement", "foot 2"]]


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
ROCKS = SimpleNamespace(worst=0.2, axis=(2, 4), drops=(0.2, 0.0), cautions=())


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
        "stacks": ((0.1, 0.1), (0.05,)),
        "fewest": (),
        "fewest_stacks": (),
        "fewest_residual": None,
    }
    return SimpleNamespace(**{**plan, **changes})


DONE = gaps(("foot 1", 0.0, "inside"), ("foot 2", 0.0, "inside"), occasion="after rework")
NOTHING = gaps(("foot 1", None, "not measured"), ("foot 2", None, "not measured"))


def pieces(step, foot):
    return [piece.value for piece in step.values[f"foot_{foot}"]]


def test_it_names_the_simpler_plan_where_fewer_shims_also_stay_within_the_limit():
    plan = planned(fewest=("0.2 mm", "none"), fewest_stacks=((0.2,), ()), fewest_residual=0.03)
    steps = by_finding(next_steps(gaps(*FOUND), ROCKS, plan, gaps(*FOUND), NOTHING))
    assert list(steps) == ["rest.rocks", "shims.put", "shims.fewer", "gap.again"]
    assert (pieces(steps["shims.put"], 1), pieces(steps["shims.put"], 2)) == ([0.1, 0.1], [0.05])
    assert pieces(steps["shims.fewer"], 1) == [0.2]
    assert "foot_2" not in steps["shims.fewer"].values
    assert steps["shims.fewer"].values["left"].value == 0.03


def test_it_names_no_simpler_plan_where_there_is_none():
    assert "shims.fewer" not in by_finding(next_steps(gaps(*FOUND), ROCKS, planned(), gaps(*FOUND), NOTHING))


def test_gaps_inside_the_limit_are_not_shimmed_away():
    small = gaps(("foot 1", 0.02, "inside"), ("foot 2", 0.0, "inside"))
    plan = planned(fewest=("none", "none"), fewest_stacks=((), ()), fewest_residual=0.02)
    steps = by_finding(next_steps(small, ROCKS, plan, small, NOTHING))
    assert {f: step.state for f, step in steps.items()} == {"gap": "settled", "tight.measure": "to do"}


def test_the_shims_filed_are_those_that_the_decision_names():
    """Nothing is put under a gearbox whose gaps are inside as found, whatever the plan would better: no shim is filed."""
    small = gaps(("foot 1", 0.02, "inside"), ("foot 2", 0.0, "inside"))
    plan = planned(fewest=("none", "none"), fewest_residual=0.02)
    rest = SimpleNamespace(worst=0.02, cautions=())
    assert fitted(small, rest, plan) == (((), ()), 0, 0.02)
    assert fitted(gaps(*FOUND), ROCKS, plan) == (((0.1, 0.1), (0.05,)), 3, 0.01)


def test_gaps_from_no_single_resting_state_give_no_number():
    odd = SimpleNamespace(cautions=("These gaps do not come from one resting state",), worst=0.1, misfit=0.1)
    told = at_rest(odd, [0.1, 0.2])
    assert isinstance(told, NotYet)
    assert at_rest(ROCKS, [0.1, 0.2]) == [0.1, 0.2]
    assert isinstance(fitted(gaps(*FOUND), odd, told), NotYet)
    steps = by_finding(next_steps(gaps(*FOUND), odd, told, gaps(*FOUND), NOTHING))
    assert {f: step.state for f, step in steps.items()} == {"gap.misfit": "to do"}


def test_once_measured_again_the_newest_gaps_are_judged():
    steps = by_finding(next_steps(gaps(*FOUND), ROCKS, planned(), DONE, NOTHING))
    assert {f: step.state for f, step in steps.items()} == {"gap": "settled", "tight.measure": "to do"}


@pytest.mark.parametrize(
    ("word", "finding", "state"),
    [
        ("outside", "gap.outside", "to do"),
        ("too close to call", "gap.close", "not known"),
        ("no limit", "gap.limit", "not known"),
    ],
)
def test_it_is_not_tightened_on_shims_that_do_not_do(word, finding, state):
    now = gaps(("foot 1", 0.1, word), ("foot 2", 0.0, "inside"), occasion="after rework")
    steps = by_finding(next_steps(gaps(*FOUND), ROCKS, planned(), now, NOTHING))
    assert {f: step.state for f, step in steps.items()} == {finding: state}
    assert steps[finding].about == (("gap", "foot 1"),)


def test_half_measured_again_is_not_measured_again():
    now = gaps(("foot 1", 0.0, "inside"), occasion="after rework") + gaps(("foot 2", 0.0, "inside"))
    steps = by_finding(next_steps(gaps(*FOUND), ROCKS, planned(), now, NOTHING))
    assert steps["gap.again"].about == (("gap", "foot 2"),)


def test_gaps_that_a_disturbed_joint_has_spoiled_are_measured_first():
    steps = next_steps(gaps(*FOUND), ROCKS, planned(), NOTHING, NOTHING)
    assert [(step.finding, step.state) for step in steps] == [("gap.measure", "to do")]


def test_one_that_stands_firm_without_shims_is_not_measured_twice():
    firm = SimpleNamespace(worst=0.0, axis=(), drops=(0.0, 0.0), cautions=())
    fine = gaps(("foot 1", 0.0, "inside"), ("foot 2", 0.0, "inside"))
    steps = next_steps(fine, firm, planned(pieces=0, residual=0.0), fine, NOTHING)
    assert steps[-1].finding == "tight.measure"


def test_a_stock_that_is_too_coarse_is_told():
    steps = next_steps(gaps(*FOUND), ROCKS, planned(residual=0.08), gaps(*FOUND), NOTHING)
    assert steps[-1].finding == "shims.too_coarse"


def test_a_residual_on_its_limit_is_within_it():
    """0.1 + 0.2 - 0.25 is 0.05, and 0.050000000000000044 in floats."""
    plan = planned(residual=0.1 + 0.2 - 0.25)
    assert plan.residual > 0.05
    steps = next_steps(gaps(*FOUND), ROCKS, plan, gaps(*FOUND), NOTHING)
    assert "shims.put" in by_finding(steps)


# -- tight: no foot flexes where nothing says so


def tight(word, foot=2):
    c = Characteristic(SHEET, "foot_movement", "rise of the foot", "feet 4", "mm")
    words = dict.fromkeys(range(1, 5), "inside") | {foot: word}
    return Verdicts(tuple(Verdict(c, f"foot {n}", w, 0.0) for n, w in words.items()))


@pytest.mark.parametrize(
    ("word", "finding", "state"),
    [
        ("inside", "tight", "settled"),
        ("outside", "tight.outside", "to do"),
        ("too close to call", "tight.close", "not known"),
        ("no limit", "tight.limit", "not known"),
        ("not measured", "tight.measure", "to do"),
    ],
)
def test_what_is_said_of_the_base_plate(word, finding, state):
    steps = by_finding(next_steps(gaps(*FOUND), ROCKS, planned(), DONE, tight(word)))
    assert {f: step.state for f, step in steps.items() if f != "gap"} == {finding: state}
    if word != "inside":
        assert steps[finding].about == (("foot_movement", "foot 2"),)


def test_a_rest_that_is_refused_leaves_its_point_open_and_no_more():
    gone = NotYet(("'gaps' has 3 values for 4 feet",))
    fine = gaps(("foot 1", 0.0, "inside"), ("foot 2", 0.0, "inside"))
    steps = by_finding(next_steps(fine, gone, gone, fine, tight("inside")))
    assert {f: step.state for f, step in steps.items()} == {
        "rest.unknown": "not known",
        "gap": "settled",
        "tight": "settled",
    }


def test_fewer_feet_than_parameters_do_not_fail_the_sheet(small):
    rows = "gap,feet 3,,0.05,mm\ngap_tight,feet 3,,0.03,mm\nfoot_movement,feet 2,,0.05,mm\n"
    three = {f"foot {n}": "0 mm" for n in (1, 2, 3)}
    readings = {"gap": three, "gap_tight": three, "foot_movement": {"foot 1": "0 mm", "foot 2": "0 mm"}}
    run = small(f"drivetrain/{SHEET}", rows, readings, feet_mm=[[0, 0], [300, 0], [300, 200], [0, 200]])
    assert (run.state, run.reason) == ("good", "")
    assert found(run)["rest.unknown"]["state"] == "not known"
    assert "closing" not in found(run)


def test_the_sentences_are_there_to_be_read():
    """Nothing is compared: run with -s to read them aloud."""
    plan = planned(fewest=("0.2 mm", "none"), fewest_stacks=((0.2,), ()), fewest_residual=0.03)
    cases = [
        next_steps(gaps(*FOUND), ROCKS, plan, gaps(*FOUND), NOTHING),
        *(next_steps(gaps(*FOUND), ROCKS, plan, DONE, tight(word)) for word in ("inside", "outside", "not measured")),
        next_steps(gaps(*FOUND), SimpleNamespace(cautions=("x",), misfit=0.12), plan, gaps(*FOUND), NOTHING),
    ]
    for steps in cases:
        for step in steps:
            assert "{" not in sentence(step)
            print(f"{step.state}: {sentence(step)}")
