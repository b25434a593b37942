"""Labels of the harness: each names its entry, none is invented; the decision in each case, and an empty build."""

import re

import pytest

from restonb import log
from restonb.bench import Sheet
from restonb.bench.harness import labels_of, labels_shown, sheets, without_entry
from restonb.bench.labels import Label, Layout
from restonb.decisions import NotYet, sentence
from restonb.decisions.electrical.harness_labels import next_steps
from restonb.record import Record, enter_reading, readings, standing
from restonb.stated import Build

SHEET = "harness_labels"
A4 = Layout("A4", 58, 22, 15, 2)
DONE = Label("wire 1", ("entry 5, abc",), "x")


@pytest.fixture(scope="module")
def printed(play):
    """The demo's build with the readings of its circuits, the labels printed from it, and the run."""
    build, _ = play("circuits")
    with Record.open(build) as record:
        run = log.run(build, record, f"electrical/{SHEET}")
        entries = {r.position: record.entry(r.seq) for r in readings(record, "circuits", "continuity")}
    return build, run, entries


def test_it_runs_in_the_story_too(play):
    assert [(r.state, r.reason) for r in play(SHEET)[1]] == [("good", "")] * 2
    found = {step["finding"]: step["state"] for step in play(SHEET)[1][1].filed["steps"]}
    assert (found["print"], found["labels"]) == ("settled", "settled")
    assert found["labels.no_entry"] == "to do"  # the readings of the circuits were not played here


def test_each_label_names_the_entry_of_its_wire(printed):
    build, run, entries = printed
    assert (run.state, run.reason) == ("good", "")
    assert run.filed["numbers"]["labels"]["value"] == len(entries) == 10
    page = (build.folder / run.folder / f"{SHEET}.html").read_text()
    for position, entry in entries.items():
        assert re.search(rf"{position}<.*entry {entry.seq}, {entry.digest[:8]}", page, re.DOTALL)
    assert {step["finding"]: step["state"] for step in run.filed["steps"]}["labels.entries"] == "settled"


def test_the_sheet_is_drawn_in_true_size_and_told_to_who_cannot_see_it(printed):
    build, run, _ = printed
    page = (build.folder / run.folder / f"{SHEET}.html").read_text()
    assert 'width="180mm"' in page
    assert 'aria-label="Sheets of labels to print' in page
    assert not re.search(r"https?://", page)


def test_labels_are_out_of_date_once_a_wire_is_measured_again(printed):
    build, _, _ = printed
    with Record.open(build) as record:
        enter_reading(record, build, "circuits", "continuity", "3", "0.05")
        found = standing(record, build).sheets[SHEET]
    assert found.state == "out of date"
    assert "newer readings: circuits continuity (wire 3)" in [r.text for r in found.reasons]


def test_on_an_empty_build_there_is_nothing_to_label(empty):
    run = empty(f"electrical/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert [(step["state"], step["finding"]) for step in run.filed["steps"]] == [("to do", "labels.wires")]


def test_a_wire_without_a_reading_gets_a_label_without_an_entry(tmp_path):
    build = Build.create(tmp_path / "b", "Small")
    with Record.open(build) as record:
        labels = labels_of(Sheet("circuits", build, record), [["1", "fuse", "switch", "red", "1.5"], ["2"]])
        nothing = labels_of(Sheet("circuits", build, record), [])
    assert labels[0].lines == ("fuse", "→ switch", "red, 1.5 mm2", "no entry yet")
    assert labels[1].lines == ("where it goes", "is not written down", "no entry yet")
    assert without_entry(labels) == ["wire 1", "wire 2"]
    assert isinstance(nothing, NotYet)
    assert not sheets(nothing, A4)
    assert "wires of the harness" in repr(labels_shown(nothing))


def test_sizes_that_do_not_fit_are_told_in_words():
    assert "does not fit on A4" in repr(sheets([DONE], Layout("A4", 300, 22, 15, 2)))


# -- what each set of verdicts says


@pytest.fixture
def decide(judged):
    good = {
        "unread": [],
        "pages": "<svg></svg>",
        "module": 0.42,
        "scale": judged(once="inside"),
        "wrong": judged(once="inside"),
    }
    return lambda **other: {step.finding: step for step in next_steps(**{**good, **other})}


def test_good_on_all_counts(decide):
    found = decide()
    assert {step.state for step in found.values()} == {"settled"}
    for step in (*found.values(), *decide(unread=["wire 1", "wire 2", "wire 3"]).values()):
        print(step.state, "|", sentence(step))


@pytest.mark.parametrize(
    ("value", "word", "state", "finding"),
    [
        (48.5, "outside", "to do", "print.below"),
        (51.5, "outside", "to do", "print.above"),
        (50.5, "too close to call", "not known", "print.close"),
        (None, "not measured", "to do", "print.measure"),
    ],
)
def test_the_print(decide, judged, value, word, state, finding):
    """A print of another size is printed again before anything is tied on."""
    found = decide(scale=judged(lower=49.5, upper=50.5, value=value, once=word))
    assert found[finding].state == state
    assert ("labels" in found) == (word != "outside")


@pytest.mark.parametrize(
    ("word", "state", "finding"),
    [
        ("outside", "to do", "labels.outside"),
        ("not measured", "to do", "labels.measure"),
        ("no limit", "not known", "labels.limit"),
    ],
)
def test_the_labels_where_they_hang(decide, judged, word, state, finding):
    assert decide(wrong=judged(once=word))[finding].state == state


def test_what_is_missing(decide):
    assert decide(unread=["wire 2"])["labels.no_entry"].values["wires"] == "wire 2"
    assert decide(module=0.3)["labels.code"].state == "to do"
    assert decide(module=NotYet(("x",)))["labels.code"].state == "not known"
    assert list(decide(pages=NotYet(("a size",)))) == ["labels.size"]
    assert list(decide(unread=NotYet(("wires",)))) == ["labels.wires"]
