"""A story played back: each event at its own time, the right reading struck, a mistake named by its event."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from restonb.cli import replay as replaying
from restonb.errors import RestonbError
from restonb.record import readings
from restonb.stated import Build

JOINTS = """
[joints.mounting]
what = "gearbox feet"
treatment = "dry"
[[joints.mounting.fasteners]]
what = "stud"
count = 2
torque = "24 N m"
[[joints.mounting.fasteners]]
what = "bolt"
count = 1
treatment = "threadlocker"
torque = "24 N m"
[sheets]
toy = ["mounting"]
"""


def story(folder: Path, text: str) -> Path:
    (folder / "story").mkdir(exist_ok=True)
    (folder / "story" / "1.toml").write_text(text)
    return folder / "story"


@pytest.fixture
def toy(build: Path) -> Build:
    (build / "joints.toml").write_text(JOINTS)
    return Build.open(build)


def test_each_fastener_takes_the_torque_with_its_own_treatment(toy: Build, tmp_path: Path) -> None:
    text = """[[event]]
at = 2026-01-02T10:00:00
kind = "joint"
joint = "mounting"
state = "tightened"
each = "24 N m"
"""
    with replaying.replay(toy, story(tmp_path, text), print) as record:
        (entry,) = record.entries()
    assert entry.at.startswith("2026-01-02T10:00")
    assert [(f["position"], f["torque"], f["treatment"]) for f in entry.body["fasteners"]] == [
        ("stud 1", "24", "dry"), ("stud 2", "24", "dry"), ("bolt 1", "24", "threadlocker"),
    ]  # fmt: skip


def test_the_newest_reading_at_the_place_is_struck(toy: Build, tmp_path: Path) -> None:
    text = "".join(
        f'''[[event]]
at = 2026-01-0{day}T10:00:00
kind = "reading"
sheet = "toy"
characteristic = "gap"
values = {{ 1 = "{value}", 2 = "0" }}
'''
        for day, value in ((1, "0.1"), (2, "0.2"))
    )
    strike = """[[event]]
at = 2026-01-03T10:00:00
kind = "strike"
why = "the blade was bent"
of = { sheet = "toy", characteristic = "gap", position = "foot 1" }
"""
    with replaying.replay(toy, story(tmp_path, text + strike), print) as record:
        kept = [(r.position, float(r.value)) for r in readings(record, "toy", "gap")]
    assert sorted(kept) == [("foot 1", 0.1), ("foot 2", 0.0), ("foot 2", 0.0)]


def test_a_mistake_names_its_event(toy: Build, tmp_path: Path) -> None:
    text = """[[event]]
at = 2026-01-03T10:00:00
kind = "strike"
why = "none there"
of = { sheet = "toy", characteristic = "gap", position = "foot 1" }
"""
    with pytest.raises(RestonbError, match=r"1\.toml, event 1 \(strike of 2026-01-03\): there is no reading at"):
        replaying.replay(toy, story(tmp_path, text), print)


RUN = """[[event]]
at = 2026-01-04T10:00:00
kind = "run"
template = "TEMPLATE"
"""


def outcome(good: bool) -> Any:
    return SimpleNamespace(at="2026-01-04T10:00:00Z", template="toy", good=good, reason="cell 2: 1 / 0", filed={})


def test_a_run_is_told_and_one_that_fails_ends_the_story(
    toy: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    ran: list[str] = []
    monkeypatch.setattr(replaying, "tally", lambda run: "1 inside")
    for good in (True, False):
        monkeypatch.setattr(replaying, "run", lambda b, r, name, *a, good=good, **k: ran.append(name) or outcome(good))
        events = story(tmp_path, RUN.replace("TEMPLATE", "drivetrain/toy"))
        if good:
            replaying.replay(toy, events, told.append).close()
        else:
            with pytest.raises(RestonbError, match=r"event 1 .*: toy failed: cell 2: 1 / 0"):
                replaying.replay(toy, events, told.append)
    assert ran == ["drivetrain/toy"] * 2
    assert told == ["2026-01-04  toy: 1 inside", "2026-01-04  toy: failed: cell 2: 1 / 0"]


def test_a_template_that_is_not_there_is_told_and_passed_over(
    toy: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(replaying, "run", lambda *a, **k: pytest.fail("nothing can be run"))
    replaying.replay(toy, story(tmp_path, RUN.replace("TEMPLATE", "drivetrain/nothing")), told.append).close()
    assert told == ["drivetrain/nothing: no such template yet"]
