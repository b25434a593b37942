"""The tightening plan: bolts against ISO 898-1, sign-off from entries, the decision in each case, and an empty build."""

from types import SimpleNamespace

import pytest

from restonb.decisions.fasteners import _bolts
from restonb.decisions.fasteners.tightening_plan import (
    bolt_table,
    drawn,
    heaviest,
    next_steps,
    pattern,
    plan_table,
    plans,
    remarks_of,
    signed_off,
    signed_table,
    unchecked,
)
from restonb.measure import Verdicts
from restonb.quantity import read
from restonb.record import JointState, OpenEnd
from restonb.stated import Fastener, Joint, JointMap

SHEET = "tightening_plan"
NOTHING = Verdicts(())


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def group(torque="24 N m", **more):
    given = {"count": 2, "thread": "M8x1.25", "strength": "8.8", "treatment": "dry", "source": "p. 1"} | more
    return Fastener("disc bolt", torque=read(torque) if torque else None, **given)


def planned(*groups, state="", entries=(), disturbed=0, units=None):
    joints = JointMap({"disc": Joint("disc", "the disc", fasteners=groups)}, {})
    return plans(joints, {"disc": JointState("disc", state, disturbed=disturbed)}, entries, units or {})


def entry(seq, *torques, unit="N m", new=False, names=("1", "2")):
    rows = [{"position": n, "torque": t, "unit": unit, "new": new} for n, t in zip(names, torques, strict=False)]
    return SimpleNamespace(seq=seq, body={"joint": "disc", "fasteners": rows})


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", "")] * len(runs)
    assert len(runs) >= 2


def test_the_first_run_plans_the_head_alone_the_last_every_joint(runs):
    assert runs[0].filed["numbers"]["groups"]["value"] == 1
    assert runs[-1].filed["numbers"]["groups"]["value"] > 10


def test_head_nuts_are_judged_one_by_one(runs):
    """30 N m against 27 to 33, error 1.5 N m: 22 ft-lb is 29.8 N m."""
    words = {v["position"]: v["verdict"] for v in runs[0].filed["verdicts"]}
    assert set(words) == {f"nut {n}" for n in range(1, 9)}
    assert set(words.values()) == {"inside"}


def test_cautions_are_filed(runs):
    said = " ".join(runs[0].filed["cautions"])
    for word in ("maker's manual", "self-locking", "stretching", "competent"):
        assert word in said


def test_on_an_empty_build_it_asks_for_joints(empty):
    run = empty(f"fasteners/{SHEET}")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert run.filed["verdicts"] == []
    assert run.filed["decision"][0].startswith("Write the joints with their fasteners")


@pytest.mark.published("ISO 898-1:2013 Table 5: proof load of M8 coarse, class 8.8, is 21 200 N")
def test_preload_is_held_against_the_proof_load_of_the_class():
    """F = T/(K d): 24/(0.20 x 0.008) = 15 000 N; at K = 0.18, 16 667 N, which is 78.6 % of 21 200 N."""
    found = planned(group())[0].load
    assert found.proof == 21200
    assert found.pulls[1] == pytest.approx(15000)
    assert found.share == pytest.approx(100 * 24 / (0.18 * 0.008) / 21200)
    assert found.word == "below proof load"


@pytest.mark.parametrize(
    ("torque", "word"),
    [("24 N m", "below proof load"), ("32 N m", "may pass proof load"), ("40 N m", "above proof load")],
)
def test_a_torque_too_high_for_its_bolt_is_told_before_anything_else(torque, word):
    """Proof 21 200 N at K = 0.20: 33.9 N m; at the low K of dry steel, 0.18: 30.5 N m."""
    found = planned(group(torque))
    assert found[0].load.word == word
    said = next_steps(found, NOTHING)
    assert said[0].startswith("Do not tighten") == (word != "below proof load")


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"strength": ""}, "no class stated"),
        ({"strength": "grade R"}, "'grade R' is not in the tables"),
        ({"thread": "5/16-22 BSF", "strength": "8.8"}, "covers ISO metric threads"),
        ({"thread": ""}, "no thread stated"),
        ({"thread": "eight millimetres"}, "thread"),
    ],
)
def test_what_cannot_be_checked_says_why(more, why):
    found = planned(group(**more))
    assert found[0].load.share is None
    assert why in found[0].load.word
    assert bolt_table(found) == []
    assert why in unchecked(found)[0][0]
    assert not heaviest(found)


@pytest.mark.parametrize(
    ("said", "state"),
    [
        ("dry, clean", "dry steel"), ("tab washer, oiled thread", "oiled"), ("anti-seize paste on the stud", "anti-seize"),
        ("threadlocker, medium", "threadlocker: oiled to dry"), ("split pin", _bolts.UNSAID),
        ("zinc plated, dry", "zinc plated"),
    ],
)  # fmt: skip
def test_treatment_in_words_gives_the_state_of_the_thread(said, state):
    assert _bolts.thread_state(said) == state


def test_a_dry_figure_on_a_lubricated_thread_is_warned_of():
    """0.20/0.14 is 43 % more with anti-seize, 0.20/0.17 18 % more when oiled."""
    said = next_steps(planned(group("12 N m", treatment="anti-seize"), group("12 N m", treatment="oiled")), NOTHING)
    assert "43 % more" in said[0]
    assert "18 % more" in said[0]
    assert not any("lubricated" in line for line in next_steps(planned(group()), NOTHING))


@pytest.mark.recalled("ISO 6789-1: stated from 20 % of the largest torque")
def test_the_smallest_wrench_that_suits_is_named():
    wrenches = ["110 N m", "25 N m"]
    assert _bolts.wrench_for(24, wrenches) == "up to 25 N m"
    assert _bolts.wrench_for(30, wrenches) == "up to 110 N m"
    assert _bolts.wrench_for(4.9, wrenches) == "none on hand suits"
    assert _bolts.wrench_for(24, []) == ""
    assert plan_table(planned(group("18 ft-lb")), ["25 N m"])[0][3] == "up to 25 N m"


@pytest.mark.parametrize(
    ("state", "entries", "word"),
    [
        ("", (), "not signed off"),
        ("tightened", (entry(5, "24", "24"),), "signed off"),
        ("tightened", (entry(5, "24"),), "1 of 2 signed off"),
        ("tightened", (entry(5, "24"), entry(6, "24", names=("2",))), "signed off"),
        ("temporary", (entry(5, "12", "12"),), "stage 1 of 2"),
        ("temporary", (entry(5, "5", "5"),), "short of the plan"),
        ("tightened", (entry(5, "24", "30"),), "over the plan: 2"),
        ("tightened", (entry(5),), "tightened, no torque entered"),
        ("tightened", (entry(5, "17.7", "17.7", unit="ft-lb"),), "signed off"),
    ],
)
def test_sign_off_comes_from_the_torques_entered(state, entries, word):
    """17.7 ft-lb is 24.0 N m."""
    found = planned(group(stages=(read("12 N m"), read("24 N m"))), state=state, entries=entries)
    assert found[0].word == word
    assert signed_off(found) == (1 if word == "signed off" else 0)
    assert found[0].word in signed_table(found, {})[0]


def test_what_was_entered_before_the_joint_was_opened_counts_no_more():
    assert planned(group(), state="apart", entries=(entry(5, "24", "24"),), disturbed=6)[0].word == "not signed off"


def test_one_use_fasteners_must_be_entered_as_new():
    once = group(replace_on_removal=True)
    old, new = (planned(once, state="tightened", entries=(entry(5, "24", "24", new=n),)) for n in (False, True))
    assert any("does not say 'new'" in line for line in next_steps(old, NOTHING))
    assert not any("'new'" in line for line in next_steps(new, NOTHING))


def test_two_groups_of_a_joint_keep_their_fasteners_apart():
    front, rear = (
        group(),
        Fastener("long bolt", torque=read("24 N m"), count=1, thread="M8x1.25", strength="8.8", treatment="dry"),
    )
    names = ("disc bolt 1", "disc bolt 2", "long bolt 1")
    found = planned(front, rear, state="tightened", entries=(entry(5, "24", "24", "12", names=names),))
    assert [p.word for p in found] == ["signed off", "short of the plan"]
    assert pattern(found[0])["states"]["2"]["stage"] == "1"


def test_torques_are_shown_in_the_units_of_the_person_with_the_plans_own():
    """15 ft-lb is 20.3 N m."""
    found = planned(group("15 ft-lb"), units={"torque": "N m"})
    assert plan_table(found)[0][2] == "20.3 N m (15 ft-lb)"


def test_a_drawing_is_made_where_it_says_more_than_a_line():
    assert drawn(planned(group())) == []
    assert len(drawn(planned(group(count=3, order=("1", "3", "2"))))) == 1


def test_remarks_say_what_waits_and_what_is_to_be_tightened_again():
    ends = [
        OpenEnd("retighten", "disc", "disc: tighten again after 500 mile (0 mile so far)", "", 1, joint="disc"),
        OpenEnd("joint", "disc", "disc is apart since 2026-05-16", "", 2, joint="disc"),
        OpenEnd("part", "pin", "1 x pin: wanted on 2026-05-16", "", 3),
    ]
    assert remarks_of(ends) == {"disc": ["tighten again after 500 mile (0 mile so far)"]}


def test_a_joint_without_a_torque_asks_for_it():
    assert any("No torque is stated" in line for line in next_steps(planned(group(None)), NOTHING))


@pytest.mark.parametrize(
    ("word", "says"),
    [
        ("inside", "Every measured torque is inside"),
        ("outside", "slacken and tighten again"),
        ("too close to call", "too close to call"),
        ("not measured", "Write down where the wrench clicked"),
    ],
)
def test_measured_torque_is_told_by_its_verdict(judged, word, says):
    assert any(says in line for line in next_steps(planned(group()), judged("torque", "N m", nut_1=word)))


def test_a_gauge_in_doubt_is_named(judged):
    said = next_steps(planned(group()), judged("torque", "N m", nut_1="inside"), ["the wrench failed its check"])
    assert "gauge in doubt" in said[-1]
    assert "the wrench failed its check" in said[-1]
