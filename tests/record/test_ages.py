"""Ages after the run: a hose that was inside when the run was filed, and that is too old today, shuts the road."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from restonb import bench
from restonb.record import Record, enter_reading, enter_run, standing
from restonb.stated import Build

ROWS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
hoses,made,date on the hose,"front, rear",,,,,date,,yes,
hoses,age,age of the hose,age of made,,,5,,year,,yes,"own rule, p. 1"
"""


@pytest.fixture
def build(tmp_path: Path) -> Build:
    made = Build.create(tmp_path / "machine", "Wrenfield 450")
    for old in (made.folder / "specs").iterdir():
        old.unlink()
    (made.folder / "specs" / "brakes.csv").write_text(ROWS)
    (made.folder / "joints.toml").write_text("[joints]\n[sheets]\nhoses = []\n")
    opened = Build.open(made.folder)
    assert [mistake for mistake in opened.check() if not mistake.warning] == []
    return opened


@pytest.fixture
def record(build: Build, clock: Any):  # the clock stands on 2026-03-01
    with Record.open(build, clock) as opened:
        yield opened


def enter(record: Record, build: Build, front: str = "23/22", rear: str = "2022-06") -> None:
    enter_reading(record, build, "hoses", "made", "front", front)
    enter_reading(record, build, "hoses", "made", "rear", rear)


def run(record: Record, build: Build) -> int:
    """File what the sheet of a notebook says, as a run does."""
    sheet = bench.Sheet("hoses", build, record)
    sheet.decide(bench_steps(sheet.check("made", "age")))
    head = record.head()
    assert head is not None
    return enter_run(
        record,
        {
            "template": "brakes/hoses", "sheet": "hoses", "subsystem": "brakes", "state": "good", "seconds": 1.0,
            "head": {"seq": head.seq, "digest": head.digest}, "filed": sheet._filing.as_data(),
            "spec": {row.key: build.specs.digest(row) for row in build.specs.sheet("hoses")},
        },
    ).seq  # fmt: skip


def bench_steps(rows: Any) -> list[Any]:
    from restonb.decisions import settled

    return [settled("hoses.age", "The hoses are young enough.", rows)]


def test_a_hose_grows_too_old_without_anybody_touching_it(record: Record, build: Build, clock: Any) -> None:
    enter(record, build)
    run(record, build)
    today = standing(record, build)
    assert today.sheets["hoses"].word == "settled"
    assert today.gate.ready

    # By hand: the front one is 5 years old on 2027-06-09, U = 4 d; the rear one on 2027-06-16, U = 17 d.
    clock.days(450)  # 2027-05-25
    assert standing(record, build).gate.ready

    clock.days(
        30
    )  # 2027-06-29, by hand: front 5.05 years, rear (the middle of June 2022) 5.04 years, U = 17 d = 0.05 years
    later = standing(record, build)
    sheet = later.sheets["hoses"]
    assert sheet.with_word("outside") == (("age", "front"),)
    assert sheet.with_word("too close to call") == (("age", "rear"),)
    assert sheet.state == "out of date"
    assert not later.gate.ready
    assert any("age" in line for line in later.gate.blocking)


def test_seen_as_of_an_earlier_day_it_is_as_old_as_it_was_then(record: Record, build: Build, clock: Any) -> None:
    enter(record, build)
    run(record, build)
    clock.days(2000)
    assert not standing(record, build).gate.ready
    assert standing(record, build, "2026-03-01").gate.ready


def test_running_it_again_files_what_it_is_today(record: Record, build: Build, clock: Any) -> None:
    enter(record, build)
    run(record, build)
    clock.days(2000)
    run(record, build)
    sheet = standing(record, build).sheets["hoses"]
    assert sheet.state == "current"
    assert set(sheet.with_word("outside")) == {("age", "front"), ("age", "rear")}
    assert not standing(record, build).gate.ready


def test_without_a_run_it_is_judged_on_the_day_too(record: Record, build: Build, clock: Any) -> None:
    enter(record, build, "2312", "2022-06")
    sheet = standing(record, build).sheets["hoses"]
    assert sheet.with_word("outside") == (("age", "front"),)


def test_a_new_hose_is_read_and_the_old_age_counts_no_longer(record: Record, build: Build, clock: Any) -> None:
    enter(record, build)
    run(record, build)
    clock.days(2000)
    enter_reading(record, build, "hoses", "made", "front", "2031-01", occasion="after rework")
    sheet = standing(record, build).sheets["hoses"]
    assert ("age", "front") not in sheet.with_word("outside")
    assert ("age", "rear") in sheet.with_word("outside")
    run(record, build)
    assert standing(record, build).sheets["hoses"].with_word("outside") == (("age", "rear"),)


def test_one_hose_without_a_date_keeps_it_open(record: Record, build: Build, clock: Any) -> None:
    enter_reading(record, build, "hoses", "made", "front", "23/22")
    run(record, build)
    today = standing(record, build)
    assert today.sheets["hoses"].word != "settled"
    assert not today.gate.ready


def test_the_age_of_a_run_is_that_of_its_day(record: Record, build: Build, clock: Any, monkeypatch: Any) -> None:
    enter(record, build)
    head = record.head()
    assert head is not None
    monkeypatch.setenv("RESTONB_RUN", '{"at": "2027-12-24T18:00:00+01:00", "parameters": {}, "digest": ""}')
    sheet = bench.Sheet("hoses", build, record, head.seq)
    assert {v.verdict for v in sheet.check("age")} == {"outside"}
    monkeypatch.delenv("RESTONB_RUN")
    assert {v.verdict for v in bench.Sheet("hoses", build, record, head.seq).check("age")} == {"inside"}


def test_nothing_grows_younger(record: Record, build: Build, monkeypatch: Any) -> None:
    """Filed on a day ahead of the clock, as where the clock was put right: what was outside stays outside."""
    enter(record, build)
    monkeypatch.setenv("RESTONB_RUN", '{"at": "2029-01-01T18:00:00+01:00", "parameters": {}, "digest": ""}')
    run(record, build)
    sheet = standing(record, build).sheets["hoses"]
    assert set(sheet.with_word("outside")) == {("age", "front"), ("age", "rear")}
    assert sheet.state == "current"


def test_it_is_filed_with_its_uncertainty_and_the_readings_that_it_comes_from(record: Record, build: Build) -> None:
    enter(record, build)
    sheet = bench.Sheet("hoses", build, record)
    sheet.check("age")
    front = sheet._filing.as_data()["verdicts"][0]
    # by hand: 2022-06-09 12:00 to 2026-03-01 12:00 are 1361 days = 3.726 years
    assert front["value"] == pytest.approx(1361 / 365.25)
    assert (front["unit"], front["typed"], front["seqs"]) == ("year", "23/22", [1])
