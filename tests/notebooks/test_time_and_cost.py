"""Hours and money: each purchase and job once, currencies apart, and nothing filed unless it was asked for."""

from types import SimpleNamespace

import pytest

from restonb import log
from restonb.cli.common import tally
from restonb.decisions import sentence
from restonb.decisions.general.time_and_cost import by, costs, hours, lines, next_steps, to_file, totals
from restonb.handover import hand_over
from restonb.record import Record, enter_part, enter_work
from restonb.stated import Build

SHEET = "time_and_cost"
BUILD = SimpleNamespace(
    joints=SimpleNamespace(joints={"head": SimpleNamespace(subsystem="engine")}), specs=SimpleNamespace(sheets=())
)


def entry(kind, state="", cost=None, currency="EUR", **more):
    body = {"what": "gasket", "thread": "", "length": "", "class": "", "joint": "head", "sheet": None, "where": "",
            "hours": None, "state": state, "cost": cost, "currency": currency} | more  # fmt: skip
    return SimpleNamespace(kind=kind, at="2026-05-01T10:00:00Z", body=body)


@pytest.fixture(scope="module")
def filed(tmp_path_factory):
    """Runs of a small build: private, and with the totals asked for."""
    build = Build.create(tmp_path_factory.mktemp("cost") / "build", "Small")
    with Record.open(build) as record:
        enter_part(record, build, "gasket set", "fitted", cost="31.77", currency="EUR")
        enter_work(record, build, "frame straightened", where="a shop", cost="240.25", currency="EUR", state="accepted")
        enter_work(record, build, "cleaning", hours="7.5")
        private = log.run(build, record, SHEET)
        asked = log.run(build, record, SHEET, {"file_totals": True})
    return build, private, asked


def test_a_sheet_that_measures_nothing_is_not_said_to_lack_readings(filed, empty):
    build, private, _ = filed
    assert tally(private) == "worked out; nothing to measure"
    assert "not measured" not in (build.folder / private.folder / "time_and_cost.html").read_text()
    assert tally(empty("general/bore")) == "nothing measured yet"


def test_nothing_of_it_is_filed_unless_it_was_asked_for(filed):
    _, private, _ = filed
    assert private.state == "good"
    assert private.filed["numbers"] == {}
    for secret in ("31.77", "240.25", "272.02", "7.5"):
        assert secret not in str(private.filed)
        assert secret not in str(private.parameters)


def test_its_page_in_the_log_shows_the_sums_and_says_that_it_is_private(filed):
    build, private, _ = filed
    text = (build.folder / private.folder / f"{SHEET}.html").read_text()
    assert "272.02 EUR" in text
    assert "7.5 h" in text
    assert "Private." in text
    assert "a hand-over leaves the page out" in text


@pytest.mark.parametrize(("include", "leaves"), [((), False), (("who",), False), (("costs",), True)])
def test_a_hand_over_holds_neither_page_nor_sums_unless_costs_were_asked_for(filed, tmp_path, include, leaves):
    build = filed[0]
    with Record.open(build) as record:
        made = hand_over(build, record, tmp_path, include=include)
    pages = list(made.folder.rglob(f"{SHEET}.*"))
    assert bool(pages) == leaves
    text = "".join(
        p.read_text() for p in made.folder.rglob("*") if p.suffix in (".html", ".json", ".jsonl", ".csv", ".ipynb")
    )
    assert ("31.77" in text) == leaves


def test_asked_for_the_totals_are_filed(filed):
    numbers = {k: n["value"] for k, n in filed[2].filed["numbers"].items()}
    assert numbers == {"hours": 7.5, "spent_EUR": pytest.approx(31.77 + 240.25)}
    assert [step["finding"] for step in filed[2].filed["steps"] if step["state"] == "settled"][:1] == ["costs.filed"]


def test_on_an_empty_build_it_says_what_to_enter(empty):
    run = empty(f"general/{SHEET}")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert [(step["state"], step["finding"]) for step in run.filed["steps"]] == [("to do", "costs.none")]


@pytest.mark.parametrize(
    ("states", "spent"),
    [
        ([("wanted", None), ("ordered", "48"), ("fitted", "48")], 48),
        ([("ordered", "48"), ("fitted", "52")], 52),
        ([("ordered", "48"), ("fitted", None)], 48),
        ([("fitted", "5"), ("fitted", "6")], 11),
        ([("ordered", "5"), ("fitted", "5"), ("ordered", "6"), ("fitted", "6")], 11),
    ],
)
def test_a_purchase_counts_once_and_a_second_one_again(states, spent):
    assert totals(costs([entry("part", s, c) for s, c in states], BUILD)) == {"EUR": spent}


@pytest.mark.parametrize(
    ("states", "spent"),
    [
        ([("sent", "340"), ("accepted", "340")], 340),
        ([("sent", None), ("returned", "290"), ("sent back", "0"), ("returned", "0"), ("accepted", "0")], 290),
        ([("returned", "290"), ("returned", "350")], 350),
    ],
)
def test_a_job_counts_once_at_its_highest_cost(states, spent):
    assert totals(costs([entry("work", s, c, where="a shop") for s, c in states], BUILD)) == {"EUR": spent}


def test_hours_are_added_and_own_work_is_not_folded_into_one():
    own = [entry("work", hours="1.5"), entry("work", hours="3")]
    found = costs(own, BUILD)
    assert (len(found), hours(found)) == (2, 4.5)
    assert by(found, "area") == [("engine", "4.5 h", "")]


def test_currencies_are_never_added_to_each_other():
    found = costs([entry("part", "fitted", "10"), entry("part", "fitted", "20", "GBP", what="seal")], BUILD)
    assert totals(found) == {"EUR": 10, "GBP": 20}
    assert by(found, "kind") == [("part", "", "10.00 EUR + 20.00 GBP")]


def test_groups_end_with_their_sum():
    found = costs([entry("part", "fitted", "10"), entry("part", "fitted", "20", what="seal", joint=None)], BUILD)
    assert by(found, "area") == [
        ("engine", "", "10.00 EUR"),
        ("the rest", "", "20.00 EUR"),
        ("together", "", "30.00 EUR"),
    ]
    assert by(found, "month")[0][0] == "2026-05"
    assert [row[1] for row in lines(found)] == ["gasket", "seal"]


def test_the_decision_names_what_is_missing_and_no_sum():
    found = costs([entry("part", "fitted"), entry("work"), entry("part", "fitted", "20", "", what="seal")], BUILD)
    steps = {step.finding: step for step in next_steps(found, False)}
    assert {name: (step.state, step.values["lines"]) for name, step in steps.items() if step.values} == {
        "costs.bare": ("to do", "1 line"), "costs.idle": ("to do", "1 line"), "costs.currency": ("to do", "1 line"),
    }  # fmt: skip
    assert steps["costs.private"].state == "settled"
    assert "20" not in " ".join(map(sentence, steps.values()))


def test_with_hours_and_costs_it_is_settled():
    found = costs([entry("part", "fitted", "10"), entry("work", hours="2")], BUILD)
    assert [(step.state, step.finding) for step in next_steps(found, False)] == [("settled", "costs.private")]
    assert [(step.state, step.finding) for step in next_steps(found, True)] == [("settled", "costs.filed")]


def test_to_file_is_empty_unless_asked():
    found = costs([entry("part", "fitted", "10")], BUILD)
    assert to_file(found, False) == []
    assert to_file([], True) == []
    assert [t[0] for t in to_file(found, True)] == ["hours", "spent_EUR"]
