"""What a verdict may be called: its word, on which side it is outside, what a doubt does to it, and which raw rows count."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from restonb.measure import Characteristic, Reading, Verdict, Verdicts, check, verdict_on
from restonb.measure.verdict_table import without_raw

EXACT = {}
"""No gauge is named and nothing typed: judged by the value alone."""


def size(**limits: float) -> Characteristic:
    return Characteristic("toy", "size", "a size", "once", "mm", **limits)  # type: ignore[arg-type]


def reading(key: str, position: str, value: float, seq: int = 1, unit: str = "mm") -> Reading:
    return Reading("toy", key, position, value, unit, seq=seq)


def judged(spec: Characteristic, value: float) -> Verdict:
    return check(spec, [reading(spec.key, "once", value)], EXACT)[0]


# By hand, from what the words mean: 'up' wears beyond upper, 'down' below lower; the wear limit takes the place of that limit.
@pytest.mark.parametrize(
    ("limits", "value", "verdict", "side"),
    [
        ({"lower": 1.0, "upper": 2.0}, 2.1, "outside", "above"),
        ({"lower": 1.0, "upper": 2.0}, 0.9, "outside", "below"),
        ({"lower": 1.0, "upper": 2.0}, 2.0, "inside", ""),
        ({"upper": 2.0}, 3.0, "outside", "above"),
        ({"lower": 1.0}, 0.5, "outside", "below"),
        # a bore: new 68.00 to 68.02, worn out at 68.10
        ({"lower": 68.0, "upper": 68.02, "wear_limit": 68.1}, 68.05, "inside", ""),
        ({"lower": 68.0, "upper": 68.02, "wear_limit": 68.1}, 68.11, "outside", "above"),
        ({"lower": 68.0, "upper": 68.02, "wear_limit": 68.1}, 67.9, "outside", "below"),
        # a lining: new 4.8 to 5.2, worn out at 2
        ({"lower": 4.8, "upper": 5.2, "wear_limit": 2.0}, 3.0, "inside", ""),
        ({"lower": 4.8, "upper": 5.2, "wear_limit": 2.0}, 1.9, "outside", "below"),
        ({"lower": 4.8, "upper": 5.2, "wear_limit": 2.0}, 5.3, "outside", "above"),
        # nominal and wear limit alone
        ({"nominal": 180.0, "wear_limit": 181.0}, 181.5, "outside", "above"),
        ({"nominal": 180.0, "wear_limit": 181.0}, 179.0, "inside", ""),
        ({"nominal": 6.0, "wear_limit": 5.0}, 4.9, "outside", "below"),
        # nothing lies below a gap of 0, but a size that is negative is not a gap
        ({"lower": 0.0, "upper": 0.1}, 0.0, "inside", ""),
        ({"lower": 0.0, "upper": 0.1}, 0.2, "outside", "above"),
        ({"lower": 0.0, "upper": 0.1}, -0.01, "outside", "below"),
    ],
)
def test_outside_says_on_which_side(limits: dict[str, float], value: float, verdict: str, side: str) -> None:
    found = judged(size(**limits), value)
    assert (found.verdict, found.side) == (verdict, side)
    assert found.as_data()["side"] == side
    assert (found.to("in").verdict, found.to("in").side) == (verdict, side)


@pytest.mark.parametrize(
    ("limits", "value", "said"),
    [
        ({"lower": 4.8, "upper": 5.2, "wear_limit": 2.0}, 3.0, True),
        ({"lower": 4.8, "upper": 5.2, "wear_limit": 2.0}, 5.0, False),
        ({"lower": 68.0, "upper": 68.02, "wear_limit": 68.1}, 68.05, True),
        ({"nominal": 6.0, "upper": 6.5, "wear_limit": 5.0}, 5.5, False),  # there is no lower limit of a new part
        ({"nominal": 180.0, "lower": 179.0, "wear_limit": 181.0}, 180.5, False),
    ],
)
def test_worn_past_the_limits_of_a_new_part_is_said(limits: dict[str, float], value: float, said: bool) -> None:
    found = judged(size(**limits), value)
    assert found.verdict == "inside"
    assert ("beyond the new limits" in found.note) is said


@pytest.mark.parametrize(
    ("first", "second", "verdict", "side"),
    [(68.10, 68.00, "inside", ""), (68.00, 68.10, "outside", "below"), (68.50, 68.00, "outside", "above")],
)
def test_a_difference_may_be_outside_below_zero(first: float, second: float, verdict: str, side: str) -> None:
    clearance = size(lower=0.0, upper=0.2)._replace(key="play", positions="difference of bore and piston")
    found = check(clearance, [reading("bore", "once", first), reading("piston", "once", second, 2)], EXACT)[0]
    assert (found.verdict, found.side) == (verdict, side)


def test_a_temperature_in_another_unit_keeps_its_side() -> None:
    oil = Characteristic("toy", "oil", "oil", "once", "degC", lower=-10.0, upper=120.0)
    found = verdict_on(oil, "once", 130.0, "degC")
    assert (found.side, found.to("degF").side) == ("above", "above")
    assert verdict_on(oil, "once", -20.0, "degC").to("degF").side == "below"


@pytest.mark.parametrize(
    ("verdict", "word"),
    [
        ("inside", "in doubt"),
        ("too close to call", "in doubt"),
        ("no limit", "in doubt"),
        ("outside", "outside"),  # a doubt makes nothing good
        ("not measured", "not measured"),
    ],
)
def test_a_doubt_takes_away_what_is_good_and_nothing_else(verdict: str, word: str) -> None:
    row = Verdict(size(), "once", verdict)
    assert row.word == verdict
    doubted = replace(row, doubt="feeler failed its check")
    assert doubted.word == word
    assert (doubted.as_data()["verdict"], doubted.as_data()["doubt"]) == (verdict, "feeler failed its check")
    assert Verdicts((doubted,)).word == word
    assert word in str(Verdicts((doubted,)))
    assert "feeler failed its check" in Verdicts((doubted,))._repr_html_()


WORDS = ("outside", "too close to call", "in doubt", "not measured", "no limit", "inside")


def row_with(word: str, key: str = "size") -> Verdict:
    spec = size()._replace(key=key)
    return Verdict(spec, "once", "inside", doubt="bad gauge") if word == "in doubt" else Verdict(spec, "once", word)


@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=6))
def test_the_worst_word_is_that_of_the_table_in_any_order(words: list[str]) -> None:
    table = Verdicts(tuple(row_with(word, f"row_{n}") for n, word in enumerate(words)))
    assert table.word == min(words, key=WORDS.index)
    assert Verdicts(table.rows[::-1]).word == table.word
    assert Verdicts().word == "not measured"


def raw(key: str, verdict: str = "no limit", **more: str) -> Verdict:
    return Verdict(size()._replace(key=key), "once", verdict, **more)


def made(key: str, positions: str, verdict: str) -> Verdict:
    return Verdict(size(upper=1.0)._replace(key=key, positions=positions), "once", verdict)


@pytest.mark.parametrize("verdict", ["inside", "outside", "too close to call", "not measured"])
def test_a_raw_row_without_a_limit_is_settled_by_what_is_worked_out_from_it(verdict: str) -> None:
    table = Verdicts((raw("dial"), made("hop", "run-out of dial", verdict)))
    assert table.word == verdict
    assert [row.characteristic.key for row in without_raw(table.rows)] == ["hop"]


@pytest.mark.parametrize(
    "other",
    [
        made("hop", "run-out of dial", "no limit"),  # has no limit either
        made("hop", "run-out of another", "inside"),
        made("hop", "worked out", "inside"),  # does not say from what
        raw("hop", "inside"),
    ],
)
def test_else_a_raw_row_without_a_limit_counts(other: Verdict) -> None:
    assert Verdicts((raw("dial"), other)).word == "no limit"


def test_a_raw_row_counts_where_it_is_not_measured_outside_or_in_doubt() -> None:
    hop = made("hop", "run-out of dial", "inside")
    assert Verdicts((raw("dial", "not measured"), hop)).word == "not measured"
    assert Verdicts((raw("dial", "outside"), hop)).word == "outside"
    assert Verdicts((raw("dial", doubt="bad gauge"), hop)).word == "in doubt"


def test_what_is_worked_out_in_steps_settles_all_of_them() -> None:
    table = Verdicts(
        (
            raw("bore"),
            raw("piston"),
            made("play", "difference of bore and piston", "no limit"),
            made("share", "worked out from play", "inside"),
        )
    )
    assert table.word == "inside"
    assert len(without_raw(table.rows)) == 1


def test_rows_of_another_sheet_are_not_meant() -> None:
    other = raw("dial")
    other = replace(other, characteristic=other.characteristic._replace(sheet="elsewhere"))
    assert Verdicts((other, made("hop", "run-out of dial", "inside"))).word == "no limit"


def test_what_is_left_to_a_limit_must_be_proved_above_zero() -> None:
    left = size(lower=0.0)._replace(positions="worked out from thickness")
    # by hand: U = 1.96 * 0.05 = 0.098
    for value, word in (
        (0.11, "inside"),
        (0.05, "too close to call"),
        (-0.05, "too close to call"),
        (-0.11, "outside"),
    ):
        assert verdict_on(left, "once", value, "mm", 0.05).verdict == word
    assert verdict_on(left, "once", -0.11, "mm", 0.05).side == "below"


# -- float dust: what decimals add up to, not what binary floats make of them


@pytest.mark.parametrize("limits", [{"upper": 0.15}, {"lower": 0.15}, {"lower": 0.15, "upper": 0.15}])
@pytest.mark.parametrize("rule", ["prove", "simple"])
def test_a_sum_of_decimals_on_its_limit_is_on_it(limits: dict[str, float], rule: str) -> None:
    value = 0.55 + 0.30 - 0.70
    assert value != 0.15  # the float is off by its last digits
    assert verdict_on(size(**limits), "once", value, "mm", 0.0, rule).verdict == "inside"


def test_what_is_left_of_equal_numbers_is_nothing() -> None:
    value = 0.3 - 0.1 - 0.2
    assert value
    for limits in ({"upper": 0.0}, {"lower": 0.0}):
        found = verdict_on(size(**limits)._replace(positions="worked out"), "once", value, "mm", 0.0)
        assert (found.verdict, found.value) == ("inside", 0.0)


tenths = st.integers(1, 3000).map(lambda n: n / 1000)


@given(tenths, tenths, st.sampled_from(["upper", "lower"]))
def test_sums_and_differences_of_readings_have_no_dust(a: float, b: float, limit: str) -> None:
    taken = [reading("a", "once", a), reading("b", "once", b, 2)]
    for what, sign in (("sum", 1), ("difference", -1)):
        exact = (round(a * 1000) + sign * round(b * 1000)) / 1000  # counted in whole thousandths
        spec = size(**{limit: exact})._replace(key="c", positions=f"{what} of a and b")
        found = check(spec, taken, EXACT)[0]
        assert found.value == exact
        assert found.verdict == "inside"


@given(st.lists(tenths, min_size=2, max_size=9))
def test_a_spread_has_no_dust(values: list[float]) -> None:
    spec = size(upper=(round(max(values) * 1000) - round(min(values) * 1000)) / 1000)._replace(
        key="c", positions="spread of a"
    )
    found = check(spec, [reading("a", f"place {n}", v, n) for n, v in enumerate(values, 1)], EXACT)[0]
    assert found.value == spec.upper
    assert found.verdict == "inside"
