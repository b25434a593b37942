"""The rooms and the one way in which they may import each other, and what starting a command may cost."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "restonb"

ORDER = ("quantity", "formulas", "measure", "stated", "record", "decisions", "charts", "bench", "log", "handover", "cli")
"""The rooms, from the ground up: a room may import those before it."""

NOT = {"measure": {"formulas"}, "charts": {"decisions"}, "log": {"bench", "decisions"}, "handover": {"bench", "log", "decisions"}}
"""Of those, what a room may not know all the same."""

MAY_IMPORT = {room: set(ORDER[:at]) - NOT.get(room, set()) for at, room in enumerate(ORDER)}
"""Which other rooms a room may import. Everything may import restonb.errors and the version."""

ONLY_HOME = {
    "pint": {"quantity"},
    "ipywidgets": {"bench"},
    "anywidget": {"bench"},
    "papermill": {"log"},
    "typst": {"handover"},
    "sqlite3": {"record", "handover"},
}
"""Libraries that have one home. handover reads a record that came from somebody else."""


def imported(path: Path) -> set[str]:
    """Full names of everything that a file imports, at the top or inside functions."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: write the full name instead of a relative import"
            names |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return names


def files() -> list[Path]:
    return sorted(p for p in PACKAGE.rglob("*.py") if "_shipped" not in p.parts)


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_imports_run_one_way(room: str) -> None:
    for path in (PACKAGE / room).rglob("*.py"):
        used = {n.split(".")[1] for n in imported(path) if n.startswith("restonb.")}
        upward = (used & MAY_IMPORT.keys()) - MAY_IMPORT[room] - {room}
        assert not upward, f"{path.relative_to(PACKAGE)} imports {sorted(upward)}: {room} may not know them"


def test_every_folder_is_a_known_room() -> None:
    folders = {p.name for p in PACKAGE.iterdir() if p.is_dir() and p.name not in ("__pycache__", "_shipped")}
    assert folders == MAY_IMPORT.keys()


@pytest.mark.parametrize("library", ONLY_HOME)
def test_library_has_one_home(library: str) -> None:
    homes = {p.relative_to(PACKAGE).parts[0] for p in files() if any(n.split(".")[0] == library for n in imported(p))}
    assert homes <= ONLY_HOME[library]


def test_files_stay_small() -> None:
    long = {
        str(p.relative_to(PACKAGE)): n for p in files() if (n := len(p.read_text(encoding="utf-8").splitlines())) > 420
    }
    assert not long


HEAVY = {"numpy", "pandas", "scipy", "matplotlib", "pint", "uncertainties", "papermill", "nbformat", "IPython", "typst"}


SLOW_TO_LOAD = {"dataclasses", "inspect", "shutil", "tempfile", "difflib", "html", "secrets", "fractions"}
"""Of the standard library: each takes as long to load as a tenth of a command, and is for errors or for pages."""


@pytest.mark.parametrize(
    ("module", "most"),
    [
        ("restonb.cli.main", 90),
        ("restonb.cli.status", 175),
        ("restonb.record", 80),
        ("restonb.stated", 140),
        ("restonb.charts", 90),
    ],
)
def test_starting_is_cheap(module: str, most: int) -> None:
    """Counts modules, not time: what the answer does not need is not imported."""
    code = f"import sys, json, {module}; print(json.dumps(sorted(sys.modules)))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    loaded = {name.split(".")[0] for name in json.loads(out)}
    assert not loaded & HEAVY
    assert module == "restonb.charts" or not loaded & SLOW_TO_LOAD
    assert len(json.loads(out)) <= most


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_room_lists_what_it_offers(room: str) -> None:
    """Every name in `__all__` exists and stands there once; ruff keeps them in order."""
    code = (
        f"import restonb.{room} as m; names = list(getattr(m, '__all__', []));"
        f" assert len(names) == len(set(names)), names; [getattr(m, n) for n in names]"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
