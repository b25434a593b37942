"""Readings and limits in, a table of verdicts out."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from restonb.errors import MeasureError, PositionError, QuantityError
from restonb.measure import Characteristic, Reading, Verdict, Verdicts, check
from restonb.measure.verdict_table import limits_text

CALLIPER_U = math.sqrt(0.03**2 / 3 + 0.01**2 / 12)
"""Standard uncertainty of one reading with the calliper: its error rectangular, its step of 0.01 mm."""


def words(verdicts: Verdicts) -> list[str]:
    return [r.verdict for r in verdicts]


def test_one_row_per_position_in_order_and_not_measured_where_none(row, read, gauges) -> None:
    gap = row("feet 4", lower=0, upper=0.25)
    found = check(gap, read(gap, 0.10, None, 0.26, 0.60), gauges)
    assert [r.position for r in found] == ["foot 1", "foot 2", "foot 3", "foot 4"]
    assert words(found) == ["inside", "not measured", "too close to call", "outside"]
    assert found.word == "outside"
    assert found[1].value is found[1].u is found[1].reading is None


@pytest.mark.published("JCGM 100:2008 4.3.7 and F.2.2.1: rectangular error, resolution q/sqrt(12), k = 2")
def test_uncertainty_of_one_reading(row, read, gauges) -> None:
    gap = row(upper=1.0)
    found = check(gap, read(gap, 0.5), gauges)[0]
    assert found.u == pytest.approx(CALLIPER_U)
    assert found.k == 2
    assert pytest.approx(2 * CALLIPER_U) == found.U
    assert found.dof == math.inf


def test_gauge_in_inches_reads_a_row_in_millimetres(row, read, gauges) -> None:
    gap = row(upper=1.0, instrument="mic")
    found = check(gap, read(gap, 0.5), gauges)[0]
    assert found.u == pytest.approx(25.4 * math.sqrt(0.0001**2 / 3 + 0.0001**2 / 12))


def test_the_reading_names_its_own_gauge(row, read, gauges) -> None:
    gap = row(upper=1.0)
    found = check(gap, read(gap, 0.5, instrument="dial"), gauges)[0]
    assert found.u == pytest.approx(math.sqrt(0.01**2 / 3 + 0.01**2 / 12))


@pytest.mark.parametrize(
    ("gauge", "u", "says"),
    [
        (None, 0.1 / math.sqrt(12), "no instrument named"),
        ("lost", 0.1 / math.sqrt(12), "'lost' is not among the instruments"),
        ("unmarked", 0.02 / math.sqrt(12), "error of unmarked is not known"),
        ("meter", 0.1 / math.sqrt(12), "meter is stated in V, which says nothing of mm"),
    ],
)
def test_what_is_not_known_of_the_gauge_is_said(row, read, gauges, gauge: str | None, u: float, says: str) -> None:
    """Then the digits typed (0.5: to 0.1) are the resolution, unless the gauge states its own."""
    gap = row(upper=1.0, instrument=gauge)
    found = check(gap, read(gap, 0.5, resolution=0.1), gauges)[0]
    assert found.u == pytest.approx(u)
    assert says in found.note


def test_resolution_of_what_was_typed_is_in_its_own_unit(row, read, gauges) -> None:
    gap = row(upper=1.0, instrument=None)
    found = check(gap, read(gap, 10, unit="thou", resolution=1), gauges)[0]
    assert found.value == pytest.approx(0.254)
    assert found.u == pytest.approx(0.0254 / math.sqrt(12))


def test_a_value_of_which_no_uncertainty_is_known_is_marked(row, read, gauges) -> None:
    gap, plates = row(upper=1.0, instrument=None), row(upper=7, unit="count", instrument=None)
    assert "its uncertainty is not known" in check(gap, read(gap, 0.9), gauges)[0].note
    assert "its uncertainty is not known" not in check(plates, read(plates, 7), gauges)[0].note


@pytest.mark.practice
def test_what_is_counted_is_exact(row, read, gauges) -> None:
    """Seven plates of at least seven are enough, and need no proof, though 7 was typed without a decimal."""
    plates = row(unit="count", lower=7, instrument=None)
    assert check(plates, read(plates, 7, resolution=1), gauges)[0].verdict == "inside"
    assert check(plates, read(plates, 6, resolution=1), gauges)[0].verdict == "outside"


def test_simple_goes_by_the_value(row, read, gauges) -> None:
    gap = row("feet 4", lower=0.1, upper=0.25)
    readings = read(gap, 0.10, 0.25, 0.26, 0.09)
    assert words(check(gap, readings, gauges, "simple")) == ["inside", "inside", "outside", "outside"]
    assert words(check(gap, readings, gauges)) == ["too close to call"] * 4


def test_the_later_of_two_readings_counts(row, read, gauges) -> None:
    gap = row(upper=1.0)
    found = check(gap, [*read(gap, 3.0, start=1), *read(gap, 0.5, start=2)], gauges)[0]
    assert (found.value, found.reading.seq) == (0.5, 2)


def test_readings_of_other_rows_are_left_alone(row, read, gauges) -> None:
    gap, other = row("feet 2", upper=1.0), row("feet 2", key="bolt", upper=1.0)
    assert words(check(gap, read(other, 0.5, 0.5), gauges)) == ["not measured", "not measured"]


@pytest.mark.published("JCGM 100:2008 4.2: mean, s, s/sqrt(n), n - 1; G.4: Welch-Satterthwaite and t")
def test_repeats_give_one_verdict_of_their_mean(row, read, gauges) -> None:
    gap = row("repeat 4", upper=1.0)
    found = check(gap, read(gap, 0.50, 0.52, 0.54, 0.52), gauges)
    (only,) = found
    scatter = math.sqrt((0.02**2 + 0 + 0.02**2 + 0) / 3) / 2
    u = math.hypot(CALLIPER_U, scatter)
    assert only.position == "mean of 4"
    assert only.value == pytest.approx(0.52)
    assert only.u == pytest.approx(u)
    assert only.dof == pytest.approx(u**4 / (scatter**4 / 3))
    assert len(only.readings) == 4
    assert only.as_data()["seqs"] == [1, 2, 3, 4]


def test_repeats_do_not_lessen_the_error_of_the_gauge(row, read, gauges) -> None:
    gap = row("repeat 100", upper=1.0)
    assert check(gap, read(gap, *[0.5] * 100), gauges)[0].u == pytest.approx(CALLIPER_U)


def test_repeats_not_all_taken(row, read, gauges) -> None:
    gap = row("repeat 3", upper=1.0)
    found = check(gap, read(gap, 0.50, None, 0.52), gauges)[0]
    assert (found.position, found.value) == ("mean of 3", pytest.approx(0.51))
    assert "2 of 3 readings taken" in found.note
    assert check(gap, [], gauges)[0].verdict == "not measured"


def test_repeats_in_a_grid(row, read, gauges) -> None:
    gap = row("clock 4 x repeat 2", upper=1.0)
    found = check(gap, read(gap, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, None, None), gauges)
    assert [r.position for r in found] == [
        "12:00 / mean of 2",
        "3:00 / mean of 2",
        "6:00 / mean of 2",
        "9:00 / mean of 2",
    ]
    assert [r.value for r in found[:3]] == pytest.approx([0.15, 0.35, 0.55])
    assert found[3].verdict == "not measured"


def test_repeats_that_come_first_in_a_grid(row, read, gauges) -> None:
    """Round the axes once, then once more."""
    gap = row("repeat 2 x axis A,B", upper=1.0)
    found = check(gap, read(gap, 0.1, 0.5, 0.3, 0.7), gauges)
    assert {r.position: r.value for r in found} == pytest.approx({"axis A / mean of 2": 0.2, "axis B / mean of 2": 0.6})


@pytest.mark.practice
def test_wear_limit_decides_where_there_is_one_and_the_note_says_so(row, read, gauges) -> None:
    bore = row("cylinders 4", lower=70.00, upper=70.05, wear_limit=70.30)
    found = check(bore, read(bore, 70.02, 70.20, 70.31, 70.60), gauges)
    assert words(found) == ["too close to call", "inside", "too close to call", "outside"]
    assert found[1].note == "beyond the new limits; judged against the wear limit"
    assert found[1].worn_in == pytest.approx(60)
    assert found[0].worn_in == 0
    assert found[3].worn_in == pytest.approx(220)
    assert (found[1].lower, found[1].upper, found[1].wear_limit) == (70.00, 70.05, 70.30)


@pytest.mark.practice
def test_a_lower_limit_of_zero_need_not_be_proved_where_nothing_is_below(row, read, gauges) -> None:
    """A gap of 0 is as good as a gap can be; a voltage or a difference of sizes can be below 0."""
    gap = row(lower=0, upper=0.25)
    assert words(check(gap, read(gap, 0.0), gauges)) == ["inside"]
    assert words(check(gap, read(gap, -0.2), gauges)) == ["outside"]
    volts = row(unit="V", instrument="meter", lower=0, upper=5)
    assert words(check(volts, read(volts, 0.0), gauges)) == ["too close to call"]


def test_without_limits_nothing_is_judged(row, read, gauges) -> None:
    gap = row()
    found = check(gap, read(gap, 0.5), gauges)[0]
    assert (found.verdict, found.note, found.p_conform) == ("no limit", "no limit stated", None)


def test_no_acceptance_with_this_gauge(row, read, gauges) -> None:
    """U = 0.035 mm on each side of 0.05 mm. A gauge of 0.02 would have 2 x 0.02 x sqrt(1/3 + 1/12) = 0.0258, still too much."""
    journal = row(lower=20.00, upper=20.05)
    found = check(journal, read(journal, 20.025), gauges)[0]
    assert found.verdict == "too close to call"
    assert "no value could be inside with this gauge" in found.note
    assert "a gauge that shows 0.01 mm" in found.settle


def test_probability_of_conformity_is_beside_the_verdict(row, read, gauges) -> None:
    gap = row("feet 2", upper=0.25)
    on_limit, far = check(gap, read(gap, 0.25, 0.10), gauges)
    assert on_limit.p_conform == pytest.approx(0.5)
    assert far.p_conform > 0.999999


def test_unknown_position_names_the_entry(row, gauges) -> None:
    gap = row("feet 4", upper=1.0)
    with pytest.raises(
        PositionError, match=r"no position 'foot 5' \(entry 7\); strike it, or add the position to 'feet 4'"
    ):
        check(gap, [Reading("gearbox", "gap", "foot 5", 0.1, "mm", seq=7)], gauges)


def test_wrong_kind_of_unit_and_unknown_rule(row, read, gauges) -> None:
    gap = row(upper=1.0)
    with pytest.raises(QuantityError, match="V is a unit of voltage"):
        check(gap, read(gap, 0.5, unit="V"), gauges)
    with pytest.raises(MeasureError, match="write prove or simple"):
        check(gap, read(gap, 0.5), gauges, "strict")
    with pytest.raises(MeasureError, match="is not a reading; strike it"):
        check(gap, read(gap, math.nan), gauges)


sizes = st.integers(0, 600).map(lambda n: n / 1000)


@given(sizes, sizes, sizes, st.sampled_from(["calliper", "mic", "dial", None]), st.sampled_from(["prove", "simple"]))
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_same_verdict_in_mm_and_inch(
    row, read, gauges, size: float, a: float, b: float, gauge: str | None, rule: str
) -> None:
    """A row written in inches, a row in millimetres, and the reading typed in thou: one word, and the same numbers."""
    from restonb.quantity import convert

    low, high = sorted((a, b))
    metric = row(lower=low, upper=high, instrument=gauge)
    inch = row(unit="in", lower=convert(low, "mm", "in"), upper=convert(high, "mm", "in"), instrument=gauge)
    first = check(metric, read(metric, size, resolution=0.001), gauges, rule)[0]
    typed = read(metric, convert(size, "mm", "thou"), unit="thou", resolution=convert(0.001, "mm", "thou"))
    for spec, readings in ((inch, read(metric, size, resolution=0.001)), (metric, typed), (inch, typed)):
        second = check(spec, readings, gauges, rule)[0]
        assert second.verdict == first.verdict
        assert convert(second.value, spec.unit, "mm") == pytest.approx(first.value, abs=1e-12)
        assert convert(second.U, spec.unit, "mm") == pytest.approx(first.U, rel=1e-9)
        assert second.p_conform == pytest.approx(first.p_conform, abs=1e-6)


@given(st.lists(sizes, min_size=2, max_size=8), st.floats(1, 20))
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_worse_gauge_never_decides_what_a_better_one_left_open(
    row, read, gauges, values: list[float], worse: float
) -> None:
    gap = row(f"bolts {len(values)}", lower=0.2, upper=0.4)
    good = gauges["calliper"]
    bad = good._replace(error=good.error * worse, resolution=good.resolution * worse)
    sharp, blunt = (check(gap, read(gap, *values), {"calliper": g}) for g in (good, bad))
    assert all(b.verdict in (s.verdict, "too close to call") for s, b in zip(sharp, blunt, strict=True))


def test_table_as_data_is_json_with_the_names_agreed(row, read, gauges) -> None:
    gap = row("feet 2", lower=0, upper=0.25, safety=True)
    data = check(gap, read(gap, 0.1, None, occasion="as left"), gauges).as_data()
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    expected = "sheet characteristic what position value unit u U k dof lower upper wear_limit verdict worn_in p_conform settle"
    assert set(expected.split()) | {"occasion", "typed", "seq", "source", "safety"} <= data[0].keys()
    assert (data[0]["typed"], data[0]["seq"], data[0]["occasion"], data[0]["safety"]) == ("0.1", 1, "as left", True)
    assert data[0]["dof"] is None
    assert (data[1]["verdict"], data[1]["seq"], data[1]["value"]) == ("not measured", None, None)


def test_table_to_look_at(row, read, gauges) -> None:
    gap = row("feet 2", lower=0, upper=0.25, what="gap <under> foot", source="")
    found = check(gap, read(gap, 0.1, 0.26), gauges)
    frame = found.frame()
    assert list(frame["verdict"]) == ["inside", "too close to call"]
    assert list(Verdicts().frame().columns) == list(frame.columns)
    page = found._repr_html_()
    assert "gap &lt;under&gt; foot" in page
    assert "no source given" in page
    assert "0.260 mm" in page  # U = 0.035: two digits of it
    assert "≈ too close to call" in page
    assert "0 to 0.25 mm" in str(found)


def test_tables_join_and_are_asked_by_position(row, read, gauges) -> None:
    gap, bolt = row("feet 2", upper=0.25), row("feet 2", key="bolt", upper=1.0)
    both = check(gap, read(gap, 0.1, 0.1), gauges) + check(bolt, read(bolt, 0.1, 3.0), gauges)
    assert len(both) == 4
    assert both.at("foot 2", "bolt").verdict == "outside"
    assert both.budget("foot 1").u == pytest.approx(CALLIPER_U)
    with pytest.raises(MeasureError, match="there is foot 1, foot 2"):
        both.at("foot 9")
    with pytest.raises(MeasureError, match="nothing is measured"):
        check(gap, [], gauges).budget()


def test_table_in_the_units_of_the_reader(row, read, gauges) -> None:
    gap = row("feet 2", lower=0, upper=0.254, wear_limit=0.508)
    metric = check(gap, read(gap, 0.1, 0.5), gauges)
    inch = metric.to({"length": "in"})
    assert [r.unit for r in inch] == ["in", "in"]
    assert words(inch) == words(metric)
    assert inch[0].upper == pytest.approx(0.01)
    assert inch[0].wear_limit == pytest.approx(0.02)
    assert pytest.approx(metric[0].U / 25.4) == inch[0].U
    assert inch[0].u == pytest.approx(metric[0].u / 25.4)
    assert pytest.approx(inch[0].U) == inch[0].budget.U
    assert " in and errs by no more" in inch[1].settle
    assert inch[1].worn_in == metric[1].worn_in


def test_a_limit_in_another_unit_is_not_written_to_the_last_digit() -> None:
    """125 to 155 psi are 8.61845 to 10.6869 bar; a gauge good to 0.41 bar tells none of the last figures."""
    row = Characteristic("s", "c", "compression", "once", "psi", lower=125, upper=155)
    shown = Verdict(row, "once", "inside", 138.0, U=5.9).to("bar")
    assert limits_text(shown) == "8.62 to 10.69 bar"
    assert limits_text(Verdict(row, "once", "not measured")) == "125 to 155 psi"


def test_a_limit_as_it_was_written_is_never_rounded() -> None:
    fine = Characteristic("s", "b", "bore", "once", "mm", upper=0.05)
    assert limits_text(Verdict(fine, "once", "inside", 0.0, U=2.0)) == "at most 0.05 mm"
    long = Characteristic("s", "b", "drum", "once", "mm", lower=177.75, upper=177.95)
    assert limits_text(Verdict(long, "once", "inside", 177.8, U=0.5)) == "177.75 to 177.95 mm"
