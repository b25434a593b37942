"""The rooms and the one way in which they may import each other, and what starting a command may cost."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from faces import LAZY, block_in_file, block_of_table

PACKAGE = Path(__file__).parents[2] / "restonb"

ORDER = (
    "quantity",
    "formulas",
    "measure",
    "stated",
    "record",
    "decisions",
    "charts",
    "bench",
    "log",
    "handover",
    "cli",
)
"""The rooms, from the ground up: a room may import those before it."""

NOT = {
    "measure": {"formulas"},
    "charts": {"decisions"},
    "log": {"bench", "decisions"},
    "handover": {"bench", "log", "decisions"},
}
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


DOORS = {
    "restonb.formulas": "a family's `__all__` is what `restonb calc` lists: its tables are asked for from their module",
    "restonb.decisions": "each module is one template's, and is imported by that template alone",
    "restonb.record.ondisk": "its words (write, settle, sweep) say nothing without its name",
    "restonb.cli.main": "the command itself, for `python -m restonb`",
}
"""What is asked for by its own name, and not through the face of its room, with the reason."""


def faces(room: str) -> set[str]:
    return set(import_module(f"restonb.{room}").__all__)


def bypassed(path: Path) -> list[str]:
    """Imports of a file that reach into another room past its face."""
    own = path.relative_to(PACKAGE).parts[0]
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            asked = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            asked = [f"{node.module}.{alias.name}" for alias in node.names]
        else:
            continue
        for name in asked:
            _, *parts = name.split(".")
            if not name.startswith("restonb.") or parts[0] not in MAY_IMPORT or parts[0] == own:
                continue
            door = any(name == one or name.startswith(f"{one}.") for one in DOORS)
            private = any(part.startswith("_") for part in parts)
            if private or not (door or len(parts) == 1 or (len(parts) == 2 and parts[1] in faces(parts[0]))):
                found.append(f"{path.relative_to(PACKAGE)}:{node.lineno}: {name}")
    return found


@pytest.mark.parametrize("room", [*MAY_IMPORT, "."])
def test_other_rooms_are_entered_through_their_face(room: str) -> None:
    paths = PACKAGE.glob("*.py") if room == "." else (PACKAGE / room).rglob("*.py")
    found = [line for path in sorted(paths) for line in bypassed(path)]
    assert not found, "import it from its room; what is missing there, offer it there:\n" + "\n".join(found)


@pytest.mark.parametrize(
    "line", ["from restonb.record.views import runs", "from restonb.measure._x import y", "import restonb.log._run"]
)
def test_an_import_past_the_face_is_found(line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(globals(), "PACKAGE", tmp_path)
    path = tmp_path / "bench" / "file.py"
    path.parent.mkdir()
    path.write_text(line)
    assert bypassed(path)


@pytest.mark.parametrize("room", LAZY)
def test_the_checker_of_types_sees_what_the_table_of_a_room_offers(room: str) -> None:
    assert block_in_file(room) == block_of_table(room), "run: python tests/structure/faces.py"


@pytest.mark.parametrize("room", LAZY)
def test_no_name_of_a_face_is_that_of_a_module_beside_it(room: str) -> None:
    """The module would stand in its place as soon as anyone has loaded it."""
    beside = {path.stem for path in (PACKAGE / room).iterdir()}
    assert not faces(room) & beside
