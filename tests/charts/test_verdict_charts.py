"""What the charts of verdicts draw and say: limits, units, date, n, words; nothing squashed, nothing on top of another."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from matplotlib.figure import Figure

from restonb import charts
from restonb.charts._scale import view
from restonb.measure import Characteristic, Reading, Verdict, Verdicts, expand, layout, worst

Make = Callable[..., dict[str, Any]]
Filed = list[dict[str, Any]]

KINDS = [
    charts.tolerance_bars,
    charts.position_map,
    lambda v: charts.before_after(v, [{**r, "occasion": "after rework"} for r in v]),
]


def links(verdict: Make) -> Filed:
    rows = [verdict(f"link {n}", 9.50 + 0.001 * n, lower=9.3, upper=9.7) for n in range(1, 81)]
    rows[40] |= {"value": 14.2, "verdict": "outside"}
    rows[60] |= {"value": None, "verdict": "not measured"}
    return rows


def hard_cases(verdict: Make) -> dict[str, Filed]:
    bore = [(f"depth {d}mm / axis {a}") for d in (10, 40, 70) for a in "AB"]
    long = "rear engine plate to frame lug, left hand side, upper stud (the long one)"
    return {
        "nothing at all": [],
        "one position": [verdict("once", 13.2, "outside", lower=14.0, upper=14.8, unit="V")],
        "all not measured": [verdict(f"foot {n}", None, "not measured", U=None) for n in range(1, 5)],
        "80 links": links(verdict),
        "only an upper limit": [verdict(p, 0.05, lower=None) for p in ("12:00", "3:00", "6:00", "9:00")],
        "only a lower limit": [verdict(p, 3.1, lower=3.0, upper=None) for p in ("front", "rear")],
        "no limit": [verdict("front", 3.1, "no limit", lower=None, upper=None)],
        "wear limit": [verdict(p, 70.05, lower=70.0, upper=70.02, wear_limit=70.1, worn_in=38.0) for p in bore],
        "long names": [verdict(long, 0.05), verdict(long.replace("upper", "lower"), 0.2, "outside")],
        "no uncertainty": [verdict("front", 0.05, u=None, U=None)],
        "huge uncertainty": [verdict("front", 0.05, "too close to call", U=50.0), verdict("rear", 0.06)],
        "limits by position": [verdict(f"bolt {n}", 10.0 + n, lower=9.0 + n, upper=11.0 + n) for n in range(6)],
        "dollar signs": [verdict("cost $5 and $6_a", 0.05, what="$x^2$ is not a formula")],
    }


@pytest.fixture(params=range(3), ids=["tolerance_bars", "position_map", "before_after"])
def chart(request: pytest.FixtureRequest) -> Callable[[Filed], Figure]:
    return KINDS[request.param]  # type: ignore[no-any-return]


@pytest.mark.practice
def test_all_that_a_reader_needs_is_in_the_figure(
    look: Any, chart: Callable[[Filed], Figure], four_feet: Filed
) -> None:
    text = look.said(chart(four_feet))
    for word in ("inside", "too close to call", "outside", "not measured"):
        assert word in text
    for fact in ("limit 0 to 0.1 mm", "n = 3 of 4 measured", "2026-03-14", "workshop manual, page 42", "as found"):
        assert fact in text
    for number in ("0.020 ± 0.010", "0.095 ± 0.010", "0.210 ± 0.010"):
        assert number in text
    for n in range(1, 5):
        assert f"foot {n}" in text
    assert "What would settle foot 2: 4 more readings." in text


@pytest.mark.practice
@pytest.mark.parametrize("case", list(hard_cases(lambda *a, **k: {})))
def test_no_text_covers_another_or_leaves_the_page(
    look: Any, chart: Callable[[Filed], Figure], verdict: Make, case: str
) -> None:
    figure = chart(hard_cases(verdict)[case])
    assert look.overlapping(figure) == []
    assert look.beyond(figure) == []
    assert figure.get_size_inches()[0] == pytest.approx(7.0)


@pytest.mark.practice
def test_the_title_answers_and_the_worst_comes_first(four_feet: Filed) -> None:
    title = charts.describe(charts.tolerance_bars(four_feet))
    assert title.startswith(
        "Gap under gearbox foot: 1 of 4 outside (foot 3), 1 too close to call, 1 not measured, 1 inside."
    )
    assert "all 2" not in charts.describe(charts.tolerance_bars(four_feet[:1] * 2))


@pytest.mark.practice
def test_positions_are_named_from_the_top_down_in_their_order(four_feet: Filed) -> None:
    figure = charts.tolerance_bars(four_feet)
    page = figure.axes[0]
    heights = {t.get_text(): t.get_position()[1] for t in page.texts}
    assert heights["foot 1"] < heights["foot 2"] < heights["foot 3"] < heights["foot 4"]


@pytest.mark.practice
def test_limits_stand_at_their_values_with_their_names(look: Any, verdict: Make) -> None:
    figure = charts.tolerance_bars([verdict("once", 70.05, lower=70.0, upper=70.02, wear_limit=70.1)])
    drawn = {float(line.get_xdata()[0]) for line in figure.axes[1].lines if len(set(line.get_xdata())) == 1}
    assert {70.0, 70.02, 70.1} <= drawn
    assert {"lower 70", "upper 70.02", "wear limit 70.1", "mm"} <= set(look.texts(figure))


@pytest.mark.practice
def test_an_outlier_is_marked_off_scale_with_its_number_and_squashes_nothing(look: Any, verdict: Make) -> None:
    near = [verdict(f"foot {n}", 0.01 * n) for n in range(1, 8)]
    figure = charts.tolerance_bars([*near, verdict("foot 8", 99.0, "outside")])
    low, high = figure.axes[1].get_xlim()
    assert high < 0.3
    assert low <= 0.0
    assert "off scale: 99" in look.texts(figure)


@pytest.mark.practice
def test_a_value_far_from_its_limit_still_shows_both() -> None:
    low, high = view([13.2], [14.0, 14.8])
    assert low < 13.2 < 14.8 < high
    low, high = view([500.0], [14.0, 14.8])
    assert low < 14.0 < high


@pytest.mark.practice
def test_a_missing_value_is_neither_zero_nor_nan(look: Any, verdict: Make) -> None:
    rows = [verdict("foot 1", float("nan"), "not measured", U=None), verdict("foot 2", 0.05)]
    text = look.said(charts.tolerance_bars(rows))
    assert "nan" not in text
    assert "n = 1 of 2 measured" in text


@pytest.mark.practice
def test_live_verdicts_and_the_data_of_a_filed_run_draw_the_same(look: Any) -> None:
    about = Characteristic(
        "gearbox_mounting", "gap", "gap under gearbox foot", "feet 4", "mm", None, 0.0, 0.1, source="manual, page 42"
    )
    reading = Reading("gearbox_mounting", "gap", "foot 1", 0.05, "mm", typed="0.05", at="2026-03-14T10:00:00Z", seq=7)
    live = Verdicts(
        (
            Verdict(about, "foot 1", "inside", 0.05, 0.005, 0.01, 2.0, readings=(reading,)),
            Verdict(about, "foot 2", "not measured"),
        )
    )
    shown = look.texts(charts.tolerance_bars(live))
    assert shown == look.texts(charts.tolerance_bars(live.as_data(), date="2026-03-14"))
    assert "2026-03-14" in " ".join(shown)


@pytest.mark.practice
def test_charts_and_measure_agree_on_which_verdict_is_worse() -> None:
    from restonb.charts._look import WORST_FIRST

    known = [word for word in WORST_FIRST if word != "measure again"]  # that one is said by the record
    for n, word in enumerate(known):
        for better in known[n:]:
            assert worst([better, word]) == word


def test_what_is_in_doubt_is_not_drawn_as_inside(look: Any, verdict: Make) -> None:
    doubted = [
        verdict("foot 1", 0.02, "inside", doubt="its gauge failed"),
        verdict("foot 2", 0.3, "outside", doubt="so"),
    ]
    said = " ".join(look.texts(charts.tolerance_bars(doubted)))
    assert "1 of 2 outside (foot 2), 1 in doubt" in said
    assert "1 inside" not in said
    again = charts.tolerance_bars([{**verdict("foot 1", 0.02), "word": "measure again"}])
    assert "measure again" in " ".join(look.texts(again))


def test_limits_in_words_come_from_the_limits_and_not_from_their_words() -> None:
    from restonb.charts._rows import rows
    from restonb.charts._say import limits_of

    def said(**limits: Any) -> str:
        base = {"lower": None, "upper": None, "wear_limit": None, "unit": "mm", "verdict": "inside"}
        return limits_of(rows([base | limits]))

    assert said() == "no limit given"
    assert said(upper=0.1).startswith("limit at most 0.1")
    assert said(wear_limit=3.0).startswith("no limit given, wear limit 3")


@pytest.mark.practice
def test_the_guard_zone_is_not_drawn_where_the_rule_is_simple(look: Any, verdict: Make) -> None:
    assert "guard zone" in look.texts(charts.tolerance_bars([verdict("foot 1", 0.05)]))
    assert "guard zone" not in look.texts(charts.tolerance_bars([verdict("foot 1", 0.099)]))


@pytest.mark.practice
def test_many_positions_stand_side_by_side_with_the_bad_ones_named(look: Any, verdict: Make) -> None:
    rows = links(verdict)
    rows[10] |= {"value": 9.72, "verdict": "outside"}
    figure = charts.tolerance_bars(rows)
    assert figure.get_size_inches()[1] < 5
    text = look.said(figure)
    assert "link 11: 9.720" in text
    assert "off scale: 14.2" in text


@pytest.mark.practice
def test_several_characteristics_keep_their_own_units_and_limits(look: Any, verdict: Make) -> None:
    volts = verdict("once", 13.2, "outside", lower=14.0, upper=14.8, unit="V", characteristic="v", what="voltage")
    figure = charts.tolerance_bars([verdict(), volts])
    assert len(figure.axes) == 3
    assert [a.get_xlabel() for a in figure.axes[1:]] == ["mm", "V"]
    assert {"Gap under gearbox foot", "Voltage", "limit 14 to 14.8 V"} <= set(look.texts(figure))


@pytest.mark.practice
def test_places_lie_as_in_the_plan_that_is_given(look: Any, four_feet: Filed) -> None:
    plan = {"foot 1": (0, 0), "foot 2": (200, 0), "foot 3": (200, 50), "foot 4": (0, 50)}
    figure = charts.position_map(four_feet, plan)
    marks = [
        (float(line.get_xdata()[0]), float(line.get_ydata()[0]))
        for line in figure.axes[0].lines
        if line.get_markersize() > 12 and line.get_ydata()[0] > 0.5
    ]
    assert len(marks) == 4
    wide = max(x for x, _ in marks) - min(x for x, _ in marks)
    high = max(y for _, y in marks) - min(y for _, y in marks)
    assert wide / high == pytest.approx(4.0)
    assert "sketch" not in look.said(figure)
    assert "sketch" in look.said(charts.position_map(four_feet))


@pytest.mark.practice
@pytest.mark.parametrize(
    "pattern", ["once", "feet 4", "feet 6", "clock 8", "depth 10mm,40mm x axis A,B", "links 20", "AB,BC,CA"]
)
def test_every_pattern_of_the_spec_book_has_a_picture(look: Any, verdict: Make, pattern: str) -> None:
    names = expand(pattern)
    for points in (None, layout(pattern)):
        figure = charts.position_map([verdict(n, 0.05) for n in names], points)
        assert look.overlapping(figure) == []
        parts = {part for name in names for part in name.split(" / ")}
        assert parts <= set(look.texts(figure))


@pytest.mark.practice
def test_a_clock_face_runs_clockwise_from_the_top(verdict: Make) -> None:
    times = ("12:00", "3:00", "6:00", "9:00")
    words = ("inside", "outside", "too close to call", "not measured")
    figure = charts.position_map([verdict(t, 0.05, w) for t, w in zip(times, words, strict=True)])
    shapes = {
        line.get_marker(): (line.get_xdata()[0], line.get_ydata()[0])
        for line in figure.axes[0].lines
        if line.get_markersize() > 12
    }
    top, right, bottom, left = (shapes[m] for m in ("o", "X", "^", "s"))
    assert top[1] < right[1] < bottom[1]
    assert left[0] < top[0] < right[0]


@pytest.mark.practice
def test_before_and_after_names_the_rounds_and_counts_the_flips(look: Any, verdict: Make) -> None:
    old = [verdict("foot 1", 0.21, "outside"), verdict("foot 2", 0.05), verdict("foot 3", 0.05)]
    new = [
        verdict("foot 1", 0.05, occasion="after rework", at="2026-04-02T09:00:00Z"),
        verdict("foot 2", 0.3, "outside", occasion="after rework", at="2026-04-02T09:00:00Z"),
    ]
    figure = charts.before_after(old, new)
    text = look.said(figure)
    assert "1 better, 1 worse than before" in text.replace(" | ", " ")
    assert "foot 1 from outside to inside and foot 2 from inside to outside" in text.replace(" | ", " ")
    assert look.texts(figure).count("after rework") == 3
    assert "2026-03-14 to 2026-04-02" in text


@pytest.mark.practice
def test_before_and_after_takes_more_rounds_and_their_names(look: Any, verdict: Make) -> None:
    rounds = [[verdict("once", v)] for v in (0.01, 0.03, 0.05)]
    figure = charts.before_after(*rounds, names=["bought", "second fitting", "third fitting"])
    assert {"bought", "second fitting", "third fitting"} <= set(look.texts(figure))


def test_each_group_of_limits_names_its_own_source() -> None:
    from restonb.charts._rows import rows
    from restonb.charts._say import notes

    def row(what: str, source: str, **limits: Any) -> dict[str, Any]:
        base = {"lower": None, "upper": None, "wear_limit": None, "unit": "mm", "verdict": "inside", "position": "once"}
        return base | {"characteristic": what, "what": what, "source": source} | limits

    gap, lift = row("gap", "page 3", upper=0.1), row("lift", "page 5", upper=0.2)
    assert notes(rows([gap])) == ["Limit: page 3."]
    assert notes(rows([gap, lift])) == ["Limit for gap: page 3.", "Limit for lift: page 5."]
    assert notes(rows([row("gap", "page 3")])) == []
    assert notes(rows([row("gap", "page 3"), row("lift", "page 5")])) == []


@pytest.mark.parametrize("upright", [False, True])
def test_the_ground_of_a_row_reaches_over_its_guard_zones_and_no_further(verdict: Make, upright: bool) -> None:
    """By hand: 70.0 and 70.02 with 0.01 of expanded uncertainty on both sides."""
    from matplotlib.patches import Rectangle

    from restonb.charts._rows import rows
    from restonb.charts._scale import zones

    ax = Figure().add_subplot()
    (row,) = rows([verdict("once", 70.01, lower=70.0, upper=70.02)])
    zones(ax, row, 0.0, 1.0, (69.9, 70.1), upright)
    ends = [(p.get_y(), p.get_y() + p.get_height()) if upright else (p.get_x(), p.get_x() + p.get_width())
            for p in ax.patches if isinstance(p, Rectangle)]  # fmt: skip
    assert min(low for low, _ in ends) == pytest.approx(69.99, abs=1e-9)
    assert max(high for _, high in ends) == pytest.approx(70.03, abs=1e-9)
