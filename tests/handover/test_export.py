"""The same state gives the same bytes; a break-off leaves nothing; what is open is never hidden."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from restonb.errors import HandoverError
from restonb.handover import hand_over, verify
from restonb.record import Record, enter_note
from restonb.stated import Build


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def text_of(report: Any) -> str:
    return json.dumps(report, ensure_ascii=False)


def test_two_exports_of_one_state_are_equal_byte_for_byte(filled: Any, export: Any, tmp_path: Path) -> None:
    again = hand_over(filled.build, filled.record, tmp_path)
    assert contents(again.folder) == contents(export.folder)
    assert again.zip.read_bytes() == export.zip.read_bytes()
    assert again.seal == export.seal


def test_an_earlier_state_can_be_handed_over_again(fresh: Any, tmp_path: Path) -> None:
    machine = fresh(tmp_path / "build")
    first = hand_over(machine.build, machine.record, tmp_path / "first")
    state = machine.record.upto(None) - 1  # the newest entry is the note of that export
    enter_note(machine.record, machine.build, "much later")
    second = hand_over(machine.build, machine.record, tmp_path / "second", as_of=state)
    assert contents(second.folder) == contents(first.folder)
    machine.record.close()


def test_the_export_is_entered_once(fresh: Any, tmp_path: Path) -> None:
    machine = fresh(tmp_path / "build")
    made = [hand_over(machine.build, machine.record, tmp_path / "out") for _ in range(2)]
    entries = list(machine.record.entries("handover"))
    assert [e.body["digest"] for e in entries] == [made[0].seal]
    machine.record.close()


def test_an_export_goes_over_an_older_copy_of_itself(filled: Any, tmp_path: Path) -> None:
    first = hand_over(filled.build, filled.record, tmp_path)
    (first.folder / "data" / "entries.jsonl").write_text("spoiled")
    assert verify(hand_over(filled.build, filled.record, tmp_path).folder).ok


@pytest.mark.parametrize("at", ["write_pdf", "write_html", "write_tables", "write_entries"])
def test_a_break_off_leaves_nothing_half_made(
    filled: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: str
) -> None:
    def stop(*_: Any, **__: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(f"restonb.handover.export.{at}", stop)
    before = filled.record.upto(None)
    with pytest.raises(KeyboardInterrupt):
        hand_over(filled.build, filled.record, tmp_path / "out")
    assert list((tmp_path / "out").iterdir()) == []
    assert filled.record.upto(None) == before


def test_an_empty_record_has_nothing_to_hand_over(empty: Any, tmp_path: Path) -> None:
    with pytest.raises(HandoverError, match="nothing has been entered"):
        hand_over(empty.build, empty.record, tmp_path)


def test_a_damaged_record_is_not_handed_over(filled: Any, tmp_path: Path) -> None:
    import sqlite3

    copy = shutil.copytree(filled.build.folder, tmp_path / "build")
    db = sqlite3.connect(copy / "record.sqlite")
    for (name,) in db.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
        db.execute(f'DROP TRIGGER "{name}"')
    db.execute("UPDATE entry SET body = replace(body, '0.28', '0.08') WHERE kind = 'reading'")
    db.commit()
    db.close()
    with Record.open(copy) as record, pytest.raises(HandoverError, match="the record is damaged"):
        hand_over(Build.open(copy), record, tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_what_is_open_stands_on_the_first_page(export: Any) -> None:
    report = json.loads((export.folder / "data" / "report.json").read_text(encoding="utf-8"))
    front = text_of(report["front"])
    for words in (
        "Not ready for the road by this record",  # run-out of the disc is marked safety and was never measured
        "Disc: disc run-out (12:00, 1:30",
        "Mounting: gearbox disturbed after it was measured",
        "Gearbox to plates: temporary",
        "Work: housing bored: sent out on 2026-03-14",
        "limit without a source",
        "not a certificate of roadworthiness",
        "Left out of this export",
        export.head,
    ):
        assert words in front, words


def test_a_struck_reading_is_told_and_not_judged(export: Any) -> None:
    report = text_of(json.loads((export.folder / "data" / "report.json").read_text(encoding="utf-8")))
    assert "dial slipped" in report
    assert "0.900 mm" not in report


def test_progress_counts_up_and_ends(fresh: Any, tmp_path: Path) -> None:
    machine = fresh(tmp_path / "build")
    heard: list[tuple[str, int, int]] = []
    hand_over(machine.build, machine.record, tmp_path / "out", progress=lambda *step: heard.append(step))
    assert heard[-1] == ("done", 1, 1)
    assert all(0 <= done <= of for _, done, of in heard)
    machine.record.close()


def test_a_missing_photograph_and_a_missing_run_are_told(fresh: Any, tmp_path: Path) -> None:
    machine = fresh(tmp_path / "build")
    shutil.rmtree(machine.build.photos)
    shutil.rmtree(machine.build.log)
    made = hand_over(machine.build, machine.record, tmp_path / "out")
    assert len(made.missing) == 2
    assert "the file is missing" in (made.folder / "data" / "report.json").read_text(encoding="utf-8")
    assert verify(made.folder).ok
    machine.record.close()


def test_a_long_history_stays_bounded_and_photographs_of_a_day_stand_together(
    fresh: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from PIL import Image

    from restonb.handover.contents import _history
    from restonb.record import enter_photo

    machine = fresh(tmp_path / "build")
    for n in range(5):
        Image.new("RGB", (40, 30), (n, 0, 0)).save(tmp_path / "shot.png")
        enter_photo(machine.record, machine.build, tmp_path / "shot.png", f"view {n}", "disc")
    enter_note(machine.record, machine.build, "and then")
    made = hand_over(machine.build, machine.record, tmp_path / "whole")
    said = (made.folder / "data" / "report.json").read_text(encoding="utf-8")
    assert "5 photographs (Disc): view 0, view 1, view 2 and 2 more" in said
    monkeypatch.setattr(_history, "MOST", 10)
    made = hand_over(machine.build, machine.record, tmp_path / "short")
    report = json.loads((made.folder / "data" / "report.json").read_text(encoding="utf-8"))
    history = next(s for s in report["sections"] if s["key"] == "history")["blocks"][1]
    assert len(history["rows"]) == 10
    assert "later lines in entries.jsonl" in history["note"]
    machine.record.close()
