"""Labels of the harness: each names its entry, none is invented; the decision in each case, and an empty build."""

import re

import pytest

from restonb import log
from restonb.bench import Sheet
from restonb.bench._values import NotYet
from restonb.bench.labels import Label, Layout
from restonb.decisions.electrical.harness_labels import labels_of, labels_shown, next_steps, sheets, without_entry
from restonb.record import Record, enter_reading, readings, standing
from restonb.stated import Build

SHEET = "harness_labels"
A4 = Layout("A4", 58, 22, 15, 2)
DONE, TODO = Label("wire 1", ("entry 5, abc",), "x"), Label("wire 2", ("no entry yet",), "x")


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
    assert play(SHEET)[1][1].filed["decision"][-1] == "Every label scans, and hangs on its wire."


def test_each_label_names_the_entry_of_its_wire(printed):
    build, run, entries = printed
    assert (run.state, run.reason) == ("good", "")
    assert run.filed["numbers"]["labels"]["value"] == len(entries) == 10
    page = (build.folder / run.folder / f"{SHEET}.html").read_text()
    for position, entry in entries.items():
        assert re.search(rf"{position}<.*entry {entry.seq}, {entry.digest[:8]}", page, re.DOTALL)
    assert not any("no entry" in line for line in run.filed["decision"])


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
    assert run.filed["decision"] == [
        "Write the wires into the spec book and build.toml; then there is something to label."
    ]


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


@pytest.fixture
def decide(judged):
    good = {
        "labels": [DONE],
        "pages": "<svg></svg>",
        "module": 0.42,
        "scale": judged(once="inside"),
        "wrong": judged(once="inside"),
    }
    return lambda **other: " ".join(next_steps(**{**good, **other}))


def test_good_on_all_counts(decide):
    assert decide() == "The print has its true size. Every label scans, and hangs on its wire."


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("outside", "set the printer to 100 % and print again"),
        ("too close to call", "with a calliper"),
        ("not measured", "measure the bar"),
    ],
)
def test_the_print(decide, judged, word, said):
    assert said in decide(scale=judged(once=word))
    assert ("scan" in decide(scale=judged(once=word))) == (word != "outside")


@pytest.mark.parametrize(
    ("word", "said"), [("outside", "do not scan or hang on another wire"), ("not measured", "tie one to each end")]
)
def test_the_labels_where_they_hang(decide, judged, word, said):
    assert said in decide(wrong=judged(once=word))


def test_what_is_missing(decide):
    assert "Measure wire 2 end to end before printing" in decide(labels=[DONE, TODO])
    assert "The code is fine (0.30 mm a module)" in decide(module=0.3)
    assert "Nothing can be printed: a size." in decide(pages=NotYet(("a size",)))
    assert "something to label" in decide(labels=NotYet(("wires",)))
