"""Seating, run-out, wear, budgets, stacks, joints, bolts, history, volts: what each draws and says."""

from __future__ import annotations

import math
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from matplotlib.figure import Figure

from restonb import charts
from restonb.measure import Budget, Reading, component
from restonb.measure.shape import harmonic
from restonb.measure.wear import wear_rate
from restonb.quantity import read
from restonb.record import STANDINGS as WORDS
from restonb.record import Left, SheetStanding
from restonb.record.views import JointState
from restonb.stated import Fastener, Joint, JointMap

PLAN = [(0, 0), (150, 0), (150, 90), (0, 90)]
CLOCK = [0, 45, 90, 135, 180, 225, 270, 315]
LONG = "connector behind the headlamp shell, brown to brown with blue tracer"


def budget() -> Budget:
    return Budget(
        (
            component("micrometer", 0.004, "rectangular", cause="instrument"),
            component("scatter of 5 readings", 0.0012, "normal", dof=4, cause="scatter"),
            component("resolution", 0.001, "resolution", cause="resolution"),
        ),
        "mm",
    )


def joint_map() -> JointMap:
    table = {
        "frame": Joint("frame", "the frame"),
        "plates": Joint("plates", "engine plates", ("frame",)),
        "engine": Joint("engine", "engine to the plates", ("frame", "plates")),
        "gearbox": Joint("gearbox", "gearbox feet", ("plates",)),
        "primary": Joint("primary", "primary case", ("engine", "gearbox")),
    }
    return JointMap(table, {"primary_alignment": ("primary",), "gearbox_mounting": ("gearbox",)})


def history(count: int = 4) -> list[Reading]:
    return [
        Reading("s", "gap", f"foot {n}", 0.02 * n / step, "mm", occasion=word, at=f"2026-0{step}-10T10:00:00Z")
        for step, word in ((1, "as found"), (3, "after rework"))
        for n in range(1, count + 1)
    ]


def hole(**more: Any) -> SimpleNamespace:
    """The plan of a repair: a wire insert of 12 mm for M8, in a blind hole."""
    plan = {"method": "wire insert", "drill": "8.3 mm", "drill_diameter": 8.3, "tap": "insert tap for M8x1.25",
            "length": 12.0, "hole_major": 9.624, "full_depth": 23.5, "drill_mark": 26.0, "tap_mark": 22.25,
            "floor": 3.0, "wall": 9.8, "possible": True, "edge_enough": True}  # fmt: skip
    return SimpleNamespace(**(plan | more))


def cases() -> dict[str, Callable[[], Figure]]:
    runout = [0, 0.02, 0.05, 0.07, 0.06, 0.05, 0.02, 0.01]
    usage, worn = [0, 3000, 6500, 9000, 12000], [70.01, 70.022, 70.031, 70.043, 70.05]
    split = harmonic(runout)
    crown = [1, 6, 3, 8, 5, 10, 2, 7, 4, 9]
    return {
        "seating, rocks": lambda: charts.seating_map(
            PLAN, [0, 0.2, 0, 0], {"foot 2": [0.05, 0.15]}, [0, 2, 3], (0, 2), limit=0.05, mass=(60, 45)
        ),
        "seating, eight feet": lambda: charts.seating_map(
            [(x, y) for y in (0, 60, 120) for x in (0, 100, 200) if (x, y) != (100, 60)],
            [0.1] * 8, [[0.05, 0.03, 0.02]] * 8,
        ),
        "seating, nothing measured": lambda: charts.seating_map(PLAN, [None] * 4),
        "run-out": lambda: charts.runout_polar(CLOCK, runout, split.eccentricity, split.direction, split.form),
        "run-out, 36 readings": lambda: charts.runout_polar(range(0, 360, 10), [math.sin(n) for n in range(36)]),
        "run-out, one missing": lambda: charts.runout_polar(CLOCK, [None, *runout[1:]]),
        "run-out, nothing": lambda: charts.runout_polar(CLOCK, [None] * 8),
        "run-out, dead true": lambda: charts.runout_polar(CLOCK, [0.0] * 8, 0.0, 0.0, 0.0),
        "wear": lambda: charts.wear_trend(list(zip(usage, worn, strict=True)), wear_rate(usage, worn, 70.1)),
        "wear, no projection": lambda: charts.wear_trend(
            [(0, 3.9), (1, 3.7), (2, 3.95)], wear_rate([0, 1, 2], [3.9, 3.7, 3.95], 1.5, wears="down")
        ),
        "wear, one point": lambda: charts.wear_trend([(10, 5.0, 0.1)], None, 3.0),
        "wear, nothing": lambda: charts.wear_trend([], None, 3.0),
        "budget": lambda: charts.budget_bars(budget(), what="bore"),
        "budget, filed": lambda: charts.budget_bars(budget().as_data(), unit="mm"),
        "budget, empty": lambda: charts.budget_bars(Budget((), "mm")),
        "stack": lambda: charts.stack_contributions({"case": (62.4, 0.05), LONG: (-62.0, 0.08)}, lower=0.3, upper=0.5),
        "stack, no limit": lambda: charts.stack_contributions([("case", 62.4, 0.05)]),
        "stack, nothing": lambda: charts.stack_contributions({}),
        "joints": lambda: charts.joint_tree(joint_map(), {"plates": "final"}, {"gearbox_mounting": "plates came off"}),
        "joints, none": lambda: charts.joint_tree({}),
        "joints, in a ring": lambda: charts.joint_tree({"a": {"rests_on": ("b",)}, "b": {"rests_on": ("a",)}}),
        "bolts": lambda: charts.bolt_pattern(10, crown, ["50 %", "100 %"], {"1": 2, "6": 1}, what="crown nuts"),
        "bolts, one": lambda: charts.bolt_pattern([(0, 0)]),
        "bolts, none": lambda: charts.bolt_pattern([]),
        "history": lambda: charts.reading_history(history(), upper=0.1, what="gap"),
        "history, 80 positions": lambda: charts.reading_history(history(80), upper=0.1, what="gap"),
        "history, nothing": lambda: charts.reading_history([], upper=0.1, what="gap"),
        "volts": lambda: charts.voltage_drop({"fuse": 0.31, LONG: 0.04, "earth": None}, limit=0.5, each=0.1),
        "volts, nothing": lambda: charts.voltage_drop({"fuse": None}),
        "balance": lambda: charts.balance_bars({"lamp": 55, LONG: 30}, {1000: 20, 2000: 80, 3000: None, 4000: 120}),
        "balance, nothing": lambda: charts.balance_bars({}, {}),
        "section": lambda: charts.thread_section(hole(), 29.0, 14.6, thread="M8x1.25", date="2026-03-14"),
        "section, through": lambda: charts.thread_section(hole(full_depth=None, floor=None), 18.0, 40.0),
        "section, breaks out": lambda: charts.thread_section(
            hole(floor=-4.0, wall=-0.8, possible=False), 22.0, 4.0, source="notes of the shop"
        ),
        "section, nothing known": lambda: charts.thread_section(hole(floor=None, wall=None)),
    }  # fmt: skip


@pytest.mark.practice
@pytest.mark.parametrize("case", list(cases()))
def test_every_chart_is_legible_dated_counted_and_the_same_each_time(look: Any, case: str) -> None:
    figure = cases()[case]()
    assert look.overlapping(figure) == []
    assert look.beyond(figure) == []
    text = look.said(figure)
    assert "no date given" in text or "2026-" in text
    assert "n = " in text
    assert "nan" not in text.lower().split()
    assert charts.svg(figure) == charts.svg(cases()[case]())
    assert charts.describe(figure).endswith(".")
    assert len(charts.describe(figure)) > 30


@pytest.mark.practice
def test_the_seating_names_what_to_put_under_which_foot(look: Any) -> None:
    figure = cases()["seating, rocks"]()
    assert charts.describe(figure).startswith("Gearbox rocks about foot 1 and foot 3: shim 0.20 mm under foot 2.")
    drawn = look.texts(figure)
    assert {"foot 2, clear", "gap 0.20 mm", "rocks", "foot 1, carries", "limit at most 0.05 mm"} <= {
        part for t in drawn for part in t.split("  ·  ")
    }
    assert "shims 0.05 + 0.15 = 0.20 mm" in " ".join(drawn)


@pytest.mark.practice
def test_the_rocking_line_joins_the_two_feet_that_are_named() -> None:
    figure = cases()["seating, rocks"]()
    line = next(n for n in figure.axes[0].lines if n.get_linewidth() == 2.2 and n.get_ydata()[0] != n.get_ydata()[1])
    (x0, x1), (y0, y1) = line.get_xdata(), line.get_ydata()
    assert (x1 - x0) / (y0 - y1) == pytest.approx(150 / 90)


@pytest.mark.practice
def test_a_seating_takes_the_verdicts_of_its_gaps(look: Any, four_feet: list[dict[str, Any]]) -> None:
    text = look.said(charts.seating_map(PLAN, [0.02, 0.095, 0.21, None], verdicts=four_feet))
    for words in (
        "too close to call",
        "gap not measured",
        "limit 0 to 0.1 mm",
        "workshop manual, page 42",
        "1 outside",
    ):
        assert words in text


@pytest.mark.practice
def test_run_out_is_largest_less_smallest_and_points_to_the_high_side(look: Any) -> None:
    values = [0.05 * math.cos(math.radians(a - 90)) for a in CLOCK]
    figure = charts.runout_polar(CLOCK, values, 0.05, 90.0, 0.0, what="rim run-out")
    text = look.said(figure)
    assert "0.100 mm" in text
    assert "mostly off centre" in charts.describe(figure)
    assert "Eccentricity 0.050 mm towards 3:00" in charts.describe(figure)
    assert "highest at 3:00, lowest at 9:00" in text
    arrow = next(t for t in figure.axes[1].texts if getattr(t, "arrow_patch", None) is not None)
    assert arrow.xy[0] > 0.3
    assert arrow.xy[1] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.practice
def test_the_run_out_of_a_face_is_a_tilt_and_never_off_centre(look: Any) -> None:
    """A face that stands askew goes in and out once per turn; setting it square cures that, centring it would not."""
    values = [0.05 * math.cos(math.radians(a - 90)) for a in CLOCK]
    figure = charts.runout_polar(CLOCK, values, 0.05, 90.0, 0.0, what="face of the disc", kind="axial")
    text = charts.describe(figure) + look.said(figure)
    assert "mostly tilted" in text
    assert "Tilt 0.050 mm towards 3:00" in text
    assert "tilted only" in text
    assert "centre" not in text
    wavy = [0.05 * math.cos(math.radians(2 * a)) for a in CLOCK]
    assert "mostly not flat" in charts.describe(charts.runout_polar(CLOCK, wavy, 0.0, 0.0, 0.1, kind="axial"))


@pytest.mark.practice
def test_run_out_out_of_round_is_called_so() -> None:
    values = [0.05 * math.cos(math.radians(2 * a)) for a in CLOCK]
    assert "mostly out of round" in charts.describe(charts.runout_polar(CLOCK, values, 0.0, 0.0, 0.1))


@pytest.mark.practice
def test_wear_says_when_and_is_silent_where_nothing_can_be_projected(look: Any) -> None:
    usage = [0.0, 1000.0, 2000.0, 3000.0]
    fit = wear_rate(usage, [1.0, 1.1, 1.2, 1.3], 2.0, u=1e-6)
    figure = charts.wear_trend(list(zip(usage, [1.0, 1.1, 1.2, 1.3], strict=True)), fit, what="bush")
    assert "limit met at about 10 000 mile" in charts.describe(figure)
    assert "wear limit 2 mm" in look.texts(figure)
    assert "limit met" not in charts.describe(cases()["wear, no projection"]())


@pytest.mark.practice
def test_a_budget_names_its_largest_part_and_its_shares_add_up(look: Any) -> None:
    drawn = look.texts(charts.budget_bars(budget(), what="bore"))
    assert "most of the uncertainty comes from micrometer" in " ".join(drawn)
    shares = [int(t[:-2]) for t in drawn if t.endswith(" %")]
    assert abs(sum(shares) - 100) <= 1
    assert shares == sorted(shares, reverse=True)
    assert {"combined u", "expanded U"} <= set(drawn)


@pytest.mark.recalled("tolerance stacks: worst case is the sum of the tolerances, root sum square their root")
def test_a_stack_adds_worst_case_and_root_sum_square(look: Any) -> None:
    drawn = look.texts(charts.stack_contributions({"a": (1.0, 0.3), "b": (2.0, 0.4)}, lower=2.4, upper=3.6))
    assert {"± 0.50", "± 0.7", "64 %", "36 %"} <= set(drawn)
    assert "inside as a rule, outside in the worst case" in " ".join(drawn)


@pytest.mark.practice
def test_a_joint_stands_below_everything_that_it_rests_on() -> None:
    figure = charts.joint_tree(joint_map(), {"plates": "final", "gearbox": "temporary"})
    high = {t.get_text(): t.get_position()[1] for t in figure.axes[0].texts}
    assert high["the frame"] < high["engine plates"] < high["engine to the plates"] < high["primary case"]
    assert high["gearbox feet"] < high["primary case"]
    assert "also rests on: engine to the plates" in high


@pytest.mark.practice
def test_joint_states_and_spoilt_results_are_told_in_words(look: Any) -> None:
    figure = charts.joint_tree(
        joint_map(), {"frame": "final", "plates": "tightened", "gearbox": "temporary"},
        {"gearbox_mounting": ("measure again", "plates loosened 2026-03-20")},
    )  # fmt: skip
    drawn = look.texts(figure)
    assert "measure again: gearbox_mounting, plates loosened 2026-03-20" in drawn
    assert {"final", "tightened", "temporary", "nothing entered"} <= set(drawn)
    assert "2 of 5 joints closed, 1 temporary; 1 result not settled" in " ".join(drawn)


@pytest.mark.practice
def test_the_tree_takes_the_standing_of_the_record() -> None:
    left = Left("measure again", "plates came off", False, kind="result")
    again = SheetStanding("gearbox_mounting", "drivetrain", "measure again", word="measure again", left=(left,))
    good = SheetStanding("primary_alignment", "drivetrain", "current", word="settled")
    state = JointState("plates", "temporary")
    figure = charts.joint_tree(joint_map(), {"plates": state}, {s.sheet: s for s in (again, good)})
    said = charts.describe(figure)
    assert "1 temporary; 1 result not settled" in said
    assert "plates on frame: temporary" in said
    assert "measure again: gearbox_mounting, plates came off" in said


@pytest.mark.practice
def test_every_joint_state_has_a_shape_of_its_own() -> None:
    from restonb.charts.joints import STANDINGS, STATES

    assert set(STATES) == {"apart", "dry-fitted", "temporary", "tightened", "final"}
    assert tuple(STANDINGS) == WORDS
    for marks in (STATES, STANDINGS):
        assert len({m.shape for m in marks.values()}) == len(marks)


@pytest.mark.practice
def test_bolts_carry_the_number_of_their_turn_at_their_place() -> None:
    nuts = Fastener(
        "foot nut", 4, torque=read("25 ft-lb"), stages=(read("10 ft-lb"), read("25 ft-lb")), order=("1", "3", "2", "4"),
        layout=((0, 120), (150, 120), (150, 0), (0, 0)), treatment="tab washer", source="notes, p. 30",
    )  # fmt: skip
    figure = charts.bolt_pattern(nuts, states={"1": 2, "3": 1})
    inside = {t.get_text(): t.get_position() for t in figure.axes[0].texts if t.get_ha() == "center"}
    assert inside["2"][0] > inside["1"][0]
    assert inside["2"][1] > inside["1"][1]
    said = charts.describe(figure)
    assert "1 of 4 at final torque; still to do: 2, 3 and 4" in said
    assert "10 ft-lb, 25 ft-lb" in said
    assert "3: turn 2, stage 1 of 2" in said


@pytest.mark.practice
def test_history_runs_by_date_and_shows_what_was_struck(look: Any, verdict: Any) -> None:
    slip = Reading("s", "gap", "foot 1", 0.09, "mm", occasion="as found", at="2026-01-10T10:05:00Z")
    now = [verdict(f"foot {n}", 0.02 * n / 3) for n in range(1, 5)]
    figure = charts.reading_history(history(), verdicts=now, struck=[slip])
    labels = [t.get_text() for t in figure.axes[1].get_xticklabels()]
    assert labels == ["2026-01-10\nas found", "2026-03-10\nafter rework"]
    text = look.said(figure)
    assert "1 struck" in text
    assert "now all 4 inside" in text
    assert any(line.get_marker() == "x" for line in figure.axes[1].lines)


@pytest.mark.practice
def test_the_worst_drop_is_named_and_the_sum_held_against_the_limit(look: Any) -> None:
    figure = charts.voltage_drop({"fuse": 0.31, "switch": 0.12, "earth": 0.1}, limit=0.5, each=0.2, what="lamp feed")
    assert charts.describe(figure).startswith("Lamp feed: 0.53 V lost, most of it at fuse: 0.31 V (58 %).")
    assert {"over by 0.03", "limit each 0.2", "limit in all 0.5"} <= set(look.texts(figure))
    part = charts.voltage_drop({"fuse": 0.31, "earth": None}, limit=0.5)
    assert "sum so far" in look.texts(part)
    assert not any("to spare" in t for t in look.texts(part))


@pytest.mark.practice
def test_charging_covers_the_loads_from_the_speed_where_the_lines_cross(look: Any) -> None:
    figure = charts.balance_bars({"lamp": 60, "ignition": 40}, {1000: 50, 2000: 90, 3000: 110}, U=3)
    assert "covers the loads of 100 W from about 2500 rpm" in charts.describe(figure)
    assert "sum of the loads 100 W" in look.texts(figure)
    close = charts.balance_bars({"lamp": 100}, {1000: 99}, U=3)
    assert "too close to call" in charts.describe(close)
    assert "falls 1 W short" in charts.describe(close)


def test_the_source_of_a_wear_limit_is_said_where_there_is_a_limit(look: Any) -> None:
    assert "Limit: a manual, page 3." in look.said(
        charts.wear_trend([(10, 5.0, 0.1)], None, 3.0, source="a manual, page 3")
    )
    assert "Limit: no source given." in look.said(charts.wear_trend([(10, 5.0, 0.1)], None, 3.0))
    assert "no source given" not in look.said(charts.wear_trend([(10, 5.0, 0.1)], None))


def test_shares_of_a_budget_are_those_of_the_squares(look: Any) -> None:
    """By hand: 3 and 4 make 5; 9/25 is 36 %, 16/25 is 64 %."""
    one, other = budget().as_data()[:2]
    filed = [one | {"contribution": 0.003}, other | {"contribution": 0.004}]
    assert {"36 %", "64 %"} <= set(look.texts(charts.budget_bars(filed, unit="mm")))
