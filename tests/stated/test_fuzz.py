"""Whatever is written into the files of a build: an answer, or mistakes with a place; never anything else."""

from __future__ import annotations

import shutil
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import BuildError, Mistake
from restonb.stated import Build, shipped

FILES = ["build.toml", "instruments.csv", "joints.toml", "specs/drivetrain.csv"]
WORTH = st.sampled_from(
    [
        b"\xff\xfe",
        b"\xef\xbb\xbf",
        b"\x00",
        b"\r",
        b'"',
        b'"""',
        b"'",
        b",",
        b";",
        b"\t",
        b"[",
        b"]",
        b"{",
        b"=",
        b"#",
        b"\n",
        b"1e999",
        b"-",
        b"nan",
        b"inf",
        b"1/0",
        b"\xc3",
        b"mm",
        b" of ",
        b"x",
        b"\xe2\x80\xae",
        b"0" * 400,
    ]
)


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("fuzz") / "machine"
    shutil.copytree(shipped("data_demo"), folder)
    return folder


def told(folder: Path) -> tuple[Mistake, ...]:
    """What `check` says; and each part by itself gives an answer or BuildError."""
    build = Build.open(folder)
    for part in ("name", "machine", "units", "rule", "parameters", "instruments", "specs", "joints", "warnings"):
        with suppress(BuildError):
            getattr(build, part)
    return build.check()


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(FILES), st.lists(st.tuples(st.floats(0, 1), st.integers(0, 12), WORTH), min_size=1, max_size=3))
def test_a_damaged_file(copy: Path, file: str, damage: list[tuple[float, int, bytes]]) -> None:
    whole = (shipped("data_demo") / file).read_bytes()
    data = whole
    for where, length, put in damage:
        at = round(where * len(data))
        data = data[:at] + put + data[at + length :]
    try:
        (copy / file).write_bytes(data)
        count = data.count(b"\n") + data.count(b"\r") + 2
        for mistake in told(copy):
            assert "\n" not in str(mistake)
            if mistake.file == file:
                assert 0 <= mistake.line <= count
    finally:
        (copy / file).write_bytes(whole)


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(FILES), st.binary(max_size=60))
def test_any_bytes_at_all(copy: Path, file: str, data: bytes) -> None:
    whole = (shipped("data_demo") / file).read_bytes()
    try:
        (copy / file).write_bytes(data)
        told(copy)
    finally:
        (copy / file).write_bytes(whole)


@pytest.mark.parametrize("file", FILES)
def test_a_folder_or_nothing_in_the_place_of_a_file(tmp_path: Path, file: str) -> None:
    folder = tmp_path / "machine"
    shutil.copytree(shipped("data_demo"), folder)
    (folder / file).unlink()
    if file != "build.toml":
        assert any(m.file == file and "no such file" in m.found for m in told(folder)) or file.startswith("specs")
    (folder / file).mkdir()
    if file == "build.toml":
        with pytest.raises(BuildError, match=r"no build\.toml in"):
            Build.open(folder)
    else:
        assert any(m.file == file and m.found == "a folder" for m in told(folder))
