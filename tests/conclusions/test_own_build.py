"""The gate can be opened by right work, and by nothing else: a new user's own build, made from the starter rows.

Everything measured good, every sheet run, joints closed with their torques: `restonb status` answers 0. Any one thing made bad:
it answers 1, and names it.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from html import unescape
from pathlib import Path
from unittest.mock import patch

import pytest
from harness.case import DAY, Case, begin, cases, enter, enter_case, toml
from harness.changes import Change, changes_of
from harness.own import CLOSED, gauge_name, made, open_record, said
from harness.run import run

from restonb import log
from restonb.handover.contents._open import open_items
from restonb.handover.facts import Facts, state_of
from restonb.log import templates
from restonb.measure.positions import derived
from restonb.record import (
    Record,
    _journal,
    enter_check,
    enter_disturb,
    enter_joint,
    enter_readings,
    enter_strike,
    readings,
)
from restonb.record.stands.box import box_of
from restonb.stated import Build

pytestmark = pytest.mark.slow

CASES = {template: Case.read(path) for template, path in cases().items()}
MEMORY = Path("/dev/shm")
OF_ALL = {"teardown", "time_and_cost"}
"""Sheets that look through the whole record, where something of other cases is to do: a cost to enter, a survey to finish."""
ALONE = ("outside", "too close to call", "nothing measured", "its gauge")
"""What is done to every safety row of every template, one at a time."""


@pytest.fixture(scope="module", autouse=True)
def _a_day_that_stands_still() -> Iterator[None]:
    with patch.object(_journal, "_now", lambda: DAY):
        yield


@pytest.fixture(scope="module")
def room() -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix="own-", dir=MEMORY if MEMORY.is_dir() else None))
    yield folder
    shutil.rmtree(folder)


@pytest.fixture(scope="module")
def good(room: Path) -> Path:
    """The build, all of it good and run."""
    build = made(room / "good", CASES.values())
    for case in CASES.values():
        _run(build, case)
    return build.folder


@pytest.fixture
def copy(good: Path, room: Path) -> Iterator[Callable[[], Build]]:
    """A function: a fresh copy of the good build."""
    made_here: list[Path] = []

    def copied() -> Build:
        for old in made_here:
            shutil.rmtree(old)
        made_here[:] = [Path(tempfile.mkdtemp(dir=room)) / "build"]
        shutil.copytree(good, made_here[0])
        return Build.open(made_here[0])

    yield copied
    for old in made_here:
        shutil.rmtree(old)


def _run(build: Build, case: Case) -> None:
    build = Build.open(build.folder)
    with open_record(build) as record:
        run(build, record, case.sheet if case.serves else case.template)


def test_all_good_and_closed_is_ready(good: Path) -> None:
    code, text = said("status", "--why", "-b", good)
    assert code == 0, text
    sheets = json.loads(said("status", "--json", "-b", good)[1])["sheets"]
    assert {one["sheet"] for one in sheets} == {case.sheet for case in CASES.values()}
    assert {one["sheet"] for one in sheets if one["word"] != "settled"} <= OF_ALL
    assert not [left for one in sheets for left in one["left"] if left["safety"]]


def test_an_empty_build_is_not_ready(room: Path) -> None:
    assert said("new", room / "empty")[0] == 0
    code, text = said("status", "--json", "-b", room / "empty")
    gate = json.loads(text)["gate"]
    assert (code, gate["ready"], gate["marked"]) == (1, False, False)
    assert gate["blocking"]


def test_one_without_anything_about_safety_is_not_ready(room: Path) -> None:
    """Settled sheets alone do not say so: none of them, and no joint, is marked safety."""
    case = CASES["drivetrain/gearbox_mounting"]
    build, record = begin(case, room / "no_safety")
    run(build, record, case.template)
    record.close()
    code, text = said("status", "--json", "-b", build.folder)
    told = json.loads(text)
    assert [one["word"] for one in told["sheets"]] == ["settled"]
    assert (code, told["gate"]["ready"], told["gate"]["marked"]) == (1, False, False)


def test_nothing_run_is_not_ready(room: Path) -> None:
    build = made(room / "not_run", CASES.values())
    assert said("status", "-b", build.folder)[0] == 1


@pytest.mark.parametrize("template", CASES, ids=lambda name: name.rpartition("/")[2])
def test_any_one_safety_row_made_bad_shuts_the_road_and_is_named(
    template: str, good: Path, copy: Callable[[], Build], room: Path
) -> None:
    case, wrong = CASES[template], []
    safe = {row.key for row in Build.open(good).specs if row.sheet == case.sheet and row.safety}
    for change in _changes(case, room):
        if change.of not in safe or not change.how.startswith(ALONE):
            continue
        build = copy()
        _make_bad(build, case, change)
        wrong += [
            f"{change}, before it is run again: {fault}" for fault in _faults(build, case, change.of, terminal=False)
        ]
        _run(build, case)
        wrong += [f"{change}: {fault}" for fault in _faults(build, case, change.of)]
    assert not wrong, f"{len(wrong)} of it:\n" + "\n".join(wrong[:30])


SAFE_TEMPLATES = [one.name for one in templates() if one.safety]
"""Those of which the whole job is about safety."""


@pytest.mark.parametrize("template", SAFE_TEMPLATES, ids=lambda name: name.rpartition("/")[2])
def test_a_bad_parameter_or_age_of_a_brake_shuts_the_road(template: str, copy: Callable[[], Build]) -> None:
    """Every `[[bad]]` of its case: a mark, a union, a date of making, a speed."""
    case, wrong = CASES[template], []
    for bad in case.bad:
        build = copy()
        _state(build, case, bad.case)
        with open_record(build) as record:
            _enter_typed(record, build, case, bad.case.typed)
            enter(record, build, bad.case.after[len(case.after) :])
        _run(build, case)
        code, text = said("status", "--json", "-b", build.folder)
        if code != 1:
            wrong.append(f"{bad.name}: status answers {code}")
        elif not [line for line in json.loads(text)["gate"]["blocking"] if line.startswith(f"{case.sheet}:")]:
            wrong.append(f"{bad.name}: nothing of {case.sheet} is named")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(
    ("how", "torque"), [("over", "130 N m"), ("far over", "650 N m"), ("under", "20 N m"), ("missing", None)]
)
def test_a_torque_of_a_safety_joint_that_is_not_as_planned_shuts_the_road(
    how: str, torque: str | None, copy: Callable[[], Build]
) -> None:
    build = copy()
    with open_record(build) as record:
        if torque is None:  # what was tightened before stands until it is loosened
            enter_disturb(record, build, "front_axle", "loosened")
        fasteners = [{"position": "1", "torque": torque}] if torque else []
        enter_joint(record, build, "front_axle", "final", fasteners=fasteners)
        measured_again(record, build)
    assert joint_is_named(build, "front_axle"), how


def test_a_wrench_that_fails_its_check_puts_what_it_tightened_in_doubt(copy: Callable[[], Build]) -> None:
    build = copy()
    wrench = gauge_name("wheels", "axle_nut_torque")
    with open_record(build) as record:
        enter_joint(
            record, build, "front_axle", "final", fasteners=[{"position": "1", "torque": "65 N m"}], wrench=wrench
        )
    assert said("status", "-b", build.folder)[0] == 0
    with open_record(build) as record:
        enter_check(record, build, wrench, good=False)
    assert joint_is_named(build, "front_axle")


def measured_again(record: Record, build: Build) -> None:
    """All of what relies on the axle, measured and run anew, so that only the joint itself is open."""
    for case in CASES.values():
        if "front_axle" in build.joints.relied_on(case.sheet):
            enter_case(record, build, case)
            run(build, record, case.template)


def joint_is_named(build: Build, joint: str) -> bool:
    """Whether the road is shut by that joint, by exit code, in the data and on the terminal."""
    code, text = said("status", "--json", "-b", build.folder)
    blocking = json.loads(text)["gate"]["blocking"]
    printed = said("status", "--why", "-b", build.folder)[1]
    return code == 1 and any(joint in line for line in blocking) and joint in printed


def test_page_pdf_and_filed_run_name_what_status_names(copy: Callable[[], Build]) -> None:
    """A lining worn out, fluid too old, an axle nut over its torque: one of each, in everything that a person reads."""
    import pymupdf

    build = copy()
    with open_record(build) as record:
        enter_readings(record, build, "disc", "pad_lining", {"left": "1.0 mm"}, occasion="as left")
        enter_readings(record, build, "hydraulics", "fluid_filled", {"once": "2021-03-01"}, occasion="as left")
        enter_joint(record, build, "front_axle", "final", fasteners=[{"position": "1", "torque": "130 N m"}])
        for name in ("disc", "hydraulics"):
            run(build, record, f"brakes/{name}")
        filed = log.run(build, record, "brakes/disc", at=DAY)  # with a kernel, and its page
    rows = {(row.sheet, row.key): row.what for row in Build.open(build.folder).specs}
    named = [rows["disc", "pad_lining"], rows["hydraulics", "fluid_age"], "front_axle"]
    code, terminal = said("status", "--why", "-b", build.folder)
    assert code == 1
    assert [word for word in ("pad_lining", "fluid_age", "front_axle") if word not in terminal] == []
    page = (build.folder / filed.folder / "disc.html").read_text(encoding="utf-8")
    assert named[0].replace("'", "&#x27;") in page
    assert said("handover", "-b", build.folder)[0] == 0
    [data] = (build.folder / "handover").glob("*/data")
    with pymupdf.open(data / "record.pdf") as pages:
        pdf = " ".join(" ".join(one.get_text() for one in pages).split())
    html = unescape((data / "record.html").read_text(encoding="utf-8"))
    for text in (pdf, html):
        assert [words for words in named[:2] if words not in text] == []
        assert "130" in text
    assert "Not ready for the road" in pdf
    assert "Not ready for the road" in html


@pytest.mark.parametrize("state", ["apart", "dry-fitted", "temporary"])
def test_a_safety_joint_that_is_not_closed_shuts_the_road(state: str, copy: Callable[[], Build]) -> None:
    build = copy()
    label = {"label": "3", "why": "waits"} if state != "apart" else {}
    with open_record(build) as record:
        enter_joint(record, build, "front_axle", state, **label)
    assert joint_is_named(build, "front_axle")


def test_the_joints_of_the_build_are_those_that_it_closes(good: Path) -> None:
    assert set(CLOSED) <= set(Build.open(good).joints.joints)


# -- making it bad, and looking


def _changes(case: Case, room: Path) -> list[Change]:
    folder = Path(tempfile.mkdtemp(dir=room))
    found = changes_of(case, folder, 0)
    shutil.rmtree(folder)
    return [change for changes in found.values() for change in changes]


def _make_bad(build: Build, case: Case, change: Change) -> None:
    with open_record(build) as record:
        _enter_typed(record, build, case, change.typed)
        for gauge in change.doubted:
            own = gauge if gauge in build.instruments else gauge_name(case.sheet, gauge.removeprefix("of_"))
            enter_check(record, build, own, good=False)


def _enter_typed(record: Record, build: Build, case: Case, typed: Mapping[tuple[str, str], str | None]) -> None:
    """Readings entered on the occasion of the case; what is not measured is struck."""
    on = {key: occasion for occasion, of in case.readings.items() for key in of}
    by_key: dict[str, dict[str, str]] = {}
    for (key, position), text in typed.items():
        if text is None:
            for reading in readings(record, case.sheet, key):
                if reading.position == position:
                    enter_strike(record, reading.seq, "for this test")
        else:
            by_key.setdefault(key, {})[position] = text
    for key, at in by_key.items():
        enter_readings(record, build, case.sheet, key, at, occasion=on[key])


def _state(build: Build, case: Case, bad: Case) -> None:
    """The parameters of a bad case, written over those of the good one."""
    path = build.folder / "build.toml"
    head = f"\n[parameters.{case.sheet}]\n"
    before, _, rest = path.read_text(encoding="utf-8").partition(head)
    after = rest.partition("\n[")
    lines = "".join(f"{name} = {toml(value)}\n" for name, value in bad.parameters.items())
    path.write_text(f"{before}{head}{lines}{after[1]}{after[2]}", encoding="utf-8")


def _faults(build: Build, case: Case, key: str, terminal: bool = True) -> list[str]:
    """What is wrong with what `status` says while that row is bad."""
    code, text = said("status", "--json", "-b", build.folder)
    told = json.loads(text)
    [sheet] = [one for one in told["sheets"] if one["sheet"] == case.sheet]
    rows = {row.key: row for row in build.specs if row.sheet == case.sheet}
    kin = {key} | {one for one, row in rows.items() if (made := derived(row.positions)) and key in made.of}
    if made_of := derived(rows[key].positions):
        kin |= set(made_of.of)
    found = [] if code == 1 and not told["gate"]["ready"] else [f"status answers {code}"]
    found += [] if sheet["word"] != "settled" else ["the sheet stands settled"]
    named = {place[0] for one in sheet["left"] if one["safety"] for place in one["places"]}
    found += [] if named & kin else [f"no row of {sorted(kin)} is named among what is left: {sheet['left']}"]
    if terminal and not found:
        printed = said("status", "--why", "-b", build.folder)[1]
        words = {*kin, *(rows[one].what for one in kin)}
        found += [] if any(word in printed for word in words) else [f"the terminal names none of {sorted(kin)}"]
        found += _faults_on_paper(build, case, words)
    return found


def _faults_on_paper(build: Build, case: Case, words: set[str]) -> list[str]:
    """What is wrong with the front page of the hand-over, which PDF and page print alike, and with the notebook's box."""
    with open_record(build) as record:
        facts = Facts(build, record, state_of(record), frozenset())
        items = [item for item in open_items(facts) if item.safety and item.sheet == case.sheet]
        box = box_of(facts.standing.sheets[case.sheet])
        said_in_box = " ".join((*box.open, *map(str, box.found), *(str(step["text"]) for step in box.steps)))
    told = " ".join(item.text for item in items).casefold()
    found = [] if any(word.casefold() in told for word in words) else [f"the hand-over names none of {sorted(words)}"]
    found += [] if box.word != "settled" else ["the box of the notebook says settled"]
    named = any(word.casefold() in said_in_box.casefold() for word in words)
    return found + ([] if named else [f"the box names none of {sorted(words)}: {said_in_box[:200]}"])
