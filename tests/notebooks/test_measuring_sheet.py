"""The plain template: it serves every sheet that has none of its own, and advises nothing that the spec book does not say."""

import json
import shutil

import pytest

from restonb import log
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
    assert {v["characteristic"] for v in run.filed["verdicts"]} == {"diameter", "out_of_round", "lining", "cam_angle"}


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


def test_outside_it_says_the_remedy_of_the_spec_book_and_nothing_else(pivots):
    """The pull at the bars was 11.5 N and 10.5 N, where 3 to 8 N are allowed."""
    said = pivots[1][0].filed["decision"]
    assert len(said) == 1
    assert "outside: 11.5 N at left and 10.5 N at right, limit 3 to 8 N" in said[0]
    assert pivots[0].specs.get("pivots", "steering_drag").remedy in said[0]
    assert said[0].endswith("It is marked safety: not on the road like this.")


def test_measured_again_it_is_inside_and_no_longer_blocks_the_road(pivots):
    """A sheet marked safety that was never run blocks; this one was run, and all of it is inside."""
    build, runs = pivots
    assert runs[1].filed["decision"] == ["Everything on this sheet is inside its limits."]
    assert runs[1].filed["open"] == []
    with Record.open(build) as record:
        now = standing(record, build)
    assert now.sheets["pivots"].state == "good"
    assert not [text for text in now.gate.blocking if text.startswith("pivots:")]
    assert any("disc: not run" in text for text in now.gate.blocking)


def test_the_page_shows_before_and_after_and_the_cautions(pivots):
    build, runs = pivots
    text = (build.folder / runs[1].folder / "pivots.html").read_text()
    assert "Measuring sheet: pivots" in text
    assert "Marked safety, somebody can be hurt when it is outside" in text
    assert "Nothing was measured again yet" not in text
    assert "error of spring_scale" in text


def test_what_is_in_doubt_is_said_with_what_would_settle_it(play):
    """3.5 thou with blades in steps of 1 thou, where 3 to 5 thou are allowed: half a thou from the limit."""
    build, runs = play("engine_check")
    assert "(exhaust right): too close to call" in runs[-1].filed["decision"][0]
    assert "would settle it" in (build.folder / runs[-1].folder / "engine_check.html").read_text()


def test_what_is_not_measured_yet_is_asked_for(play):
    _, runs = play("engine_check")
    assert runs[0].filed["decision"] == [
        "What is measured so far is inside its limits.",
        "Still to measure: compression, warm, throttle open.",
    ]


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
    assert "The spec book has no row for this sheet" in run.filed["decision"][0]


def test_the_plain_template_is_marked_as_such_and_nothing_else():
    about_it = [t.name for t in log.templates() if t.plain]
    assert about_it == [PLAIN]
    [path] = (t.path for t in log.templates() if t.plain)
    assert json.loads(path.read_text())["metadata"]["restonb"] == {"any_sheet": True}


# -- the decision in words


def test_outside_without_a_remedy_is_to_be_decided():
    [said] = next_steps(found((row(upper=0.5), "outside", 0.8)))
    assert "is outside: 0.8 mm, limit at most 0.5 mm" in said
    assert "Outside: decide. The spec book states no remedy" in said
    assert "safety" not in said


def test_a_safety_row_in_doubt_counts_as_not_proved():
    [said] = next_steps(found((row(upper=0.5, safety=True), "too close to call", 0.49)))
    assert "counts as not proved until then" in said


def test_outside_comes_first_then_doubt_then_what_is_to_measure():
    said = next_steps(
        found(
            (row("a", upper=1), "not measured", None),
            (row("b", upper=1), "too close to call", 0.99),
            (row("c", upper=1), "outside", 2.0),
            (row("d", upper=1), "inside", 0.1),
        )
    )
    assert [line[:12] for line in said] == ["C is outside", "B: too close", "Still to mea"]


def test_nothing_measured_names_what_to_measure_and_no_row_that_is_worked_out():
    worked_out = Characteristic("pivots", "spread", "difference", "spread of play", "mm", upper=1)
    assert next_steps(found((row(), "not measured", None), (worked_out, "not measured", None))) == [
        "Measure: play. Nothing is decided before that."
    ]


def test_a_safety_row_without_a_limit_is_said():
    said = next_steps(found((row(safety=True), "no limit", 0.2)))
    assert "Marked safety, but the spec book gives no limit" in said[0]


def test_without_any_limit_it_is_kept():
    assert next_steps(found((row(), "no limit", 0.2))) == ["Kept; no limit is given to judge it by."]


def test_no_row_at_all():
    assert "The spec book has no row" in next_steps(Verdicts(()))[0]


def test_cautions_name_the_rows_marked_safety():
    assert "Marked safety" not in " ".join(cautions([row()]))
    assert "outside: play." in cautions([row(safety=True)])[-1]


def test_the_table_of_limits_says_where_there_is_no_source():
    assert about([row(upper=0.5, remedy="new bushes")]) == [
        ("play", "limit at most 0.5 mm", "", "new bushes", "no source given")
    ]


def test_only_what_is_in_doubt_is_settled():
    assert settling(found((row(upper=1), "inside", 0.1))) == []
