"""Dates of making, as they are marked on hoses, tyres, belts and cans: read strictly, and kept with what they leave open.

A value is in days since 1970-01-01, the middle of the span that the mark names; its resolution is the length of that span.

    2019-06-15, 15 June 2019           a day
    23/19, 2319, week 23 2019, 2019-W23     a week (ISO 8601, Monday to Sunday)
    2019-06, June 2019                 a month
    1978, year 1938                    a year

Two digits of a year mean 1950 to 2049. Tyre rules may count weeks from the first Sunday of the year; such a week begins up to six
days after, or a day before, the week of the same number here.
"""

from __future__ import annotations

import math
import re
from datetime import date, timedelta

from restonb.errors import QuantityError
from restonb.quantity._text import quoted, tidy

__all__ = ["days_of", "read_date", "span_of", "write_date"]

EPOCH = date(1970, 1, 1)
_EXAMPLES = "write 2019-06-15, 'week 23 2019' (or the code 2319), 2019-06, or the year alone"
_MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
           "november", "december")  # fmt: skip
_OLDEST, _NEWEST = 1850, 2149
_BARE_YEARS = range(1950, 2050)
"""Four digits that are a year. Each of them that is a code as well names a week of that very year: 2019 is, or holds, week 20 of 2019.
Other four digits are the code of a week: 1823 is week 18 of 2023. But 1919 may be either."""
_WEEK = r"(?a)(?:week|wk) ?([0-9]{1,2}),? (?:of )?([0-9]{4}|[0-9]{2})|([0-9]{4}),? ?-?(?:week|wk|w) ?([0-9]{1,2})"


def read_date(text: str) -> tuple[float, float]:
    """The middle of the span that a mark names, in days since 1970-01-01, and the length of that span in days.

    Raises QuantityError, with what to write instead, for anything that could mean two spans, or none.
    """
    low = tidy(text).casefold()
    if found := re.fullmatch(_WEEK, low):
        number, of = (found[1], found[2]) if found[1] else (found[4], found[3])
        return _week(int(number), _year(of), text)
    if found := re.fullmatch(r"(?a)([0-9]{4})-([0-9]{1,2})(?:-([0-9]{1,2}))?", low):
        year, month = int(found[1]), int(found[2])
        return _day(year, month, int(found[3]), text) if found[3] else _month(year, month, text)
    if found := re.fullmatch(r"(?a)(?:([0-9]{1,2}) )?([a-z]{3,9})\.? ([0-9]{4})", low):
        named = [n for n, name in enumerate(_MONTHS, 1) if name.startswith(found[2])]
        if len(named) == 1:
            year, month = int(found[3]), named[0]
            return _day(year, month, int(found[1]), text) if found[1] else _month(year, month, text)
    if found := re.fullmatch(r"(?a)year ([0-9]{4})", low):
        return _whole_year(int(found[1]), text)
    if re.fullmatch(r"(?a)[0-9]{4}", low) and int(low) in _BARE_YEARS:
        return _whole_year(int(low), text)
    if re.fullmatch(r"(?a)19[0-9]{2}", low):
        raise QuantityError(
            f"{quoted(text)} may be a year or a week: write 'week 19 20{low[2:]}' or 'year {low}', whichever it is"
        )
    if found := re.fullmatch(r"(?a)([0-9]{2}) ?(/?) ?([0-9]{2})", low):
        return _code(int(found[1]), found[3], bool(found[2]), text)
    raise QuantityError(_why(low, text))


def write_date(value: float, u: float | None = None, resolution: float | None = None) -> str:
    """'2019, week 23', '2019-06', '1978' or '2019-06-15': as finely as the span that it stands for; each can be read again.

    Without `resolution`, the span follows from a standard or expanded uncertainty `u` in days; without both it is a day.
    Raises QuantityError for what no calendar holds.
    """
    try:
        day = EPOCH + timedelta(days=math.floor(value))
    except (OverflowError, ValueError):
        raise QuantityError(f"{value:g} days from 1970 is not a date: leave it out") from None
    # a span of d days has u = 0.29 d and U = 0.57 d; between two spans the boundary lies well apart from both
    width = resolution if resolution is not None else 2.6 * (u or 0.0)
    if width < 3:
        return day.isoformat()
    if width < 15:
        year, week, _ = day.isocalendar()
        return f"{year}, week {week}"
    if width < 150:
        return f"{day:%Y-%m}"
    return str(day.year) if day.year in _BARE_YEARS else f"year {day.year}"


def span_of(value: float, resolution: float | None) -> tuple[float, float]:
    """The span that a date stands for, both ends in days since 1970-01-01."""
    half = (resolution or 1.0) / 2
    return value - half, value + half


def days_of(day: date) -> int:
    """The beginning of a day, in days since 1970-01-01."""
    return (day - EPOCH).days


def _spread(first: date, length: int) -> tuple[float, float]:
    return days_of(first) + length / 2, float(length)


def _day(year: int, month: int, day: int, text: str) -> tuple[float, float]:
    try:
        return _spread(date(_possible(year, text), month, day), 1)
    except ValueError:
        raise QuantityError(
            f"{quoted(text)} is not a day of the calendar: write year-month-day, as in 2019-06-15"
        ) from None


def _month(year: int, month: int, text: str) -> tuple[float, float]:
    if not 1 <= month <= 12:
        raise QuantityError(
            f"{quoted(text)} has no month {month}: write 2019-06, or 'week {month} {year}' if it is a week"
        )
    first = date(_possible(year, text), month, 1)
    after = date(year + month // 12, month % 12 + 1, 1)
    return _spread(first, (after - first).days)


def _week(week: int, year: int, text: str) -> tuple[float, float]:
    """Week 53 is taken in every year: those that count from the first Sunday have one where ISO 8601 has none."""
    if not 1 <= week <= 53:
        raise QuantityError(f"{quoted(text)} names week {week}, and a year has weeks 1 to 53: {_EXAMPLES}")
    return _spread(date.fromisocalendar(_possible(year, text), 1, 1) + timedelta(weeks=week - 1), 7)


def _whole_year(year: int, text: str) -> tuple[float, float]:
    first = date(_possible(year, text), 1, 1)
    return _spread(first, (date(year + 1, 1, 1) - first).days)


def _code(week: int, year: str, slash: bool, text: str) -> tuple[float, float]:
    if slash and week <= 12:
        raise QuantityError(
            f"{quoted(text)} may be a week or a month: write 'week {week} {_year(year)}' or {_year(year)}-{week:02d}, "
            "whichever it is"
        )
    return _week(week, _year(year), text)


def _year(digits: str) -> int:
    year = int(digits)
    return year if len(digits) == 4 else year + (1900 if year >= 50 else 2000)


def _possible(year: int, text: str) -> int:
    if not _OLDEST <= year <= _NEWEST:
        raise QuantityError(f"{quoted(text)} has the year {year}, which cannot be right: {_EXAMPLES}")
    return year


def _why(low: str, text: str) -> str:
    if not low:
        return f"nothing was typed: {_EXAMPLES}"
    if found := re.fullmatch(r"(?a)([0-9]{2})([0-9])", low):
        week, year = found[1], found[2]
        return (
            f"{quoted(text)} is a code of three digits, from before 2000, and does not tell its decade: write the oldest that "
            f"it can be, such as 'week {int(week)} 198{year}' or 'week {int(week)} 197{year}'"
        )
    if re.fullmatch(r"(?a)[0-9]{1,2}[./-][0-9]{1,2}[./-](?:[0-9]{2}|[0-9]{4})", low):
        return f"{quoted(text)} does not tell day from month: write year-month-day, as in 2019-06-15"
    return f"{quoted(text)} is not a date of making that can be read: {_EXAMPLES}"
