"""Rounds side by side: in words, without what only repeats, and no wider than the screen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from restonb.cli.rounds import lines
from restonb.record import Record, compare_runs
from restonb.stated import Build


def test_rounds_in_words_without_repeats_and_as_wide_as_the_screen(build: Path, say: Callable) -> None:
    notebook = build / "notebooks" / "drivetrain" / "toy.ipynb"
    text = notebook.read_text()
    notebook.write_text(
        text.replace("sheet.file()", "sheet.number('most', 0.2, 'mm', 'largest gap at rest')\\nsheet.file()")
    )
    for typed in ("0.20", "0.10", "0.10", "0"):
        say("read", "toy", "gap", "1=0", "2=0", f"3={typed}", "4=0")
        assert say("run", "toy").code == 0
    whole = say("status", "--rounds", "toy").out
    assert "\nlargest gap at rest " in whole
    assert "\nmost " not in whole
    assert whole.splitlines()[0].count("#") == 3
    assert "nothing changed in: " in whole
    found = compare_runs(Record.open(build), Build.open(build), "toy")
    narrow = list(lines(found, 60))
    assert all(len(line) <= 60 for line in narrow[: len(found.rows) + 2])
    assert narrow[0].endswith(f"#{found.rounds[-1].run.seq}")  # the newest is there
    assert any("with --all every one is shown" in line for line in narrow)
