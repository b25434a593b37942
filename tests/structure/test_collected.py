"""Every test file on disk is run by the README's own command. A room whose name pytest passes over was once not run for months."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).parents[2]


def arguments() -> list[str]:
    """What the README's test command gives pytest."""
    text = (TOP / "README.md").read_text(encoding="utf-8")
    command = re.search(r"<!-- test command -->\s*```sh\n(.+?)\n```", text, re.DOTALL)
    assert command, "the README has no test command"
    words = shlex.split(command[1])
    return words[words.index(".venv/bin/pytest") + 1 :]


def on_disk() -> set[str]:
    """Every tests/**/test_*.py, less what .gitignore leaves out."""
    found = {path.relative_to(TOP).as_posix() for path in (TOP / "tests").rglob("test_*.py")}
    asked = ["git", "-c", "core.quotepath=off", "check-ignore", "--stdin"]
    done = subprocess.run(asked, input="\n".join(sorted(found)), cwd=TOP, capture_output=True, text=True)
    if done.returncode not in (0, 1):  # no git here: then nothing is ignored
        return found
    return found - set(done.stdout.splitlines())


def test_the_readmes_command_collects_every_test_file() -> None:
    words = [word for word in arguments() if not re.fullmatch(r"-n|\d+|--dist|loadfile", word)]
    asked = [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:cacheprovider", *words]
    clean = {k: v for k, v in os.environ.items() if not k.startswith("PYTEST_")}
    done = subprocess.run(asked, cwd=TOP, capture_output=True, text=True, env=clean)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    collected = {line.partition(":")[0] for line in done.stdout.splitlines() if line.startswith("tests/")}
    assert on_disk() - collected == set()


def test_no_test_folder_has_a_name_that_pytest_or_git_passes_over() -> None:
    """Said by itself, so that the reason is plain: what tools take for generated output is not looked into."""
    generated = {"build", "dist", "node_modules", "venv", ".venv", "__pycache__"}
    folders = {part for name in on_disk() for part in Path(name).parts[1:-1]}
    assert not folders & generated
