"""A conclusion never says more than was measured: every template, on its good case, and on that made bad in every way.

`README.md` says how a case is written, and how one template is tried alone.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from harness.case import Case, begin, cases
from harness.changes import Change, by_kind, changed, changes_of, pairs
from harness.judge import formula_places, open_places, openings, overclaims, shortfalls, stands_settled
from harness.run import run

from restonb.log import templates
from restonb.record import Record, Run
from restonb.stated import Build

FILES = cases()
MEMORY = Path("/dev/shm")


@pytest.fixture(scope="module")
def room() -> Iterator[Path]:
    """Where builds are made: in memory where there is such a place, since thousands are made, and none is kept."""
    folder = Path(tempfile.mkdtemp(prefix="conclusions-", dir=MEMORY if MEMORY.is_dir() else None))
    yield folder
    shutil.rmtree(folder)


@dataclass
class Outcome:
    run: Run
    build: Build
    record: Record
    formulas: int


@pytest.fixture
def execute(room: Path) -> Iterator:
    """A function: case -> what its template files; the build is gone after the test."""
    made: list[Outcome] = []

    def executed(case: Case, refuse: int | None = None) -> Outcome:
        for one in made:
            _end(one)
        made.clear()
        build, record = begin(case, Path(tempfile.mkdtemp(dir=room)) / "build")
        done, formulas = run(build, record, case.sheet if case.serves else case.template, refuse)
        made.append(Outcome(done, build, record, formulas))
        return made[-1]

    yield executed
    for one in made:
        _end(one)


def _end(outcome: Outcome) -> None:
    outcome.record.close()
    shutil.rmtree(outcome.build.folder.parent)


@cache
def case_of(template: str) -> Case:
    return Case.read(FILES[template])


@pytest.fixture(params=FILES, ids=lambda template: template.rpartition("/")[2])
def case(request: pytest.FixtureRequest) -> Case:
    return case_of(request.param)


def test_every_template_has_a_case() -> None:
    missing = {t.name for t in templates()} - FILES.keys()
    assert not missing, f"write tests/conclusions/cases/SUBSYSTEM_TEMPLATE.toml for {', '.join(sorted(missing))}"


def test_the_good_case_is_settled(case: Case, execute) -> None:
    done = execute(case)
    bad = open_places(case, case, done.build, done.record) | formula_places(case, done.build, done.run)
    short = [*shortfalls(done.run), *(f"{key} {at} is {word}" for (key, at), word in bad.items())]
    _none([_told(case, "nothing: this is the good case", short)] if short else [])


def test_good_in_another_way_is_settled_too(case: Case, execute) -> None:
    found = []
    for other in case.good:
        short = shortfalls(execute(other.case).run)
        found += [_told(case, other.name, short)] if short else []
    _none(found)


def test_bad_as_its_case_says_is_never_settled(case: Case, execute) -> None:
    found = []
    for other in case.bad:
        outcome = execute(other.case)
        done = outcome.run
        open_steps = [s for s in done.filed.get("steps", ()) if s["state"] != "settled"]
        said = overclaims(done, {}, [other.name])
        if done.good and not open_steps:
            said.append("every step is settled")
        if stands_settled(outcome.record, outcome.build, case.sheet):
            said.append("the sheet stands settled in the record")
        if other.finding and not any(s["finding"].startswith(other.finding) for s in open_steps):
            said.append(
                f"no open step finds {other.finding!r}, but: {', '.join(s['finding'] for s in open_steps) or done.reason}"
            )
        found += [_told(case, other.name, said)] if said else []
    _none(found)


def test_one_thing_bad_is_never_settled(case: Case, execute, room: Path) -> None:
    found = []
    for change in _changes(case, execute, room):
        found += _wrong(case, execute, [change])
    _none(found)


@pytest.mark.slow
def test_two_things_bad_are_never_settled(case: Case, execute, room: Path) -> None:
    found = []
    for together in pairs(by_kind(_changes(case, execute, room))):
        found += _wrong(case, execute, together)
    _none(found)


def test_a_gauge_that_fails_after_the_run_unsettles_the_sheet(case: Case, execute) -> None:
    from restonb.record import enter_check

    used = {row.instrument for row in _rows_read(case, execute)}
    for gauge in sorted(used):
        done = execute(case)
        enter_check(done.record, done.build, gauge, good=False)
        if stands_settled(done.record, done.build, case.sheet):
            _none([_told(case, f"{gauge} failed its check after the run", ["the sheet stands settled"])])


def test_the_good_case_stands_settled(case: Case, execute) -> None:
    done = execute(case)
    if not stands_settled(done.record, done.build, case.sheet):
        _none([_told(case, "nothing: this is the good case", ["the sheet does not stand settled in the record"])])


def _none(found: Sequence[str]) -> None:
    """Fails with what was found, without the code of the harness around it."""
    if found:
        pytest.fail(f"{len(found)} of it:\n" + "\n".join(found[:25]), pytrace=False)


def _rows_read(case: Case, execute):
    build = execute(case).build
    read = {key for of in case.readings.values() for key in of}
    return [row for row in build.specs if row.sheet == case.sheet and row.key in read and row.instrument]


def _changes(case: Case, execute, room: Path) -> list[Change]:
    formulas = execute(case).formulas
    folder = Path(tempfile.mkdtemp(dir=room))
    found = changes_of(case, folder, formulas)
    shutil.rmtree(folder)
    return [change for changes in found.values() for change in changes]


def _wrong(case: Case, execute, together: Sequence[Change]) -> list[str]:
    """What is wrongly said with these changes."""
    other, refuse = changed(case, together)
    done = execute(other, refuse)
    bad = open_places(other, case, done.build, done.record)
    if done.run.good:
        bad |= formula_places(case, done.build, done.run)
    why = [str(one) for one in together if one.no_parameter or one.refuse is not None]
    said = overclaims(done.run, bad, why)
    if not done.run.good and not any(one.no_parameter for one in together):
        said.append(f"the run fails in cell {done.run.cell}: {done.run.reason}")
    if (bad or why) and done.run.good:
        if not shortfalls(done.run):
            said.append("every step is settled")
        said += openings(done.record, done.build, case.sheet, bad)
    return [_told(case, "; ".join(map(str, together)), said)] if said else []


def _told(case: Case, what: str, said: Sequence[str]) -> str:
    return f"{case.template}, changed: {what}\n" + "\n".join(f"    says: {line}" for line in said)
