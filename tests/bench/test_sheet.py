"""A sheet in a notebook: readings as they stand, verdicts on them, and what stands there while nothing is measured."""

import json
from html.parser import HTMLParser

import pytest

from restonb import bench
from restonb.bench._box import box_shown
from restonb.bench._values import NotYet
from restonb.decisions import judged, settled, stop, to_do
from restonb.formulas import seating
from restonb.record import (
    Record,
    enter_check,
    enter_disturb,
    enter_joint,
    enter_reading,
    enter_run,
    enter_strike,
    standing,
)
from restonb.record.stands.box import box_of
from restonb.stated import Build

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
toy,gap,"gap under <foot>",feet 4,,0,0.05,,mm,feeler,,"handbook, p. 3"
toy,lift,rise at the middle,once,,,,,mm,,,
"""
INSTRUMENTS = """instrument,what,unit,resolution,error,expansion,last_check,source
feeler,feeler gauges,mm,0.01 mm,0.005 mm,,,data sheet
"""
JOINTS = """
[joints.frame]
what = "frame"
[joints.mounting]
what = "gearbox & plates"
rests_on = ["frame"]
[sheets]
toy = ["mounting"]
"""


@pytest.fixture
def build(tmp_path):
    made = Build.create(tmp_path / "toy", "Toy")
    (made.folder / "specs" / "drivetrain.csv").write_text(SPECS)
    (made.folder / "instruments.csv").write_text(INSTRUMENTS)
    (made.folder / "joints.toml").write_text(JOINTS)
    return Build.open(made.folder)


@pytest.fixture
def record(build):
    with Record.open(build) as record:
        yield record


@pytest.fixture
def sheet(build, record):
    return bench.Sheet("toy", build, record)


def enter(record, build, values, **more):
    return [enter_reading(record, build, "toy", "gap", str(n), v, **more) for n, v in enumerate(values, 1)]


class Tags(HTMLParser):
    def __init__(self, html):
        super().__init__()
        self.seen = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.seen.append(tag)


def test_values_are_quantities_in_the_order_of_the_positions_and_none_where_nothing_is_measured(sheet, build, record):
    enter(record, build, ["0", "2 thou"])
    values = sheet.values("gap")
    assert list(values) == ["foot 1", "foot 2", "foot 3", "foot 4"]
    assert values["foot 2"].to("mm").value == pytest.approx(0.0508)  # 1 in is 25.4 mm by definition
    assert values["foot 3"] is None
    assert values.known("mm") == pytest.approx({"foot 1": 0, "foot 2": 0.0508, "foot 3": None, "foot 4": None})
    assert values.to("mm").missing == ("gap under <foot> (foot 3, foot 4)",)


def test_verdicts_are_those_of_the_limits(sheet, build, record):
    enter(record, build, ["0", "0.30", "0.05"])
    checked = sheet.check("gap")
    assert [v.verdict for v in checked] == ["inside", "outside", "too close to call", "not measured"]
    assert checked.word == "outside"
    for word in ("inside", "outside", "too close to call", "not measured", "0 to 0.05 mm", "handbook, p. 3"):
        assert word in str(checked)
        assert word in checked._repr_html_()


def test_a_run_sees_the_record_as_it_was_when_it_began(build, record, monkeypatch):
    enter(record, build, ["0.01", "0.02"])
    monkeypatch.setenv("RESTONB_BUILD", str(build.folder))
    monkeypatch.setenv("RESTONB_HEAD", "1")
    monkeypatch.setenv("RESTONB_STATIC", "1")
    then = bench.sheet("toy")
    assert [q.write() if q else None for q in then.values("gap").values()] == ["0.01 mm", None, None, None]
    then.record.close()


def test_a_struck_reading_counts_no_longer(sheet, build, record):
    entries = enter(record, build, ["0.01", "0.02"])
    enter_strike(record, entries[1].seq, "wrong blade")
    assert sheet.values("gap")["foot 2"] is None


def test_readings_taken_before_a_joint_was_disturbed_get_no_clean_verdict(sheet, build, record):
    enter(record, build, ["0", "0", "0", "0"])
    assert sheet.check("gap").word == "inside"
    enter_disturb(record, build, "frame", "loosened", "bent lug")
    checked = sheet.check("gap")
    assert [v.verdict for v in checked] == ["not measured"] * 4
    said = "measure again: frame was disturbed on"
    assert said in str(checked)
    assert "mounting, which rests on frame" in str(checked)
    assert said in sheet.measure("gap").text
    assert not sheet.values("gap").to("mm")
    enter(record, build, ["0", "0", "0", "0"])
    assert sheet.check("gap").word == "inside"
    assert [v.verdict for v in sheet.check("gap", occasion="as found")] == ["inside"] * 4


def test_a_formula_waits_for_what_it_needs_and_so_does_all_that_rests_on_it(sheet, build, record):
    feet = [[0, 0], [300, 0], [300, 200], [0, 200]]
    rest = sheet.work(seating.rest, feet, sheet.values("gap").to("mm"))
    assert isinstance(rest, NotYet)
    assert not rest
    assert "gap under <foot> (foot 1, foot 2, foot 3, foot 4)" in rest.text
    assert isinstance(sheet.work(max, rest.worst, 1), NotYet)
    assert "Still missing" in sheet.number("worst", rest.worst, "mm").text
    assert not sheet._filing.numbers
    assert "First" not in sheet.result(rest).html
    enter(record, build, ["0", "0", "0.2", "0"])
    rest = sheet.work(seating.rest, feet, sheet.values("gap").to("mm"), mass=[140, 90])
    # A rectangle on level ground with one foot short by 0.2: that foot hangs by all of it.
    assert rest.worst == pytest.approx(0.2)
    shown = sheet.result(rest, "worst")
    assert "plain geometry" in shown.html
    assert "0.2 mm" in shown.html


def test_a_parameter_that_is_empty_is_asked_for(sheet):
    assert "feet_mm, to be written into build.toml under [parameters.toy]" in sheet.given("feet_mm", []).text
    assert sheet.given("feet_mm", [1]) == [1]


def test_where_the_spec_book_has_no_row_it_says_which_to_write_and_makes_up_no_limit(sheet):
    sheet.expects(tilt=("tilt of the box", "once", "deg"))
    shown = sheet.measure("tilt")
    assert 'toy,tilt,"tilt of the box",once,,,,,deg,,,' in shown.text
    assert len(sheet.check("tilt")) == 0
    assert "tilt: the spec book has no row for it" in sheet.file().text
    assert not sheet.values("tilt").to("deg")


def test_what_is_filed_is_what_the_contract_says_and_is_json(sheet, build, record):
    used = enter(record, build, ["0", "0.30"])
    sheet.cautions("Mind your fingers.")
    sheet.check("gap")
    sheet.number("worst", 0.3, "mm", "largest gap")
    sheet.decide("Shim foot 2.", "")
    sheet.leave_open("buy shims")
    filed = filed_by(sheet)
    assert set(filed) == {
        "format", "sheet", "steps", "rows_missing", "verdicts", "numbers", "readings", "cautions", "open",
    }  # fmt: skip
    assert filed["format"] == 2
    assert filed["sheet"] == "toy"
    assert [(step["state"], step["finding"], step["text"]) for step in filed["steps"]] == [
        ("to do", "in own words", "Shim foot 2."), ("to do", "in own words", "Buy shims"),
    ]  # fmt: skip
    assert filed["rows_missing"] == []
    assert filed["cautions"] == ["Mind your fingers."]
    assert filed["numbers"] == {"worst": {"value": 0.3, "unit": "mm", "what": "largest gap"}}
    assert filed["readings"] == [e.seq for e in used]
    assert [v["verdict"] for v in filed["verdicts"]] == ["inside", "outside", "not measured", "not measured"]
    assert filed["open"] == [
        "Buy shims", "gap under <foot> (foot 2): outside", "gap under <foot> (foot 3, foot 4): not measured",
    ]  # fmt: skip
    record.append("note", {"text": "what is filed is accepted by the record"})
    enter_run(record, {"template": "toy", "sheet": "toy", "state": "good", "filed": filed})


def test_a_cell_that_is_run_again_replaces_what_it_said(sheet):
    for _ in range(2):
        sheet.cautions("Mind your fingers.")
        sheet.check("gap")
        sheet.decide("Wait.")
    filed = filed_by(sheet)
    assert filed["cautions"] == ["Mind your fingers."]
    assert len(filed["verdicts"]) == 4
    assert [step["text"] for step in filed["steps"]] == ["Wait."]


# -- the box that stands first


def decided(sheet, *steps, closing="It sits: tighten it."):
    """The sheet run to its end with these steps; what its last cell shows."""
    sheet.check("gap")
    sheet.decide(list(steps), closing=closing)
    return sheet.file()


def test_the_box_says_what_was_found_what_to_do_and_what_is_open(sheet, build, record):
    enter(record, build, ["0", "0.30", "0.02", "0.02"])
    steps = (
        settled("one", "Foot 1 sits.", [sheet.check("gap").at("foot 1")]),
        to_do("shim", "Shim foot 2."),
        stop("ride", "Do not ride it."),
        to_do("paint", "Paint it."),
    )
    text = decided(sheet, *steps).text.splitlines()
    assert text[0] == "toy: ✕ stop"
    assert "  found: 1 outside, 3 inside" in text
    assert "    outside: gap under <foot> (foot 2)" in text
    said = [line.strip() for line in text if line.strip().startswith(("✕", "▸", "●"))]
    assert said == ["✕ stop: Do not ride it.", "▸ to do: Shim foot 2.", "▸ to do: Paint it.", "● settled: Foot 1 sits."]
    assert not any("tighten it" in line for line in text)


def test_only_a_run_says_that_it_is_filed(sheet, build, record, monkeypatch):
    enter(record, build, ["0", "0", "0", "0"])
    live = decided(sheet)
    assert "Not filed yet: 'restonb run toy' files it." in live.text
    assert "Filed" not in live.text
    assert "Filed" not in live.html
    monkeypatch.setenv("RESTONB_RUN", json.dumps({"template": "drivetrain/toy", "digest": "", "parameters": {}}))
    assert "Filed from this sheet." in decided(sheet).text


def test_a_settled_step_and_only_that_looks_settled(sheet, build, record):
    enter(record, build, ["0", "0", "0", "0"])
    rows = sheet.check("gap")
    good = sheet.decide([settled("gap", "All feet rest.", rows)]).html
    assert '<div class="decision settled">' in good
    assert '<span class="state settled">● settled</span>' in good
    bad = sheet.decide([settled("gap", "All feet rest.", rows), stop("ride", "Stop.")]).html
    assert '<div class="decision stop">' in bad
    assert '<div class="decision">' in sheet.decide(to_do("paint", "Paint it.")).html
    assert '<span class="state stop">✕ stop</span>' in bad


def test_the_closing_word_is_said_only_where_the_whole_sheet_is_settled(build, record):
    (build.folder / "specs" / "drivetrain.csv").write_text("".join(SPECS.splitlines(keepends=True)[:2]))
    build = Build.open(build.folder)
    enter(record, build, ["0", "0", "0", "0"])
    closed(record, build)

    def texts():
        sheet_now = bench.Sheet("toy", build, record)
        steps = judged(sheet_now.check("gap"), "gap", "the gap", measure="Measure.", inside="All feet rest.")
        decided(sheet_now, *steps)
        filed, stands = sheet_now._result()
        return [step["finding"] for step in filed["steps"]], stands.word

    assert texts() == (["gap", "closing"], "settled")
    enter_check(record, build, "feeler", False)
    assert texts()[1] == "in doubt"
    assert "closing" not in texts()[0]
    enter_check(record, build, "feeler", True)
    enter(record, build, ["0", "0", "0", "0"])
    assert texts() == (["gap", "closing"], "settled")
    enter_disturb(record, build, "frame", "loosened", "bent lug")
    assert "closing" not in texts()[0]  # no reading counts, and a joint under it is open
    assert texts()[1] != "settled"


def test_what_several_joints_spoiled_together_is_one_line(sheet, build, record):
    enter(record, build, ["0", "0", "0", "0"])
    for joint in ("frame", "mounting"):
        enter_disturb(record, build, joint, "loosened", "bent lug")
    text = decided(sheet).text
    assert text.count("measure again: ") == 2  # the rows, and why
    assert "measure again: 4 places were measured before mounting and frame were disturbed (entries 6 and 5)" in text


def test_without_a_decision_there_is_no_closing_word(sheet, build, record):
    enter(record, build, ["0", "0", "0", "0"])
    closed(record, build)
    decided(sheet)
    assert sheet._result()[0]["steps"] == []


def closed(record, build):
    for joint in ("frame", "mounting"):
        enter_joint(record, build, joint, "tightened")


def filed_by(sheet):
    return json.loads(json.dumps(sheet.file()._repr_mimebundle_()["application/vnd.restonb.filed+json"]))


def test_the_summary_is_not_decided_before_the_end(sheet):
    assert "Not decided yet" in sheet.summary().text
    assert "settled" not in sheet.summary().html.replace("<style>", "").split("</style>")[-1]


def test_a_filed_result_of_the_old_format_fills_the_box_without_a_state(build, record):
    old = {
        "sheet": "toy", "decision": ["Shim foot 2."], "open": ["buy shims"], "numbers": {}, "readings": [], "cautions": [],
        "verdicts": [{"characteristic": "gap", "position": "foot 1", "verdict": "inside", "what": "gap"}],
    }  # fmt: skip
    enter_run(record, {"template": "toy", "sheet": "toy", "state": "good", "filed": old})
    box = box_of(standing(record, build).sheets["toy"])
    assert box.decided == ("Shim foot 2.",)
    assert "buy shims" in box.open
    assert box.word != "settled"
    assert "  Shim foot 2." in box.lines("toy")
    assert "Shim foot 2." in box_shown(box, "toy", "").html


def test_what_changed_stands_beside_the_run_before(sheet, build, record):
    enter(record, build, ["0", "0", "0", "0"])
    sheet.check("gap")
    assert sheet.what_changed().summary == "first run of this sheet: nothing to compare with"
    filed = sheet.file().extra["application/vnd.restonb.filed+json"]
    spec = {row.key: build.specs.digest(row) for row in build.specs}
    enter_run(record, {"template": "toy", "sheet": "toy", "state": "good", "filed": filed, "spec": spec})
    enter(record, build, ["0", "0.30", "0.02"])
    sheet.check("gap")
    changes = sheet.what_changed()
    assert [(c.kind, c.what.rpartition(", ")[2]) for c in changes] == [("verdict", "foot 2"), ("value", "foot 3")]
    assert changes.flipped[0].was.endswith("inside")
    assert changes.flipped[0].now.endswith("outside")


def test_everything_shown_has_text_and_escaped_html_without_script(sheet, build, record):
    enter(record, build, ["<b>0</b>".replace("<b>", "").replace("</b>", ""), "0.30"], note="<script>alert(1)</script>")
    shown = [
        sheet.measure("gap"), sheet.measure("lift"), sheet.history("gap"), sheet.check("gap", "lift"), sheet.joints(),
        sheet.photos(), sheet.cautions("<i>"), sheet.decide("<i>"), sheet.leave_open("<i>"), sheet.numbers(),
        sheet.what_changed(), sheet.file(), sheet.bars(sheet.check("gap")), sheet.show("<svg></svg>", alt='a "gap"'),
    ]  # fmt: skip
    for item in shown:
        html = item._repr_html_()
        tags = Tags(html).seen
        assert str(item)
        assert "script" not in tags
        assert "i" not in tags
        assert "foot" not in tags
        assert "src=" not in html
        assert "http" not in html.replace("http://www.w3.org/", "")


def test_a_chart_carries_its_words(sheet, build, record):
    enter(record, build, ["0", "0.30"])
    shown = sheet.bars(sheet.check("gap"))
    assert "<svg" in shown.html
    assert "outside" in shown.text
    assert "nothing to draw" in sheet.bars(sheet.check("lift")).text


def test_joints_are_shown_with_state_and_chain(sheet, build, record):
    enter_disturb(record, build, "mounting", "loosened", "to shim it")
    text = sheet.joints().text
    assert "gearbox & plates  temporary" in text
    assert "mounting → frame" in text
    assert "to shim it" in text


def test_photos_are_shown_small_and_without_what_the_camera_wrote(sheet, build, record):
    import base64
    import hashlib
    import io
    import re

    from PIL import Image

    image = Image.new("RGB", (2000, 1000), "red")
    exif = Image.Exif()
    exif[0x010F] = "a maker of cameras"
    path = build.photos / "a.jpg"
    image.save(path, exif=exif)
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    record.append("photo", {"file": "photos/a.jpg", "sha256": digest, "caption": "foot & shim", "sheet": "toy"})
    html = sheet.photos().html
    code = re.search(r"base64,([^\"]+)", html)[1]
    small = Image.open(io.BytesIO(base64.b64decode(code)))
    assert small.size == (720, 360)
    assert not small.getexif()
    assert "foot &amp; shim" in html
