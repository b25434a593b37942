"""Outside work: readings cut at the journeys of a part, and accept or send back in each case."""

from types import SimpleNamespace

import pytest

from restonb.decisions import sentence
from restonb.decisions.general.outside_work import charted, compared, demands, jobs, next_steps, open_jobs, timeline
from restonb.measure import Characteristic, Instrument, Reading

SHEET = "outside_work"
BORE = Characteristic(
    "bore", "left", "left bore", "axis A,B", "mm", 68.0, 68.0, 68.02, instrument="gauge", source="p. 17"
)
TAPER = Characteristic("bore", "oval", "ovality", "spread of left", "mm", upper=0.05, source="practice")
OTHER = Characteristic("bore", "gap", "ring gap", "once", "mm", upper=0.3)
GAUGE = Instrument("gauge", "bore gauge", "mm", 0.001, 0.003)


def step(seq, state, sheet="bore", what="new liners", note=""):
    body = {"what": what, "where": "a shop", "sheet": sheet, "joint": None, "state": state, "note": note}
    return SimpleNamespace(seq=seq, at=f"2025-11-{seq:02d}T10:00:00Z", body=body)


def taken(seq, a, b, key="left"):
    return [Reading("bore", key, p, v, "mm", instrument="gauge", seq=seq) for p, v in (("axis A", a), ("axis B", b))]


class Book(list):
    sheets = ("bore",)

    def sheet(self, name):
        return [row for row in self if row.sheet == name]


BUILD = SimpleNamespace(specs=Book((BORE, TAPER, OTHER)), instruments={"gauge": GAUGE}, rule="prove")
FOUND = taken(1, 68.2, 68.1)
SENT, BACK, AGAIN, ACCEPTED = step(2, "sent"), step(4, "returned"), step(6, "sent back"), step(9, "accepted")


def job(*steps, readings=FOUND, build=BUILD):
    return jobs(steps, readings, build)[0]


def decide(*steps, readings=FOUND, checks=None):
    found = next_steps(jobs(steps, readings, BUILD, checks=checks))
    for step in found:
        print(step.state, "|", sentence(step))
    return [(step.state, step.finding) for step in found]


def test_on_an_empty_build_it_says_what_to_do_before_a_part_leaves(empty):
    run = empty(f"general/{SHEET}")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert run.filed["verdicts"] == []
    assert [(step["state"], step["finding"]) for step in run.filed["steps"]] == [("to do", "work.none")]
    assert any("licensed" in line for line in run.filed["cautions"])
    assert any("chlorinated" in line for line in run.filed["cautions"])


@pytest.mark.parametrize(
    ("steps", "readings", "found"),
    [
        ((SENT,), FOUND, [("to do", "work.away")]),
        ((SENT,), [], [("to do", "work.away")]),
        ((SENT, BACK), FOUND, [("to do", "work.measure")]),
        ((SENT, BACK), FOUND + taken(5, 68.010, 68.010), [("to do", "work.accept")]),
        ((SENT, BACK), FOUND + taken(5, 68.010, 68.041), [("to do", "work.outside")]),
        ((SENT, BACK), FOUND + taken(5, 68.010, 68.020), [("not known", "work.close")]),
        ((SENT, BACK), FOUND + taken(5, 68.010, 68.010)[:1], [("to do", "work.measure"), ("to do", "work.forgotten")]),
        ((SENT, BACK, AGAIN), FOUND + taken(5, 68.010, 68.041), [("to do", "work.sent_back")]),
        ((SENT, BACK, ACCEPTED), FOUND, [("to do", "work.measure")]),
        ((SENT, BACK, ACCEPTED), FOUND + taken(5, 68.010, 68.010), [("settled", "work.accepted")]),
        ((SENT, BACK, ACCEPTED), FOUND + taken(5, 68.010, 68.041), [("to do", "work.outside")]),
    ],
)
def test_accept_or_send_back(steps, readings, found):
    """Limits 68.000 to 68.020; U of the gauge is about 0.0036 mm, so 68.010 is proved inside and 68.020 is not."""
    assert decide(*steps, readings=readings) == found


def test_what_it_was_sent_for_must_be_measured_again():
    """Both bores were too wide, and only one of them was measured when they came back."""
    right = BORE._replace(key="right", what="right bore")
    build = SimpleNamespace(specs=Book((BORE, right)), instruments={"gauge": GAUGE}, rule="prove")
    readings = [*FOUND, *taken(1, 68.2, 68.1, "right"), *taken(5, 68.010, 68.010)]
    (_, forgotten) = next_steps(jobs([SENT, BACK, ACCEPTED], readings, build))
    assert (forgotten.state, forgotten.finding) == ("to do", "work.forgotten")
    assert forgotten.about == (("right", "axis A"), ("right", "axis B"))


def test_a_gauge_that_failed_its_check_accepts_nothing():
    failed = SimpleNamespace(seq=12, at="2025-11-12T10:00:00Z", body={"good": False, "instrument": "gauge"})
    readings = FOUND + taken(5, 68.010, 68.010)
    assert decide(SENT, BACK, ACCEPTED, readings=readings, checks={"gauge": [failed]}) == [("not known", "work.doubt")]


def test_without_limits_nothing_is_accepted_as_good():
    bare = SimpleNamespace(specs=Book((BORE._replace(lower=None, upper=None),)), instruments={}, rule="prove")
    (step,) = next_steps(jobs([SENT, BACK, ACCEPTED], FOUND + taken(5, 68.010, 68.010), bare))
    assert (step.state, step.finding) == ("not known", "work.limit")


def test_a_part_that_came_back_twice_is_judged_by_its_last_return():
    readings = [*FOUND, *taken(5, 68.010, 68.041), *taken(8, 68.010, 68.011)]
    found = job(SENT, BACK, AGAIN, step(7, "returned"), readings=readings)
    assert [r.name for r in found.rounds] == ["before it left", "back 2025-11-04", "back 2025-11-07"]
    assert [r.verdicts.word for r in found.rounds] == ["outside", "outside", "inside"]
    assert next_steps([found])[0].finding == "work.accept"
    assert len(charted(found)[0]) == 3


def test_readings_after_acceptance_belong_to_later_life():
    readings = [*FOUND, *taken(5, 68.010, 68.010), *taken(12, 68.06, 68.06)]
    assert job(SENT, BACK, ACCEPTED, readings=readings).back.word == "inside"


def test_a_part_that_was_only_entered_as_accepted_has_come_back():
    assert decide(SENT, step(9, "accepted")) == [("to do", "work.measure")]


def test_before_and_after_stand_in_one_row():
    found = job(SENT, BACK, readings=FOUND + taken(5, 68.010, 68.041))
    (caption, heads, rows), *_ = compared(found)
    assert caption == "left bore: 68 to 68.02 mm"
    assert heads == ("position", "before it left", "back 2025-11-04")
    assert "68.2" in rows[0][1]
    assert "outside" in rows[0][1]
    assert "68.010" in rows[0][2]
    assert "inside" in rows[0][2]


def test_what_is_demanded_has_limit_places_gauge_and_source():
    table = demands(job(SENT), BUILD.instruments)
    assert table[0] == ("left bore", "2 places: axis A,B", "68 to 68.02 mm", "bore gauge", "p. 17")
    assert [row[0] for row in table] == ["left bore", "ovality"]


def test_without_readings_every_row_of_the_sheet_is_demanded():
    assert [r[0] for r in demands(job(SENT, readings=[]), BUILD.instruments)] == ["left bore", "ovality", "ring gap"]


def test_work_without_a_sheet_is_held_against_nothing():
    assert decide(step(2, "sent", sheet=None), step(9, "accepted", sheet=None)) == [("not known", "work.no_sheet")]


def test_jobs_are_found_by_name_and_own_work_is_none():
    entries = [SENT, step(3, ""), step(5, "sent", what="frame coated")]
    assert [j.what for j in jobs(entries, [], BUILD)] == ["new liners", "frame coated"]
    assert [j.what for j in jobs(entries, [], BUILD, "FRAME")] == ["frame coated"]
    assert len(open_jobs(jobs(entries, [], BUILD))) == 2
    assert timeline(jobs(entries, [], BUILD)[0]) == [("2025-11-02", "sent", "")]
