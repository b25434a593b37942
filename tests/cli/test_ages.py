"""A date of making from the terminal: taken, said back as it was understood, and its age in what `status` says."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

HEAD = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source\n"
ROWS = (
    'hoses,made,date on the hose,"front, rear",,,,,date,,yes,\n'
    'hoses,age,age of the hose,age of made,,,5,,year,,yes,"own rule, p. 1"\n'
)


@pytest.fixture
def hoses(build: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Answers with the way to set the clock."""
    (build / "specs" / "brakes.csv").write_text(HEAD + ROWS)
    spec = build / "specs" / "drivetrain.csv"
    spec.write_text(spec.read_text().replace("feeler,yes", "feeler,"))

    def on(day: str) -> None:
        moment = datetime.fromisoformat(f"{day}T18:00:00").replace(tzinfo=UTC)
        monkeypatch.setattr("restonb.record._journal._now", lambda: moment)

    on("2026-03-01")
    return on


def test_a_mark_is_taken_and_said_back_as_it_was_understood(hoses: Callable, say: Callable) -> None:
    said = say("read", "hoses", "made", "front=2319", "rear=2019-06")
    assert said.code == 0
    assert "made, front: read as 2019, week 23," in said.out
    assert "made, rear: read as 2019-06," in said.out
    assert "look again" not in said.out
    out = say("read", "hoses").out
    assert "front  2319 (as found" in out
    assert "age: age of the hose; to 5 years; worked out: age of made" in out
    (front, _) = say("read", "hoses", "made", "--json").data
    assert (front["value"], front["unit"], front["reading"]) == (18053.5, "date", "2319")


def test_what_is_ahead_of_the_day_is_taken_and_remarked_on(hoses: Callable, say: Callable) -> None:
    said = say("read", "hoses", "made", "front=2327")
    assert said.code == 0
    assert "look again: 2027, week 23 is ahead of 2026-03-01" in said.out


def test_a_code_of_three_digits_is_refused_with_what_to_write(hoses: Callable, say: Callable) -> None:
    said = say("read", "hoses", "made", "front=239")
    assert said.code == 2
    assert "does not tell its decade" in said.err
    assert "front=week 23 2019" in say("read", "hoses", "made", "2319").err


def test_nobody_reads_an_age(hoses: Callable, say: Callable) -> None:
    assert "enter the readings of made" in say("read", "hoses", "age", "front=3").err


def test_status_names_the_hose_that_grew_too_old(hoses: Callable, say: Callable) -> None:
    say("read", "hoses", "made", "front=23/22", "rear=23/25")
    assert say("run", "measuring_sheet", "-p", "sheet=hoses").code == 0
    young = say("status", "--json").data
    assert [row for row in young["gate"]["blocking"] if "age" in row] == []
    hoses("2028-01-01")
    old = say("status", "--json")
    assert old.code == 1
    assert [row for row in old.data["gate"]["blocking"] if "age" in row]


def test_the_spec_book_says_what_does_not_go_with_dates(hoses: Callable, build: Path, say: Callable) -> None:
    rows = (
        "hoses,made,date on the hose,once,,,2030,,date,,,x\n"
        "hoses,bought,date of the bill,once,,,,,date,,,\n"
        "hoses,length,length,once,,,,,mm,,,\n"
        "hoses,a,age,age of bought,,,5,,mm,,,x\n"
        "hoses,b,age,age of length,,,5,,year,,,x\n"
        "hoses,c,spread,spread of bought,,,5,,date,,,x\n"
        "hoses,d,difference,difference of bought and length,,,5,,year,,,x\n"
    )
    (build / "specs" / "brakes.csv").write_text(HEAD + rows)
    err = say("status").err
    assert "a limit '2030' on a date; leave it empty, and write the limit into a row 'age of made'" in err
    assert err.count("give it the unit year or month") == 1
    assert "give 'length', which is read as the date of making, the unit date" in err
    assert "write 'age of bought' with the unit year or month" in err
