"""The survey: counts added up by hand, first measurements, the decision in each case, and an empty build."""

from types import SimpleNamespace

import pytest

from restonb.decisions import sentence
from restonb.decisions.general.teardown import first_measured, labels, never_measured, next_steps, survey, total
from restonb.measure import Characteristic, Reading
from restonb.quantity import read
from restonb.record import JointState

SHEET = "teardown"
APART = {"frame": JointState("frame", "apart")}


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def counts(**areas):
    return {area.replace("_", " "): None if n is None else read(str(n), "count") for area, n in areas.items()}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", ""), ("good", "")]


def test_the_sums_are_those_of_the_counts_entered(runs):
    """Missing 2+1+0+1+0+1+3; damaged 1+2+1+3+1+2, and 2 in the electrics three weeks later."""
    first, second = ({k: n["value"] for k, n in r.filed["numbers"].items()} for r in runs)
    assert first == {"missing": 8, "damaged": 10, "broken_fasteners": 10}
    assert second == {"missing": 8, "damaged": 12, "broken_fasteners": 10}


def test_an_area_that_nobody_looked_at_is_named_until_it_is(runs):
    first, second = ({step["finding"]: step for step in run.filed["steps"]} for run in runs)
    assert (first["survey.look"]["state"], first["survey.look"]["values"]["areas"]) == ("to do", ["electrics"])
    assert first["survey.look"]["about"] == [["damaged", "electrics"], ["broken_fasteners", "electrics"]]
    assert second["survey.look"]["state"] == "settled"


def test_a_count_has_no_limit(runs):
    assert {v["verdict"] for v in runs[1].filed["verdicts"]} == {"no limit"}


def test_cautions_are_filed(runs):
    said = " ".join(runs[0].filed["cautions"])
    for word in ("asbestos", "Battery", "fuel", "Springs", "Lift", "chlorinated", "welding", "local rules"):
        assert word in said


def test_on_an_empty_build_it_starts_with_looking(empty):
    run = empty(f"general/{SHEET}")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert [(step["state"], step["finding"]) for step in run.filed["steps"]] == [("to do", "survey.begin")]


def test_the_table_holds_every_area_and_says_where_nobody_looked():
    rows = survey(counts(frame=2, wheels=0), counts(frame=1, wheels=None), counts(frame=0, wheels=1))
    assert rows == [("frame", "2", "1", "0"), ("wheels", "0", "□ not looked at", "1")]


def test_nothing_looked_at_has_no_sum():
    assert total(counts(frame=None)) is None
    assert total({}) is None
    assert total(counts(frame=0)) == 0


def test_first_measurements_have_the_verdict_of_then():
    rows = [Characteristic("bore", "left", "left bore", "axis A,B", "mm", upper=68.02),
            Characteristic("bore", "ovality", "ovality", "spread of left", "mm", upper=0.05),
            Characteristic("drum", "inside", "drum", "once", "mm")]  # fmt: skip
    found = [Reading("bore", "left", p, v, "mm", occasion="as found", at="2025-10-11T10:00:00Z")
             for p, v in (("axis A", 68.5), ("axis B", 68.0))]  # fmt: skip
    table = first_measured(rows, found, {}, "simple")
    assert [r[:3] for r in table] == [("bore", "left bore", "2 of 2")]
    assert table[0][3] == "1 x outside, 1 x inside"
    assert table[0][4] == "2025-10-11"
    assert never_measured(rows, found) == ["drum"]


def test_labels_of_photographs_and_notes_without_the_private_ones():
    def entry(kind, **body):
        return SimpleNamespace(kind=kind, at="2025-10-04T10:00:00Z", body={"sheet": SHEET} | body)

    entries = [
        entry("photo", caption="as it came", position="crate A"),
        entry("note", text="cut loom", private=False),
        entry("note", text="paid too much", private=True),
        entry("note", text="elsewhere", private=False, sheet="bore"),
    ]
    assert labels(entries) == [("2025-10-04", "crate A", "as it came"), ("2025-10-04", "note", "cut loom")]


NONE = counts(frame=0)


def decide(**change):
    given = {
        "missing": NONE, "damaged": NONE, "fasteners": NONE, "kept": 1, "wanted": 9, "states": APART, "unmeasured": [],
    }  # fmt: skip
    steps = next_steps(**(given | change))
    for step in steps:
        print(step.state, "|", sentence(step))
    return {step.finding: step for step in steps}


def test_a_survey_that_found_nothing_is_settled():
    assert {finding: step.state for finding, step in decide().items()} == {
        "survey.look": "settled", "survey.photos": "settled"
    }  # fmt: skip


@pytest.mark.parametrize(
    ("change", "finding", "about"),
    [
        ({"missing": counts(frame=2), "wanted": 1}, "survey.missing", (("missing", "frame"),)),
        ({"damaged": counts(frame=1, wheels=0)}, "survey.damaged", (("damaged", "frame"),)),
        ({"fasteners": counts(frame=3)}, "survey.broken_fasteners", (("broken_fasteners", "frame"),)),
        ({"damaged": counts(frame=None)}, "survey.look", (("damaged", "frame"),)),
        ({"damaged": {}}, "survey.row", ()),
        ({"kept": 0}, "survey.photos", ()),
        ({"states": {"frame": JointState("frame")}}, "survey.joints", ()),
        ({"unmeasured": list("abcdefgh")}, "survey.unmeasured", ()),
    ],
)
def test_what_is_still_to_do(change, finding, about):
    found = decide(**change)
    assert (found[finding].state, found[finding].about) == ("to do", about)


def test_what_is_missing_goes_on_in_the_list_of_parts():
    assert decide(missing=counts(frame=2), wanted=2)["survey.missing"].state == "settled"
    assert decide(missing=counts(frame=3), wanted=1)["survey.missing"].values["all"] == 3


def test_nothing_looked_at_is_where_it_begins():
    gone = counts(frame=None)
    assert list(decide(missing=gone, damaged=gone, fasteners=gone)) == ["survey.begin"]
