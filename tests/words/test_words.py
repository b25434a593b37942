"""The one home of words: lists, counted nouns, near names and times of a clock face."""

from __future__ import annotations

import pytest

from restonb.words import clock_degrees, clock_time, counted, did_you_mean, listed, near, nearest, slip_of


@pytest.mark.parametrize(
    ("names", "most", "last", "text"),
    [
        ([], None, "and", ""),
        (["a"], 1, "and", "a"),
        (["a", "b"], None, "and", "a and b"),
        (["a", "b", "c"], 3, "or", "a, b or c"),
        (list("abcdef"), 4, "and", "a, b, c and 3 more"),
        (list("abcdef"), 4, "or", "a, b, c or 3 more"),
        (["name", "rule"], 4, ",", "name, rule"),
        (list("abcdef"), 4, ",", "a, b, c and 3 more"),
    ],
)
def test_a_list_reads_as_a_person_says_it(names: list[str], most: int | None, last: str, text: str) -> None:
    assert listed(names, most, last) == text


def test_nouns_are_counted() -> None:
    assert [counted(n, "place") for n in (0, 1, 12_000)] == ["0 places", "1 place", "12 000 places"]
    assert counted(2, "entry", "entries") == "2 entries"


def test_near_names_forgive_capitals_and_what_stands_between_words() -> None:
    known = ["gearbox_mounting", "gearbox_end_float", "clutch"]
    assert near("Gearbox Mountin", known) == ["gearbox_mounting"]
    assert nearest("CLUTHC", known) == "clutch"
    assert nearest("valve", known) == ""
    assert near("gearbox", known, 3) == ["gearbox_mounting"]


def test_a_guess_is_offered_or_all_is_told() -> None:
    assert did_you_mean("cluch", ["clutch", "wheels"]) == "did you mean clutch?"
    assert did_you_mean("x", ["clutch", "wheels"]) == "write one of clutch, wheels"
    assert did_you_mean("x", []) == "there is none yet"


@pytest.mark.parametrize(
    ("word", "slip"),
    [
        ("fet", "feet"),
        ("feett", "feet"),
        ("onec", "once"),
        ("feat", "feet"),
        ("afer rework", "after rework"),
        ("left", ""),
        ("as sound", "as found"),
        ("b", ""),
        ("before rework", ""),
        ("after running in", ""),
        ("", ""),
    ],
)
def test_only_a_slip_is_refused(word: str, slip: str) -> None:
    assert slip_of(word, ["feet", "once", "after rework", "as found", "running in", "a"]) == slip


@pytest.mark.parametrize(
    ("name", "degrees"),
    [
        ("12:00", 0),
        ("1:30", 45),
        ("9:00", 270),
        ("3:00 o'clock", 90),
        ("0:30", None),
        ("13:00", None),
        ("1:60", None),
        ("left", None),
    ],
)
def test_a_time_of_a_clock_face_is_an_angle(name: str, degrees: float | None) -> None:
    assert clock_degrees(name) == degrees


def test_an_angle_is_a_time_to_so_many_minutes() -> None:
    assert [clock_time(a) for a in (0, 45, 359.9, -90)] == ["12:00", "1:30", "12:00", "9:00"]
    assert [clock_time(a, 15) for a in (4, 44, 356)] == ["12:15", "1:30", "11:45"]
