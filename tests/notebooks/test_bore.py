"""Bores: taper and ovality of the demo's table by hand, the next oversize, the decision in each case."""

import pytest

from restonb import log
from restonb.decisions.general.bore import Bore, Oversize, next_steps, oversize
from restonb.measure import expand
from restonb.record import Record, enter_readings
from restonb.stated import Build

STANDARD = (68.0, 68.02)


@pytest.fixture(scope="module")
def runs(play):
    return play("bore")[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", "")] * 3


def test_taper_and_ovality_are_those_of_the_table(runs):
    """Right bore as found: A 68.141, 68.118, 68.035, B 68.096, 68.082, 68.029 at 10, 40 and 70 mm.
    Taper down A 0.106, down B 0.067; oval by 0.045 at 10 mm, 0.036 at 40, 0.006 at 70."""
    found = numbers(runs[0])
    assert found["taper_right"] == pytest.approx(0.106)
    assert found["ovality_right"] == pytest.approx(0.045)
    assert found["largest_right"] == pytest.approx(68.141)


def test_the_worn_bore_is_bored_to_the_size_that_cleans_it_up(runs):
    """0.25 mm oversize is 68.25 mm: 0.109 mm to cut at the widest place, just above 0.10 mm."""
    said = runs[0].filed["decision"][1]
    assert "Bore and hone to 68.250 mm for the 0.25 mm oversize piston, which leaves 0.109 mm" in said


def test_a_liner_cut_wrong_goes_back(runs):
    said = runs[1].filed["decision"]
    assert said[0] == "Left bore: size, taper and ovality are inside their limits."
    assert "too wide at 2 of 6 places, most at depth 70mm / axis A" in said[1]
    assert "send it back with the table of readings" in said[1]


def test_at_the_end_all_is_inside(runs):
    assert {v["verdict"] for v in runs[2].filed["verdicts"]} == {"inside"}
    assert runs[2].filed["decision"][-1].startswith("Bores and ring gaps are inside")
    assert runs[2].filed["open"] == []


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty("general/bore")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert run.filed["decision"] == [
        "Measure the left and right bore at every depth and axis. Nothing is decided before that."
    ]


@pytest.mark.parametrize(
    ("largest", "steps", "step"),
    [
        (68.02, ["0.25 mm", "0.50 mm"], 0.25),
        (68.20, ["0.50 mm", "0.25 mm"], 0.5),
        (68.10, ["0.010 in"], 0.254),
        (68.45, ["0.50 mm"], None),
    ],
)
def test_the_next_oversize(largest, steps, step):
    """The finished bore is the least standard bore and the step; 0.10 mm must be left to cut."""
    found = oversize(largest, STANDARD, steps, "0.10 mm")
    if step is None:
        assert found is None
    else:
        assert found.step == pytest.approx(step)
        assert found.finish == pytest.approx(68 + step)
        assert found.stock == pytest.approx(68 + step - largest)


@pytest.mark.parametrize(
    ("word", "value", "next_size", "says"),
    [
        ("inside", 68.01, None, "are inside their limits"),
        ("too close to call", 68.02, None, "too close to call"),
        ("outside", 68.1, Oversize(0.25, 68.25, 0.15), "Bore and hone to 68.250 mm"),
        ("outside", 68.6, None, "No oversize on the list cleans it up"),
        ("outside", 67.99, None, "It can be honed to size"),
    ],
)
def test_the_decision_in_each_case(judged, word, value, next_size, says):
    size = judged("bore", lower=68.0, upper=68.02, value=value, depth_10mm=word)
    said = next_steps([Bore("left", size, judged("taper", axis_A="inside"), next_size)], judged("gap", left="inside"))
    assert says in said[0]


def test_a_bore_that_is_round_and_to_size_but_tapered_is_outside(judged):
    shape = judged("taper left", upper=0.1, value=0.12, axis_A="outside")
    size = judged("bore", upper=68.02, value=68.01, depth_10mm="inside")
    said = next_steps([Bore("left", size, shape, Oversize(0.25, 68.25, 0.15))], judged("gap", left="inside"))
    assert said[0].startswith("Left bore: taper 0.120 mm at axis A. Bore and hone")


@pytest.mark.parametrize(
    ("word", "says"),
    [
        ("not measured", "push each ring square"),
        ("outside", "outside its limits at left"),
        ("too close to call", "too close to call"),
    ],
)
def test_rings_come_after_sound_bores(judged, word, says):
    sound = Bore("left", judged("bore", depth_10mm="inside"), judged("taper", axis_A="inside"), None)
    assert says in next_steps([sound], judged("gap", left=word))[-1]


def test_a_bore_that_is_not_measured_is_asked_for(judged):
    sound = Bore("left", judged("bore", a="inside"), judged("taper", a="inside"), None)
    gone = Bore("right", judged("bore", a="not measured"), judged("taper", a="not measured"), None)
    assert (
        next_steps([sound, gone], judged("gap", left="inside"))[-1] == "Measure the right bore at every depth and axis."
    )


def test_a_sheet_of_loose_parts_says_that_it_relies_on_no_joint(play):
    build, runs = play("bore")
    text = (build.folder / runs[0].folder / "bore.html").read_text()
    assert "measured on parts that lie loose" in text


def test_a_single_is_finished_with_its_one_bore(tmp_path):
    """One bore with rows of its own: nothing is asked of a right one, and its taper is 0.106 mm as by hand."""
    build = Build.create(tmp_path / "build", "Single")
    (build.folder / "specs" / "bore.csv").write_text(
        "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source\n"
        'bore,bore,bore,"depth 10mm,40mm,70mm x axis A,B",68.01,68.00,68.02,,mm,,,manual\n'
        "bore,ovality,ovality,ovality of bore,0,,0.05,,mm,,,manual\n"
        "bore,taper,taper,taper of bore,0,,0.05,,mm,,,manual\n",
        encoding="utf-8",
    )
    build = Build.open(build.folder)
    (row,) = [r for r in build.specs if r.key == "bore"]
    sizes = ("68.141 mm", "68.096 mm", "68.118 mm", "68.082 mm", "68.035 mm", "68.029 mm")
    with Record.open(build) as record:
        enter_readings(record, build, "bore", "bore", dict(zip(expand(row.positions), sizes, strict=True)))
        run = log.run(build, record, "general/bore", {"oversizes": ["0.25 mm"]})
    assert (run.state, run.reason) == ("good", "")
    assert numbers(run)["taper"] == pytest.approx(0.106)
    assert run.filed["decision"][0].startswith("Bore: too wide at 6 of 6 places")
    assert "Bore and hone to 68.250 mm" in run.filed["decision"][0]
    said = " ".join([*run.filed["decision"], *run.filed["open"]])
    assert "right" not in said
    assert "left" not in said
