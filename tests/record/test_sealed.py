"""A build folder is verified with the files that its record names."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from restonb.record import Record, enter_photo, enter_run, enter_strike, verify
from restonb.stated import Build

RUN: dict[str, Any] = {"template": "drivetrain/toy", "sheet": "toy", "subsystem": "drivetrain", "state": "good"}


def filed(build: Build, record: Record, name: str, sealed: bool = True) -> Path:
    """A run with a notebook and a page, as the log files it; or as it did before it kept digests."""
    folder = build.log / "2026-03-14" / name
    folder.mkdir(parents=True)
    files = {}
    for file, text in (("toy.ipynb", '{"cells": []}'), ("toy.html", f"<html>{name}</html>")):
        (folder / file).write_text(text)
        files[file] = hashlib.sha256(text.encode()).hexdigest()
    body = {**RUN, "folder": f"log/2026-03-14/{name}"}
    enter_run(record, {**body, "files": files} if sealed else body)
    return folder


def test_a_build_that_nobody_touched_is_whole(build: Build, record: Record, tmp_path: Path) -> None:
    filed(build, record, "toy")
    Image.new("RGB", (3, 2)).save(tmp_path / "a.png")
    enter_photo(record, build, tmp_path / "a.png")
    found = verify(build.folder)
    assert found == verify(build.record_path)
    assert found.ok
    assert found.entries == 2
    assert found.notes == ()


def test_a_page_that_was_altered_and_a_notebook_that_is_gone_are_named(build: Build, record: Record) -> None:
    filed(build, record, "toy")
    folder = filed(build, record, "toy-2")
    page = folder / "toy.html"
    page.write_text(page.read_text().replace("toy", "joy"))
    (folder / "toy.ipynb").unlink()
    found = verify(build.folder)
    assert not found.ok
    assert sorted(found.faults) == [
        "entry 2: log/2026-03-14/toy-2/toy.html was altered since it was filed",
        "entry 2: log/2026-03-14/toy-2/toy.ipynb is missing",
    ]
    assert found.entries == 2, "the record itself is whole"
    assert verify(build.record_path).ok


def test_a_photo_that_was_altered_or_is_gone_is_named_unless_it_was_struck(
    build: Build, record: Record, tmp_path: Path
) -> None:
    kept = []
    for name, colour in (("a", "red"), ("b", "green"), ("c", "blue")):
        Image.new("RGB", (3, 2), colour).save(tmp_path / f"{name}.png")
        kept.append(build.folder / enter_photo(record, build, tmp_path / f"{name}.png").body["file"])
    kept[0].write_bytes(kept[0].read_bytes() + b"\0")
    kept[1].unlink()
    kept[2].unlink()
    enter_strike(record, 3, "a number plate stands in it")
    assert verify(build.folder).faults == (
        f"entry 1: photos/{kept[0].name} was altered since it was filed",
        f"entry 2: photos/{kept[1].name} is missing",
    )


def test_runs_that_were_filed_before_files_had_digests_are_taken_and_said(build: Build, record: Record) -> None:
    for n in range(7):
        filed(build, record, f"toy-{n}", sealed=False)
    filed(build, record, "toy")
    found = verify(build.folder)
    assert found.ok
    assert found.notes == (
        "not sealed, filed before runs kept digests of their files: the files of entry 1, 2, 3, 4, 5 and 2 more",
    )
    assert "not sealed" in str(found)


@pytest.mark.parametrize("folder", ["../outside", "/etc", "log/../..", "photos", "log/2026-03-14/\0"])
def test_a_file_outside_the_log_is_not_read_whatever_an_entry_says(build: Build, record: Record, folder: str) -> None:
    """A true digest would tell somebody what stands in a file that is none of theirs."""
    text = "a secret"
    for place in (build.folder.parent / "outside", build.folder.parent, build.photos):
        place.mkdir(exist_ok=True)
        (place / "toy.html").write_text(text)
    digest = hashlib.sha256(text.encode()).hexdigest()
    enter_run(record, {**RUN, "folder": folder, "files": {"toy.html": digest}})
    (fault,) = verify(build.folder).faults
    assert fault.startswith("entry 1: ")
    assert fault.endswith(" is missing")


def test_a_link_that_leaves_the_log_is_not_followed(build: Build, record: Record) -> None:
    folder = filed(build, record, "toy")
    other = build.folder.parent / "toy.html"
    (folder / "toy.html").rename(other)
    (folder / "toy.html").symlink_to(other)
    assert verify(build.folder).faults == ("entry 1: log/2026-03-14/toy/toy.html is missing",)


def test_each_file_is_read_once_however_often_it_is_named(
    build: Build, record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The time that it takes grows with the files, not with the entries."""
    from restonb.record import _sealed

    read: list[Path] = []
    monkeypatch.setattr(_sealed, "digest_of_file", lambda path: read.append(path) or path.stem)
    Image.new("RGB", (3, 2)).save(tmp_path / "a.png")
    for _ in range(50):
        enter_photo(record, build, tmp_path / "a.png")
    assert verify(build.folder).ok
    assert len(read) == 1


def test_a_folder_without_a_record_is_said(tmp_path: Path) -> None:
    assert verify(tmp_path).faults == ("there is no file record.sqlite",)
