"""Dates of making: what the mark on a hose, a tyre or a can means, what it leaves open, and what it must not be taken for."""

from __future__ import annotations

from datetime import date

import pytest

from restonb.errors import QuantityError
from restonb.quantity import Quantity, days_of, read, span_of, unit, unit_of_difference, write


def span(first: date, after: date) -> tuple[float, float]:
    """Middle in days since 1970-01-01, and length: counted by the calendar of the standard library."""
    start, end = (first - date(1970, 1, 1)).days, (after - date(1970, 1, 1)).days
    return (start + end) / 2, float(end - start)


WEEK = span(date(2019, 6, 3), date(2019, 6, 10))  # Monday to Monday


@pytest.mark.parametrize(
    ("text", "middle_and_length"),
    [
        *((text, WEEK) for text in ("23/19", "2319", "week 23 2019", "Week 23 of 2019", "wk 23 19", "2019-W23")),
        *((text, WEEK) for text in ("2019 week 23", "2019, week 23", " 23 / 19 ", "23 19")),
        ("0619", span(date(2019, 2, 4), date(2019, 2, 11))),
        ("1823", span(date(2023, 5, 1), date(2023, 5, 8))),  # no year: these digits are on a tyre of 2023
        ("2123", span(date(2023, 5, 22), date(2023, 5, 29))),
        ("2078", span(date(1978, 5, 15), date(1978, 5, 22))),
        ("2378", span(date(1978, 6, 5), date(1978, 6, 12))),  # two digits from 50 up are of the last century
        ("2019-06", span(date(2019, 6, 1), date(2019, 7, 1))),
        ("June 2019", span(date(2019, 6, 1), date(2019, 7, 1))),
        ("dec 2019", span(date(2019, 12, 1), date(2020, 1, 1))),
        ("2020-02", span(date(2020, 2, 1), date(2020, 3, 1))),  # a leap year
        ("2019-06-15", span(date(2019, 6, 15), date(2019, 6, 16))),
        ("15 June 2019", span(date(2019, 6, 15), date(2019, 6, 16))),
        ("1978", span(date(1978, 1, 1), date(1979, 1, 1))),
        ("2020", span(date(2020, 1, 1), date(2021, 1, 1))),
        ("year 1919", span(date(1919, 1, 1), date(1920, 1, 1))),
        ("1969", span(date(1969, 1, 1), date(1970, 1, 1))),
    ],
)
def test_a_mark_is_read_as_the_span_that_it_leaves(text: str, middle_and_length: tuple[float, float]) -> None:
    got = read(text, "date")
    assert (got.value, got.resolution) == middle_and_length
    assert got.typed == text.strip()
    assert got.kind == "date"


# The examples of the standard for weeks at the turn of a year: 2008-12-29 is day 1 of week 1 of 2009, and 2010-01-03 day 7 of week
# 53 of 2009.
@pytest.mark.recalled("ISO 8601:2004, 4.1.4 and its examples of week dates")
@pytest.mark.parametrize(
    ("week", "first", "after"),
    [("2009-W01", date(2008, 12, 29), date(2009, 1, 5)), ("week 53 2009", date(2009, 12, 28), date(2010, 1, 4))],
)
def test_weeks_are_those_of_the_standard(week: str, first: date, after: date) -> None:
    got = read(week, "date")
    assert span_of(got.value, got.resolution) == (days_of(first), days_of(after))


# '01' is the first full calendar week of the year, Sunday to Saturday.
@pytest.mark.recalled("49 CFR 574.5, the date code of tyres")
@pytest.mark.parametrize("year", range(2000, 2040))
def test_a_tyre_rule_that_counts_from_the_first_sunday_is_six_days_off_at_most(year: int) -> None:
    sunday = next(date(year, 1, n) for n in range(1, 8) if date(year, 1, n).weekday() == 6)
    got = read(f"week 1 {year}", "date")
    assert -1 <= days_of(sunday) - span_of(got.value, got.resolution)[0] <= 6


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("5419", "names week 54, and a year has weeks 1 to 53"),
        ("0019", "names week 0"),
        ("06/19", "write 'week 6 2019' or 2019-06"),  # some hoses bear month and year
        ("239", "before 2000, and does not tell its decade: write the oldest"),
        ("1919", "write 'week 19 2019' or 'year 1919'"),
        ("2019-13", "has no month 13: write 2019-06, or 'week 13 2019'"),
        ("2019-02-30", "not a day of the calendar: write year-month-day"),
        ("15/06/2019", "does not tell day from month: write year-month-day"),
        ("10/1/74", "does not tell day from month"),
        ("12.6.19", "does not tell day from month"),
        ("week 23", "write 2019-06-15"),
        ("19", "write 2019-06-15"),
        ("year 1750", "the year 1750, which cannot be right"),
        ("week 3 3019", "the year 3019, which cannot be right"),
        ("not marked", "write 2019-06-15"),
        ("", "nothing was typed"),
        ("0.25 mm", "write 2019-06-15"),
    ],
)
def test_what_could_mean_two_things_or_none_is_refused_with_what_to_write(text: str, says: str) -> None:
    with pytest.raises(QuantityError) as refused:
        read(text, "date")
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_number_of_dates_is_no_quantity() -> None:
    for text in ("5 date", "2019 date"):
        with pytest.raises(QuantityError, match="not a date"):
            read(text)
    with pytest.raises(QuantityError):
        read("2319", "date").to("year")


@pytest.mark.parametrize("text", ["2019, week 23", "2019-06", "2019-06-15", "1978", "year 1919"])
def test_it_is_written_as_finely_as_it_is_known_and_read_again(text: str) -> None:
    got = read(text, "date")
    assert got.write() == str(got) == text


def test_a_code_that_is_read_as_a_year_is_a_week_of_that_year() -> None:
    for short in range(50):
        year = read(f"20{short:02d}", "date")
        week = read(f"week 20 20{short:02d}", "date")
        (first, last), (start, end) = span_of(year.value, year.resolution), span_of(week.value, week.resolution)
        assert first <= start < end <= last


def test_without_its_span_it_is_written_by_its_uncertainty() -> None:
    got = read("2319", "date")
    # a week is rectangular over 7 days: u = 7 / sqrt(12) = 2.02 d, U = 1.96 u = 3.96 d
    assert write(got.value, "date", 2.02) == write(got.value, "date", 3.96) == "2019, week 23"
    # a month: 8.8 d and 17 d; a year: 105 d and 207 d
    assert write(got.value, "date", 8.8) == write(got.value, "date", 17.2) == "2019-06"
    assert write(got.value, "date", 105.0) == write(got.value, "date", 207.0) == "2019"
    assert write(got.value, "date") == "2019-06-06"
    with pytest.raises(QuantityError, match="not a date"):
        write(1e12, "date")


def test_the_difference_of_dates_is_in_days() -> None:
    assert unit_of_difference("date") == "d"
    assert unit_of_difference("mm") == "mm"
    assert unit("date").ucum == "d{since_1970-01-01}"
    assert Quantity(0.5, "date", "", 1.0).write() == "1970-01-01"
