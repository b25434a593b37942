"""Bores: taper and ovality of the demo's table by hand, the next oversize, the decision in each case."""

import pytest

from restonb import log
from restonb.decisions import NotYet, sentence
from restonb.decisions.general.bore import (
    Bore,
    Oversize,
    bore_rows,
    cut_before,
    next_steps,
    oversize,
    shape_rows,
    standard_of,
    widest,
)
from restonb.measure import Characteristic, Reading, Verdict, Verdicts, expand
from restonb.record import Record, enter_readings
from restonb.stated import Build

LIMITS = (68.0, 68.02)


@pytest.fixture(scope="module")
def runs(play):
    return play("bore")[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def steps_of(run):
    return [(step["state"], step["finding"]) for step in run.filed["steps"]]


def step_of(run, finding):
    return next(step for step in run.filed["steps"] if step["finding"] == finding)


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", "")] * 3


def test_taper_and_ovality_are_those_of_the_table(runs):
    """Right bore as found: A 68.141, 68.118, 68.035, B 68.096, 68.082, 68.029 at 10, 40 and 70 mm.
    Taper down A 0.106, down B 0.067; oval by 0.045 at 10 mm, 0.036 at 40, 0.006 at 70."""
    found = numbers(runs[0])
    assert found["taper_right"] == pytest.approx(0.106)
    assert found["ovality_right"] == pytest.approx(0.045)
    assert found["largest_right"] == pytest.approx(68.141)


def test_worn_bores_go_to_the_one_size_that_cleans_both_up(runs):
    """0.25 mm oversize is 68.25 mm: 0.109 mm to cut at the widest place of both, just above 0.10 mm."""
    remedy = step_of(runs[0], "remedy.oversize")["values"]
    assert remedy["step"]["value"] == pytest.approx(0.25)
    assert remedy["finish"]["value"] == pytest.approx(68.25)
    assert remedy["stock"]["value"] == pytest.approx(68.25 - 68.141)


def test_a_liner_cut_wrong_goes_back(runs):
    assert steps_of(runs[1]) == [("settled", "bore"), ("to do", "bore.back")]
    assert step_of(runs[1], "bore.back")["about"] == [
        ["bore_right", "depth 70mm / axis A"], ["bore_right", "depth 70mm / axis B"]
    ]  # fmt: skip


def test_at_the_end_all_is_settled(runs):
    assert {v["verdict"] for v in runs[2].filed["verdicts"]} == {
        "inside",
        "no limit",
    }  # a piston has none: its clearance has
    assert {state for state, _ in steps_of(runs[2])} == {"settled"}
    assert steps_of(runs[2])[-1] == ("settled", "closing")
    assert runs[2].filed["open"] == []


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty("general/bore")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert steps_of(run) == [("to do", "bore.measure"), ("to do", "bore.measure")]


# -- what is worked out


@pytest.mark.parametrize(
    ("largest", "steps", "step"),
    [
        ([68.02], ["0.25 mm", "0.50 mm"], 0.25),
        ([68.20], ["0.50 mm", "0.25 mm"], 0.5),
        ([68.10], ["0.010 in"], 0.254),
        ([68.45], ["0.50 mm"], None),
    ],
)
def test_the_next_oversize(largest, steps, step):
    """The finished bore is the standard bore and the step; 0.10 mm must be left to cut."""
    found = oversize(largest, 68.0, steps, "0.10 mm")
    if step is None:
        assert found is None
    else:
        assert found == Oversize(pytest.approx(step), pytest.approx(68 + step), pytest.approx(68 + step - largest[0]))


@pytest.mark.parametrize(("largest", "step"), [([68.110, 68.310], 0.5), ([68.2, 68.2], 0.25), ([68.03, 68.98], None)])
def test_all_cylinders_go_to_one_size(largest, step):
    """By hand: 68 + s - M >= 0.05 for every cylinder; the right one sets both, and exactly enough is enough."""
    found = oversize(largest, 68.0, ["0.25 mm", "0.50 mm", "0.75 mm", "1.00 mm"], "0.05 mm")
    assert (found.step if found else None) == (pytest.approx(step) if step else None)


@pytest.mark.parametrize(
    ("smallest", "cut"), [(68.01, None), (68.021, None), (68.235, 0.25), (68.265, 0.25), (68.52, 0.5), (68.10, None)]
)
def test_what_is_not_worn_says_which_oversize_it_was_cut_to(smallest, cut):
    assert cut_before(smallest, LIMITS, 68.0, ["0.25 mm", "0.50 mm"]) == cut


def test_limits_of_an_oversize_in_the_spec_book_are_no_oversize_again():
    """Limits 68.25 to 68.27 for a bore of 68.26: inside them, whatever the standard is."""
    assert cut_before(68.26, (68.25, 68.27), 68.0, ["0.25 mm", "0.50 mm"]) is None
    assert standard_of((68.25, 68.27), "68 mm") == 68.0
    assert standard_of((68.25, 68.27), "") == 68.25
    assert isinstance(standard_of(NotYet(("limits",)), ""), NotYet)


def test_a_size_for_all_waits_for_the_last_cylinder():
    assert isinstance(widest({"bore_left": NotYet(("the left bore",))}), NotYet)


# -- what each set of verdicts says


def rows(key, *at, unit="mm", occasion="as found", **limits):
    c = Characteristic("bore", key, key.replace("_", " "), "once", unit, **limits)
    return Verdicts(tuple(
        Verdict(c, place, word, value, readings=(Reading("bore", key, place, value or 0, unit, occasion=occasion),))
        for place, word, value in at
    ))  # fmt: skip


def bore(name="left", word="inside", value=68.01, occasion="as found", **other):
    good = {
        "size": rows(f"bore_{name}", ("depth 10mm", word, value), ("depth 70mm", "inside", 68.01), occasion=occasion,
                     lower=68.0, upper=68.02),
        "shape": rows(f"taper_{name}", ("axis A", "inside", 0.01), upper=0.1),
        "clearance": rows(f"clearance_{name}", ("once", "inside", 0.06), lower=0.045, upper=0.08),
        "limits": LIMITS,
        "standard": 68.0,
    }  # fmt: skip
    return Bore(name, **{**good, **other})


GAP = {"lower": 0.22, "upper": 0.36, "wear_limit": 1.0}


def decide(*bores, next_size=None, gap=("inside", 0.3)):
    steps = next_steps(list(bores), next_size, rows("ring_gap", ("left", *gap), **GAP))
    for step in steps:
        print(step.state, "|", sentence(step))
    return {step.finding: step for step in steps}


def test_good_on_all_counts():
    assert {step.state for step in decide(bore(), bore("right")).values()} == {"settled"}


@pytest.mark.parametrize(
    ("word", "value", "state", "finding"),
    [
        ("too close to call", 68.02, "not known", "bore.close"),
        ("not measured", None, "to do", "bore.measure"),
        ("outside", 68.1, "to do", "bore.wide"),
        ("outside", 67.99, "to do", "bore.tight"),
        ("outside", 67.5, "to do", "bore.small"),
        ("outside", 6.8, "not known", "bore.absurd"),
        ("outside", 75.0, "not known", "bore.absurd"),
    ],
)
def test_each_verdict_of_a_bore(word, value, state, finding):
    found = decide(bore(word=word, value=value), next_size=Oversize(0.25, 68.25, 0.15))
    assert found[finding].state == state
    assert not {"bore", "ring_gap"} & set(found)
    assert ("remedy.oversize" in found) == (finding == "bore.wide")


def test_a_bore_in_inches_is_absurd_in_inches():
    size = rows("bore_left", ("once", "inside", 2.6775), unit="in", lower=2.6772, upper=2.678)
    assert "bore" in decide(bore(size=size))
    assert "bore.absurd" in decide(bore(size=rows("bore_left", ("once", "outside", 26.775), unit="in", upper=2.678)))


def test_a_wanted_oversize_is_not_sent_back():
    """68.26 mm, back from the shop, against limits of the standard size: it was cut to what was ordered."""
    cut = bore(word="outside", value=68.26, occasion="back from outside work", cut=0.25)
    found = decide(cut, next_size=Oversize(0.5, 68.5, 0.24))
    assert found["bore.oversize"].values["cut"].value == 0.25
    assert not {"bore.back", "bore.wide", "remedy.oversize"} & set(found)


@pytest.mark.parametrize("value", [68.05, 67.98])
def test_what_came_back_wrong_is_sent_back(value):
    found = decide(bore(word="outside", value=value, occasion="back from outside work"))
    assert found["bore.back"].about == (("bore_left", "depth 10mm"),)


def test_one_worn_cylinder_takes_the_other_along():
    found = decide(bore(word="outside", value=68.1), bore("right"), next_size=Oversize(0.25, 68.25, 0.15))
    assert (found["bore"].state, found["remedy.oversize"].state) == ("settled", "to do")


def test_a_bore_that_is_to_size_but_tapered_is_cut():
    shape = rows("taper_left", ("axis A", "outside", 0.12), upper=0.1)
    found = decide(bore(shape=shape), next_size=Oversize(0.25, 68.25, 0.15))
    assert (found["bore.shape"].state, found["remedy.oversize"].state) == ("to do", "to do")


@pytest.mark.parametrize(("next_size", "finding"), [(None, "remedy.liner"), (NotYet(("pistons",)), "remedy.pistons")])
def test_without_a_piston_that_cleans_it_up(next_size, finding):
    assert decide(bore(word="outside", value=68.6), next_size=next_size)[finding].state == "to do"


@pytest.mark.parametrize(
    ("word", "value", "state", "finding"),
    [
        ("outside", 0.02, "to do", "clearance.below"),
        ("outside", 0.12, "to do", "clearance.above"),
        ("too close to call", 0.08, "not known", "clearance.close"),
        ("not measured", None, "to do", "clearance.measure"),
        ("no limit", 0.06, "not known", "clearance.limit"),
    ],
)
def test_the_piston_decides(word, value, state, finding):
    limits = {} if word == "no limit" else {"lower": 0.045, "upper": 0.08}
    found = decide(bore(clearance=rows("clearance_left", ("once", word, value), **limits)))
    assert found[finding].state == state


def test_a_piston_without_a_row_is_asked_for():
    assert decide(bore(clearance=Verdicts()))["clearance.measure"].state == "to do"


@pytest.mark.parametrize(
    ("gap", "state", "finding"),
    [
        (("not measured", None), "to do", "ring_gap.measure"),
        (("outside", 0.1), "to do", "ring_gap.below"),
        (("outside", 1.3), "to do", "ring_gap.above"),
        (("too close to call", 0.36), "not known", "ring_gap.close"),
    ],
)
def test_rings_come_after_sound_bores(gap, state, finding):
    assert decide(bore(), gap=gap)[finding].state == state


def test_without_limits_nothing_is_settled():
    bare = bore(
        size=rows("bore_left", ("once", "no limit", 68.01)), shape=rows("taper_left", ("once", "no limit", 0.01)),
        limits=NotYet(("limits",)), standard=NotYet(("limits",)),
    )  # fmt: skip
    assert all(step.state != "settled" for step in decide(bare).values())
    assert "bore.shape.row" in decide(bore(shape=Verdicts()))


def test_a_sheet_of_loose_parts_says_that_it_relies_on_no_joint(play):
    build, runs = play("bore")
    text = (build.folder / runs[0].folder / "bore.html").read_text()
    assert "measured on loose parts" in text


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
    assert step_of(run, "bore.wide")["values"]["worst"] == "depth 10mm / axis A"
    assert step_of(run, "remedy.oversize")["values"]["finish"]["value"] == pytest.approx(68.25)
    assert run.filed["rows_missing"] == ["piston", "ring_gap", "clearance"]
    assert {key for step in run.filed["steps"] for key, _ in step["about"]} <= {"bore", "taper", "ovality"}


def test_a_cylinder_without_a_row_for_its_bore_is_not_forgotten():
    assert bore_rows(["bore_right", "piston_left", "ring_gap"]) == ["bore_right", "bore_left"]
    assert bore_rows(["bore", "ovality", "taper"]) == ["bore"]
    assert bore_rows([]) == ["bore_left", "bore_right"]


@pytest.mark.parametrize(
    ("row", "ovality", "taper"),
    [
        ("bore", "ovality", "taper"),
        ("bore_left", "ovality_left", "taper_left"),
        ("bore_counterbore", "ovality_counterbore", "taper_counterbore"),
    ],
)
def test_the_rows_of_shape_carry_the_name_of_the_bore(row, ovality, taper):
    assert shape_rows(row) == (ovality, taper)
