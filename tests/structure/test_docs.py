"""The documents cannot drift: every command, room, template and benchmark stands in them, and what they name exists."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from restonb.cli.main import COMMANDS

TOP = Path(__file__).parents[2]
README = (TOP / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("command", COMMANDS)
def test_readme_tells_every_command(command: str) -> None:
    assert f"| `restonb {command}` |" in README


def test_readme_names_no_command_that_is_not_there() -> None:
    assert set(re.findall(r"`restonb ([a-z]+)`", README)) <= set(COMMANDS)


def test_readme_opens_with_the_job_and_has_both_commands() -> None:
    first = README.split("\n\n")[1]
    for word in ("measure", "decide", "work out", "put it together", "take it apart", "show"):
        assert word in first
    assert len(re.findall(r"^python3 -m venv .*$", README, re.MULTILINE)) == 2


@pytest.mark.parametrize("room", [p.name for p in (TOP / "restonb").iterdir() if (p / "__init__.py").exists()])
def test_developers_tell_every_room(room: str) -> None:
    assert f"`{room}`" in DEVELOPERS


@pytest.mark.parametrize("name", [p.name for p in (TOP / "tests" / "benchmarks").glob("bench_*.py")])
def test_developers_tell_every_benchmark(name: str) -> None:
    assert name in DEVELOPERS


def test_top_level_is_what_was_agreed() -> None:
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "restonb", "notebooks", "tests", "data_demo"}
    import subprocess

    listed = subprocess.run(["git", "ls-files"], cwd=TOP, capture_output=True, text=True)
    if listed.returncode:
        pytest.skip("not a git checkout")
    found = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in found if not name.startswith(".")} == agreed
