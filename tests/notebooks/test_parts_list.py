"""The list for the counter: open parts, one-use parts of opened joints, look-alike threads; and an empty build."""

from types import SimpleNamespace

import pytest

from restonb.decisions import sentence
from restonb.decisions.general.parts_list import (
    Item,
    confusable,
    counter_list,
    known,
    next_steps,
    on_order,
    opened,
    parts,
    safety_joints,
    to_buy,
)
from restonb.record import JointState
from restonb.stated import Fastener, Joint, JointMap

SHEET = "parts_list"
NUT = Fastener("plate nut", 6, "5/16-22 BSF", replace_on_removal=True)
CASE = Joint("case", "the case", fasteners=(NUT, Fastener("stud", 2)), replace_on_removal=("case gasket",))
JOINTS = JointMap({"case": CASE}, {})


def part(seq, state, what="case gasket", joint="case", **more):
    body = {
        "what": what,
        "thread": "",
        "length": "",
        "class": "",
        "quantity": "1",
        "joint": joint,
        "note": "",
        "state": state,
    }
    return SimpleNamespace(seq=seq, kind="part", at=f"2026-05-{seq:02d}T10:00:00Z", body=body | more)


def disturb(seq, what="removed"):
    return SimpleNamespace(
        seq=seq, kind="disturb", at=f"2026-05-{seq:02d}T10:00:00Z", body={"joint": "case", "what": what}
    )


def names(items):
    return [(i.what, i.quantity, i.state) for i in items]


def test_on_an_empty_build_nothing_is_wanted(empty):
    run = empty(f"general/{SHEET}")
    assert run.state == "good"
    assert {k: n["value"] for k, n in run.filed["numbers"].items()} == {"to_buy": 0, "on_order": 0}
    assert [(step["state"], step["finding"]) for step in run.filed["steps"]] == [("not known", "parts.nothing")]
    assert any("pitch gauge" in line for line in run.filed["cautions"])


def test_a_part_stays_on_the_list_until_it_is_fitted():
    found = parts([part(1, "wanted"), part(2, "ordered"), part(3, "wanted", "axle nut")])
    assert names(found) == [("case gasket", "1", "ordered"), ("axle nut", "1", "wanted")]
    assert names(to_buy(found)) == [("axle nut", "1", "wanted")]
    assert names(on_order(found)) == [("case gasket", "1", "ordered")]
    assert parts([part(1, "ordered"), part(2, "fitted")]) == []
    assert names(parts([part(1, "fitted"), part(2, "wanted")])) == [("case gasket", "1", "wanted")]


def test_an_opened_joint_asks_for_what_does_not_go_back():
    found = opened(JOINTS, {"case": JointState("case", "apart", disturbed=5)}, [disturb(5)])
    assert names(found) == [("plate nut", "6", "wanted"), ("case gasket", "", "wanted")]
    assert found[0].thread == "5/16-22 BSF"
    assert found[0].why == "case was opened on 2026-05-05"


def test_a_joint_only_loosened_keeps_its_gasket_but_not_its_one_use_nuts():
    found = opened(JOINTS, {"case": JointState("case", "temporary", disturbed=5)}, [disturb(5, "loosened")])
    assert names(found) == [("plate nut", "6", "wanted")]


@pytest.mark.parametrize(
    "state", [JointState("case", "tightened", disturbed=5), JointState("case", "apart"), JointState("case")]
)
def test_a_closed_joint_and_one_never_closed_ask_for_nothing(state):
    assert opened(JOINTS, {"case": state}, [disturb(5)]) == []


def test_a_part_entered_since_covers_it_whatever_its_exact_name():
    state = {"case": JointState("case", "apart", disturbed=5)}
    bought = [disturb(5), part(6, "ordered", "Plate nuts"), part(7, "fitted", "paper case gasket")]
    assert opened(JOINTS, state, bought) == []
    before = [part(4, "fitted"), disturb(5)]
    assert names(opened(JOINTS, state, before)) == [("plate nut", "6", "wanted"), ("case gasket", "", "wanted")]
    elsewhere = [disturb(5), part(6, "ordered", joint="other")]
    assert len(opened(JOINTS, state, elsewhere)) == 2


def test_the_list_has_threads_first_and_boxes_to_tick():
    items = [
        Item("gasket", "1", "wanted", "2026-05-01"),
        Item("bolt", "4", "wanted", "2026-05-01", "M8x1.25", "30 mm", "8.8", "head"),
    ]
    assert counter_list(to_buy(items))[0] == ("□", "4", "bolt", "M8x1.25", "30 mm", "8.8", "head", "2026-05-01", "")


@pytest.mark.published("BS 84 and ASME B1.1: 1/2 inch is 12 to the inch as BSW, 13 as UNC")
def test_threads_that_look_alike_are_told_apart():
    (thread, others), *_ = confusable([Item("bolt", "1", "wanted", "", "1/2-13 UNC")])
    assert thread == "1/2-13 UNC"
    assert "1/2-12 BSW: same diameter" in others
    assert "flanks 55 against 60 degrees" in others


def test_a_thread_that_cannot_be_read_does_not_stop_the_list():
    assert "cannot be looked up" in confusable([Item("bolt", "1", "wanted", "", "eight millimetres")])[0][1]


def decide(buy=(), ordered=(), known=5, safety=()):
    steps = next_steps(list(buy), list(ordered), known, safety)
    for step in steps:
        print(step.state, "|", sentence(step))
    return {step.finding: step for step in steps}


def test_the_decision_names_what_is_vague_uncounted_ordered_and_held_up():
    bolt, gasket = (
        Item("bolt", "4", "wanted", "2026-05-01", "M8x1.25", joint="front_brake"),
        Item("gasket", "", "wanted", "2026-05-02"),
    )
    found = decide([bolt, gasket], [Item("chain", "1", "ordered", "2026-04-01")])
    assert {step.state for step in found.values()} == {"to do"}
    assert found["parts.buy"].values["names"] == "bolt and gasket"
    assert found["parts.vague"].values["names"] == "bolt"
    assert found["parts.count"].values["names"] == "gasket"
    assert found["parts.ordered"].values["since"] == "2026-04-01"
    assert found["parts.joints"].values["joints"] == ["front brake"]
    assert not found["parts.joints"].safety
    assert decide([bolt], safety=["front_brake"])["parts.joints"].safety


def test_an_empty_list_is_settled_only_where_the_record_knows_anything():
    assert decide()["parts.none"].state == "settled"
    assert decide(known=0)["parts.nothing"].state == "not known"
    states = {"case": JointState("case", "apart"), "head": JointState("head")}
    assert known([part(1, "wanted")], states) == 2
    assert known([], {"head": JointState("head")}) == 0
    assert safety_joints(JointMap({"a": CASE, "b": CASE._replace(safety=True)}, {})) == ["b"]


def test_a_nut_needs_no_length():
    assert not Item("slotted axle nut", "1", "wanted", "", "M14x1.5").vague
    assert not Item("bolt", "1", "wanted", "", "M8x1.25", "30 mm", "8.8").vague


def test_a_line_for_the_counter_reads_as_words():
    item = Item("plate nut", "", "wanted", "2026-05-05", "5/16-22 BSF", "", "", "rear_wheel", "it was opened")
    ((*line,),) = counter_list([item])
    assert line == ["□", "as fitted", "plate nut", "5/16-22 BSF", "", "", "rear wheel", "2026-05-05", "it was opened"]
