"""How old a thing is on a day, from the mark of its making, and what the mark leaves open."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest

from restonb.errors import PositionError, QuantityError
from restonb.measure import Characteristic, Reading, check, derived
from restonb.measure.verdict_table import uncertainty_text, value_text
from restonb.quantity import read

MADE = Characteristic("hoses", "made", "date on the hose", "front, rear", "date")
AGE = Characteristic("hoses", "age", "age of the hose", "age of made", "year", upper=5.0, safety=True)


def marks(**typed: str) -> list[Reading]:
    found = []
    for seq, (position, text) in enumerate(typed.items(), 1):
        q = read(text, "date")
        found.append(Reading("hoses", "made", position, q.value, q.unit, q.typed, q.resolution, seq=seq))
    return found


def age(on: date | None, row: Characteristic = AGE, **typed: str):
    return check(row, marks(**typed), {}, base=[MADE], today=on)


def test_it_is_counted_in_years_of_365_25_days_with_what_the_mark_leaves_open() -> None:
    (front, rear) = age(date(2022, 6, 5), front="2019-06-05", rear="2019-06")
    # by hand: 1096 days; 1096 / 365.25 = 3.0007 years. A day is rectangular: 1 / sqrt(12) / 365.25 = 0.00079 years
    assert front.value == pytest.approx(3.0007, abs=1e-4)
    assert front.u == pytest.approx(1 / math.sqrt(12) / 365.25)
    # the middle of June 2019 is the end of the 15th: 1085.5 + ... days to the middle of 2022-06-05 = 1086 - 0.5
    assert rear.value == pytest.approx(1085.5 / 365.25)
    assert rear.u == pytest.approx(30 / math.sqrt(12) / 365.25)
    assert front.verdict == rear.verdict == "inside"
    assert value_text(rear) == "2.972 years"  # U = 0.047 years


@pytest.mark.parametrize(
    ("on", "word"),
    [
        # week 23 of 2019 is 2019-06-03 to 06-09. U = 1.96 * 7 / sqrt(12) = 3.96 d; 5 years are 1826.25 d from 06-06 12:00, that is
        # 2024-06-05 18:00
        (date(2024, 5, 31), "inside"),
        (date(2024, 6, 5), "too close to call"),
        (date(2024, 6, 8), "too close to call"),
        (date(2024, 6, 10), "outside"),
        (date(2034, 1, 1), "outside"),
    ],
)
def test_it_is_judged_on_the_day_that_is_asked(on: date, word: str) -> None:
    (front, rear) = age(on, front="2319")
    assert front.verdict == word
    assert (rear.verdict, rear.value) == ("not measured", None)
    if word == "too close to call":
        assert "date of making" in front.settle
    if word == "outside":
        assert front.side == "above"


def test_the_simple_rule_takes_the_middle_of_the_span() -> None:
    for on, word in ((date(2024, 6, 5), "inside"), (date(2024, 6, 6), "outside")):
        assert check(AGE, marks(front="2319"), {}, "simple", base=[MADE], today=on)[0].verdict == word


def test_without_a_day_no_age_is_said() -> None:
    (front, _) = age(None, front="2319")
    assert (front.verdict, front.value) == ("not measured", None)


def test_what_is_dated_ahead_of_the_day_is_not_young() -> None:
    (front, _) = age(date(2019, 6, 2), front="2319")
    assert front.verdict == "not measured"
    assert "ahead of 2019-06-02" in front.note


@pytest.mark.parametrize("on", [date(2019, 6, 3) + timedelta(days=n) for n in range(8)])
def test_within_the_span_itself_it_is_new_and_never_younger_than_nothing(on: date) -> None:
    (front, _) = age(on, front="2319")
    assert front.verdict == "inside"
    assert front.value is not None
    assert 0 <= front.value * 365.25 <= 4.0  # at most from the middle of the week to the end of the day after it


def test_months_are_a_twelfth_of_a_year() -> None:
    (front, _) = age(date(2020, 6, 5), AGE._replace(unit="month", upper=24.0), front="2019-06-05")
    assert front.value == pytest.approx(366 / 365.25 * 12)


def test_a_date_shows_itself_and_its_uncertainty_in_days() -> None:
    (front, _) = check(MADE, marks(front="2319"), {})
    assert value_text(front) == "2019, week 23"
    assert uncertainty_text(front) == "4.0 d"
    assert front.verdict == "no limit"
    assert "instrument" not in front.note  # nobody measures a mark
    assert (
        check(MADE, marks(front="2319", rear="2020"), {}) + age(date(2022, 1, 1), front="2319", rear="2020")
    ).word == "inside"


def test_the_pattern_names_one_row_of_dates() -> None:
    asked = derived("age of made")
    assert asked is not None
    assert (asked.what, asked.of) == ("age", ("made",))
    with pytest.raises(PositionError, match="names 2 rows"):
        derived("age of made and bought")
    with pytest.raises(QuantityError):  # the spec book refuses such a row
        check(AGE._replace(positions="difference of made and bought"), marks(front="2319"), {}, base=[MADE])
