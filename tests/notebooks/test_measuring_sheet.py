"""The plain template: it serves every sheet that has none of its own, and advises nothing that the spec book does not say."""

import json
import shutil

import pytest

from restonb import log
from restonb.decisions import sentence
from restonb.decisions.general.measuring_sheet import about, cautions, next_steps, settling
from restonb.errors import BuildError, RunError
from restonb.measure import Characteristic, Verdict, Verdicts
from restonb.record import Record, standing
from restonb.stated import Build, shipped

PLAIN = "general/measuring_sheet"


@pytest.fixture(scope="module")
def pivots(play):
    return play("pivots")


@pytest.fixture
def demo(tmp_path):
    folder = tmp_path / "demo"
    shutil.copytree(shipped("data_demo"), folder, ignore=shutil.ignore_patterns("story", "README.md"))
    return Build.open(folder)


def row(key="play", **given):
    return Characteristic("pivots", key, given.pop("what", key), "once", given.pop("unit", "mm"), **given)


def found(*pairs):
    return Verdicts(tuple(Verdict(c, "once", word, value) for c, word, value in pairs))


# -- which sheets it serves


def test_every_sheet_of_the_spec_book_has_a_template(demo):
    sheets = {t.sheet for t in log.templates(demo)}
    assert set(demo.specs.sheets) <= sheets
    served = {t.name: t.sheet for t in log.templates(demo) if t.serves}
    assert served == {"chassis/pivots": "pivots", "engine/engine_check": "engine_check"}
    assert PLAIN not in {t.name for t in log.templates(demo)}


def test_a_sheet_with_a_template_of_its_own_is_not_served(demo):
    assert log.find_template(demo, "bore").serves == ""


def test_it_may_be_asked_for_any_sheet_by_its_own_name(demo):
    with Record.open(demo) as record:
        run = log.run(demo, record, "measuring_sheet", {"sheet": "drum"})
    assert (run.state, run.reason, run.sheet) == ("good", "", "drum")
    assert {v["characteristic"] for v in run.filed["verdicts"]} == {row.key for row in demo.specs.sheet("drum")}


def test_asked_without_a_sheet_it_says_what_to_write(demo):
    with Record.open(demo) as record, pytest.raises(RunError, match="say which: -p sheet="):
        log.run(demo, record, "measuring_sheet")


def test_a_sheet_that_is_not_there_is_refused_with_the_near_one(demo):
    with Record.open(demo) as record, pytest.raises(BuildError, match="write 'pivots'"):
        log.run(demo, record, "measuring_sheet", {"sheet": "pivot"})


def test_the_run_of_one_sheet_does_not_file_another(demo):
    with Record.open(demo) as record, pytest.raises(RunError, match="judges pivots; for drum, run drum"):
        log.run(demo, record, "pivots", {"sheet": "drum"})


def test_the_persons_copy_is_the_template_of_that_sheet(demo):
    path = log.copy_template(demo, "pivots")
    assert path == demo.notebooks / "chassis" / "pivots.ipynb"
    copy = log.find_template(demo, "pivots")
    assert (copy.own, copy.sheet, copy.serves, copy.title) == (True, "pivots", "", "Measuring sheet: pivots")
    assert {p.name: p.default for p in copy.parameters}["sheet"] == "pivots"
    with Record.open(demo) as record:
        assert log.run(demo, record, "chassis/pivots").sheet == "pivots"


# -- the demo's rows


def test_it_is_filed_under_the_sheet_each_time(pivots):
    assert [(r.template, r.sheet, r.subsystem, r.state, r.reason) for r in pivots[1]] == [
        ("chassis/pivots", "pivots", "chassis", "good", "")
    ] * 2


def steps_of(run):
    return [(step["state"], step["finding"]) for step in run.filed["steps"]]


def test_outside_it_says_the_remedy_of_the_spec_book_and_stops(pivots):
    """The pull at the bars was 11.5 N and 10.5 N, where 3 to 8 N are allowed; the row is marked safety."""
    build, runs = pivots
    step = runs[0].filed["steps"][0]
    assert (step["state"], step["finding"], step["safety"]) == ("stop", "steering_drag.above", True)
    assert [one["value"] for one in step["values"]["reads"]] == [11.5, 10.5]
    assert step["values"]["limit"]["value"] == 8.0
    assert step["values"]["remedy"] == build.specs.get("pivots", "steering_drag").remedy
    assert step["values"]["remedy"] in step["text"]


def test_measured_again_it_is_inside_and_no_longer_blocks_the_road(pivots):
    """A sheet marked safety that was never run blocks; this one was run, and all of it is inside."""
    build, runs = pivots
    assert {state for state, _ in steps_of(runs[1])} == {"settled"}
    assert runs[1].filed["open"] == []
    with Record.open(build) as record:
        now = standing(record, build)
    assert not [text for text in now.gate.blocking if text.startswith("pivots:")]
    assert any("disc: not run" in text for text in now.gate.blocking)


def test_the_page_shows_before_and_after_and_the_cautions(pivots):
    build, runs = pivots
    text = (build.folder / runs[1].folder / "pivots.html").read_text()
    assert "Measuring sheet: pivots" in text
    assert "Marked safety, because somebody can be hurt when it is outside" in text
    assert "Nothing was measured again yet" not in text
    assert "error of spring_scale" in text


def test_what_is_too_close_is_said_with_what_would_settle_it(play):
    """3.5 thou with blades in steps of 1 thou, where 3 to 5 thou are allowed: half a thou from the limit."""
    build, runs = play("engine_check")
    step = runs[-1].filed["steps"][0]
    assert (step["state"], step["finding"]) == ("not known", "valve_clearance.close")
    assert step["about"] == [["valve_clearance", "exhaust right"]]
    assert "would settle it" in (build.folder / runs[-1].folder / "engine_check.html").read_text()


def test_what_is_not_measured_yet_is_asked_for(play):
    _, runs = play("engine_check")
    assert steps_of(runs[0]) == [("to do", "sheet.measure"), ("settled", "sheet.inside")]
    assert {key for key, _ in runs[0].filed["steps"][0]["about"]} == {"compression", "compression_spread"}
    assert runs[0].filed["steps"][0]["values"]["names"] == "compression, warm, throttle open"


def test_on_an_empty_build_the_copy_says_what_to_write(demo, tmp_path):
    path = log.copy_template(demo, "pivots")
    empty = Build.create(tmp_path / "empty", "Empty")
    target = empty.notebooks / "chassis" / path.name
    target.parent.mkdir()
    shutil.copy(path, target)
    with Record.open(empty) as record:
        run = log.run(empty, record, "pivots")
    assert (run.state, run.reason) == ("good", "")
    assert run.filed["verdicts"] == []
    assert run.filed["open"] == ["pivots: the spec book has no row for it"]
    assert steps_of(run) == [("to do", "sheet.no_row")]


def test_the_plain_template_is_marked_as_such_and_nothing_else():
    about_it = [t.name for t in log.templates() if t.is_plain]
    assert about_it == [PLAIN]
    [path] = (t.path for t in log.templates() if t.is_plain)
    assert json.loads(path.read_text())["metadata"]["restonb"] == {"any_sheet": True}


# -- what each verdict says


def decide(*pairs):
    steps = next_steps(found(*pairs))
    for step in steps:
        print(step.state, "|", sentence(step))
    return {step.finding: step for step in steps}


@pytest.mark.parametrize(("value", "side", "limit"), [(0.8, "above", 0.5), (0.1, "below", 0.2)])
@pytest.mark.parametrize("safety", [True, False])
def test_outside_says_on_which_side(value, side, limit, safety):
    step = decide((row(lower=0.2, upper=0.5, safety=safety), "outside", value))[f"play.{side}"]
    assert (step.state, step.safety) == ("stop" if safety else "to do", safety)
    assert step.values["limit"].value == limit
    assert [one.value for one in step.values["reads"]] == [value]


def test_where_it_wears_the_limit_is_that_of_wear():
    """2.0 mm at most when new, 2.4 mm worn out: 2.6 mm is above 2.4."""
    assert decide((row(upper=2.0, wear_limit=2.4), "outside", 2.6))["play.above"].values["limit"].value == 2.4


@pytest.mark.parametrize(
    ("word", "value", "state", "finding"),
    [
        ("too close to call", 0.49, "not known", "play.close"),
        ("not measured", None, "to do", "sheet.measure"),
        ("no limit", 0.2, "not known", "play.limit"),
        ("inside", 0.2, "settled", "sheet.inside"),
    ],
)
@pytest.mark.parametrize("safety", [True, False])
def test_each_verdict(word, value, state, finding, safety):
    limits = {} if word == "no limit" else {"upper": 0.5}
    found = decide((row(safety=safety, **limits), word, value))
    assert {name: (step.state, step.safety) for name, step in found.items()} == {finding: (state, safety)}


def test_a_reading_in_doubt_is_measured_again():
    doubted = Verdicts((Verdict(row(upper=0.5), "once", "inside", 0.2, doubt="the gauge failed its check"),))
    assert [(step.state, step.finding) for step in next_steps(doubted)] == [("not known", "play.doubt")]


def test_outside_comes_first_then_doubt_then_what_is_to_measure():
    found = decide(
        (row("a", upper=1), "not measured", None),
        (row("b", upper=1), "too close to call", 0.99),
        (row("c", upper=1), "outside", 2.0),
        (row("d", upper=1), "inside", 0.1),
    )
    assert list(found) == ["c.above", "b.close", "sheet.measure", "sheet.inside"]


def test_nothing_measured_names_what_to_measure_and_no_row_that_is_worked_out():
    worked_out = Characteristic("pivots", "spread", "difference", "spread of play", "mm", upper=1)
    found = decide((row(), "not measured", None), (worked_out, "not measured", None))
    assert found["sheet.measure"].values["names"] == "play"
    assert found["sheet.measure"].about == (("play", "once"), ("spread", "once"))


def test_a_raw_row_is_settled_by_what_is_worked_out_from_it():
    worked_out = Characteristic("pivots", "spread", "difference", "spread of play", "mm", upper=1)
    found = decide((row(), "no limit", 0.2), (worked_out, "inside", 0.1))
    assert {name: step.state for name, step in found.items()} == {"sheet.inside": "settled"}


def test_no_row_at_all():
    assert [(step.state, step.finding) for step in next_steps(Verdicts(()))] == [("to do", "sheet.no_row")]


def test_cautions_name_the_rows_marked_safety():
    assert "Marked safety" not in " ".join(cautions([row()]))
    assert "outside: play." in cautions([row(safety=True)])[-1]


def test_the_table_of_limits_says_where_there_is_no_source():
    assert about([row(upper=0.5, remedy="new bushes")]) == [
        ("play", "limit at most 0.5 mm", "", "new bushes", "no source given")
    ]


def test_only_what_is_in_doubt_is_settled():
    assert settling(found((row(upper=1), "inside", 0.1))) == []
