"""A clock that goes backwards, and files that people edit while something runs."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import kill
import pytest

from restonb import log
from restonb.record import Record, enter_readings, in_force, readings, standing, verify
from restonb.stated import Build

NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)


class Clock:
    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


def test_what_was_entered_last_holds_whatever_the_clock_said(build: Build, clock: Clock) -> None:
    with Record.open(build, clock) as record:
        enter_readings(record, build, "toy", "gap", {"1": "0.05"}, occasion="as left")
        clock.now = NOON - timedelta(days=400)  # a flat clock battery
        enter_readings(record, build, "toy", "gap", {"1": "0.01"}, occasion="as left")
        newest = next(r for r in in_force(record, "toy", "gap") if r.position == "foot 1")
        assert newest.typed == "0.01"
        assert verify(record.path).ok
        order = [r.seq for r in readings(record, "toy")]
        assert order == sorted(order)


def test_a_view_of_an_earlier_day_is_always_a_beginning_of_the_record(build: Build, clock: Clock) -> None:
    with Record.open(build, clock) as record:
        for hours in (0, 48, -72, 24, -24, 96):
            clock.now = NOON + timedelta(hours=hours)
            record.append("note", {"text": str(hours)})
        every = [e.seq for e in record.entries()]
        for day in range(-4, 6):
            when = (NOON + timedelta(days=day)).date()
            seen = [e.seq for e in record.entries(as_of=when)]
            assert seen == every[: len(seen)]
            assert record.upto(when) == (seen[-1] if seen else 0)


def test_a_run_is_stale_after_newer_readings_even_if_they_bear_an_earlier_time(build: Build, clock: Clock) -> None:
    with Record.open(build, clock) as record:
        assert log.run(build, record, "toy").good
        clock.now = NOON - timedelta(days=1)
        enter_readings(record, build, "toy", "gap", {"1": "0.04"})
        (sheet,) = standing(record, build).in_state("out of date")
        assert sheet.sheet == "toy"
        again = log.run(build, record, "toy")
        assert again.folder.startswith("log/2026-03-13/")
        assert not standing(record, build).in_state("out of date")


EDITS = (
    "from pathlib import Path\nimport os\npath = Path(os.environ['RESTONB_BUILD']) / 'specs' / 'drivetrain.csv'\n"
    "path.write_text(path.read_text().replace(',0.05,', ',0.09,'))"
)


def test_a_limit_edited_while_a_run_is_going_on_makes_it_out_of_date(build: Build) -> None:
    """The run states the limits that it was started with; it is not good any more the moment that it is filed."""
    kill.write_notebook(build, "toy", "size = 2", EDITS, kill.CELLS[1])
    with Record.open(build) as record:
        done = log.run(build, record, "toy")
        assert done.good
        edited = Build.open(build.folder)
        assert next(iter(edited.specs)).upper != next(iter(build.specs)).upper
        (sheet,) = standing(record, edited).in_state("out of date")
        assert sheet.sheet == "toy"


def test_limits_that_cannot_be_read_any_more_make_the_run_a_failed_one(build: Build) -> None:
    broken = EDITS.replace("',0.09,'", "',as large as you like,'")
    kill.write_notebook(build, "toy", "size = 2", broken, "from restonb import bench\nbench.sheet('toy').check('gap')")
    with Record.open(build) as record:
        done = log.run(build, record, "toy")
    assert done.state == "failed"
    assert done.cell == 3
    assert "drivetrain.csv" in done.reason
