"""The demo's rework: engine plates low in the stack are opened in May, the rear wheel in June; what that spoils, by hand.

On 2026-05-16 final drive, alternator, primary drive, inner case, gearbox and engine plates came off. The gearbox was measured
again on 2026-05-24 and the head nuts in June. Nothing else that relies on these joints was measured since: primary alignment,
clutch, charging and final chain. On 2026-06-07 the rear wheel was loosened: wheels, the check before the road, and the chain.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from restonb import bench
from restonb.cli import replay as replaying
from restonb.handover import hand_over
from restonb.record import Record
from restonb.stated import Build, shipped

SPOILED = {"primary_alignment", "clutch", "charging", "final_chain", "wheels", "brake_check"}


@pytest.fixture(scope="module")
def story(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """The Wrenfield's story with everything but its runs."""
    folder = tmp_path_factory.mktemp("story") / "wrenfield"
    shutil.copytree(shipped("data_demo"), folder, ignore=shutil.ignore_patterns("story"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(replaying, "_run", lambda *args, **more: None)
        replaying.replay(Build.open(folder), shipped("data_demo") / "story", print).close()
    return Build.open(folder)


def spoiled(data: dict) -> set[str]:
    return {s["sheet"] for s in data["sheets"] if any(r["state"] == "measure again" for r in s["reasons"])}


def test_in_the_terminal(story: Build, say: Callable) -> None:
    assert spoiled(say("status", "--json", "-b", story.folder).data) == SPOILED


def test_nothing_was_spoiled_before(story: Build, say: Callable) -> None:
    before = spoiled(say("status", "--json", "-b", story.folder, "--as-of", "2026-05-15").data)
    assert not before & {"primary_alignment", "clutch", "charging", "final_chain", "wheels", "brake_check"}


def test_in_the_notebook(story: Build) -> None:
    with Record.open(story) as record:
        for sheet in ("primary_alignment", "final_chain", "gearbox_mounting"):
            text = str(bench.Sheet(sheet, story, record).check())
            assert ("measure again" in text) == (sheet in SPOILED)


def test_in_the_handover(story: Build, tmp_path: Path) -> None:
    with Record.open(story) as record:
        done = hand_over(story, record, tmp_path)
    report = json.loads((done.folder / "data" / "report.json").read_text())
    text = json.dumps(report)
    before, _, _ = text.partition('"title": "To be measured again')
    listed = before.rpartition('"kind": "bullets"')[2]  # its title stands behind its items
    for sheet in SPOILED:
        assert sheet.replace("_", " ").capitalize() in listed
    assert f"To be measured again: {len(SPOILED)}" in text
