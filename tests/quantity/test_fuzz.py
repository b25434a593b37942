"""Whatever is typed, the answer is a quantity or a QuantityError; and what is written is read back."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import QuantityError
from restonb.quantity import (
    Quantity,
    convert,
    convert_difference,
    days_of,
    names_of,
    read,
    read_drill,
    read_thread,
    unit,
    units,
    write,
)

calm = settings(deadline=None)

BENCH_TEXT = st.text(alphabet="0123456789.,-+/ eE'\"#MxXUNCFBSWnoOmiµ°½ΩΩ″kVA%\t\n", max_size=24)
TEXT = BENCH_TEXT | st.text(max_size=60)
NAMES = st.sampled_from(sorted(units()))


@pytest.mark.parametrize(
    "reader", [read, lambda text: read(text, "mm"), lambda text: read(text, "date"), read_thread, read_drill, unit]
)
@calm
@given(text=TEXT)
def test_only_quantity_errors_on_one_line(reader: Callable[[str], Any], text: str) -> None:
    try:
        reader(text)
    except QuantityError as error:
        message = str(error)
        assert message
        assert len(message.splitlines()) == 1
        assert len(message) < 400


@calm
@given(text=TEXT, wanted=NAMES)
def test_what_is_read_is_finite_and_of_the_wanted_kind(text: str, wanted: str) -> None:
    try:
        got = read(text, wanted)
    except QuantityError:
        return
    assert math.isfinite(got.value)
    assert got.kind == unit(wanted).kind


VALUES = st.floats(min_value=-1e9, max_value=1e9, allow_nan=False).map(lambda x: round(x, 6))


@calm
@given(value=VALUES, name=NAMES.filter(lambda name: name != "date"), decimals=st.integers(0, 6))
def test_written_quantity_is_read_back(value: float, name: str, decimals: int) -> None:
    step = float(f"1e-{decimals}")
    text = write(value, name, resolution=step)
    back = read(text, name)
    assert back.unit == name
    assert abs(back.value - value) <= step / 2 * (1 + 1e-6) + 1e-15 * abs(value)
    assert back.resolution == step
    assert write(back.value, name, resolution=step) == text


@calm
@given(day=st.dates(date(1850, 1, 1), date(2149, 12, 31)), step=st.sampled_from([1.0, 7.0, 30.0, 365.0]))
def test_a_written_date_is_read_back_as_the_span_that_holds_it(day: date, step: float) -> None:
    value = days_of(day) + 0.5
    back = read(write(value, "date", resolution=step), "date")
    assert abs(back.value - value) < (back.resolution or 0) / 2
    assert write(back.value, "date", resolution=back.resolution) == write(value, "date", resolution=step)


@calm
@given(value=VALUES, u=st.floats(min_value=1e-6, max_value=1e6))
def test_written_value_is_right_within_the_uncertainty(value: float, u: float) -> None:
    back = read(write(value, "mm", u=u)).value
    assert abs(back - value) <= 0.051 * u + 1e-12 * abs(value)
    assert not write(value, "mm", u=u).startswith("-0.0 ")


def pairs() -> st.SearchStrategy[tuple[str, str]]:
    return NAMES.flatmap(lambda a: st.tuples(st.just(a), st.sampled_from(names_of(unit(a).kind))))


@calm
@given(value=VALUES, pair=pairs())
def test_there_and_back(value: float, pair: tuple[str, str]) -> None:
    a, b = pair
    again = convert(convert(value, a, b), b, a)
    scale = abs(unit(a).offset / unit(a).factor)
    assert again == pytest.approx(value, rel=1e-12, abs=1e-12 * scale + 1e-300)


@calm
@given(low=VALUES, high=VALUES, pair=pairs())
def test_difference_converts_as_the_difference_of_values(low: float, high: float, pair: tuple[str, str]) -> None:
    a, b = pair
    direct = convert_difference(high - low, a, b)
    indirect = convert(high, a, b) - convert(low, a, b)
    spread = abs(convert(high, a, b)) + abs(convert(low, a, b))
    assert direct == pytest.approx(indirect, rel=1e-9, abs=1e-12 * spread)


@calm
@given(thousandths=st.integers(-(10**6), 10**6))
def test_inch_reading_is_the_same_in_mm(thousandths: int) -> None:
    typed = f"{thousandths / 1000:.3f} in"
    in_mm = read(typed).to("mm")
    assert in_mm.value == thousandths * 254 / 10000
    assert in_mm.to("in").value == pytest.approx(thousandths / 1000, rel=1e-15)


@calm
@given(whole=st.integers(0, 99), n=st.integers(1, 63))
def test_fractions_of_an_inch(whole: int, n: int) -> None:
    for text in (f"{whole} {n}/64 in", f'{whole}-{n}/64"', f"{whole}\u2013{n}\u204464 in"):
        assert read(text).value == whole + n / 64


@calm
@given(value=VALUES, pair=pairs())
def test_quantity_keeps_what_was_typed(value: float, pair: tuple[str, str]) -> None:
    a, b = pair
    assert Quantity(value, a, "as typed", 0.5).to(b).typed == "as typed"
