"""A new spec book holds, as remarks, every row that a shipped template looks for, and no limit."""

from __future__ import annotations

import ast
import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from restonb.stated import Build, shipped

NOTEBOOKS = sorted(shipped("notebooks").glob("*/*.ipynb"))


def expected(path: Path) -> dict[str, tuple[str, str, str]]:
    """What a notebook expects, by running the cells that say so, without what they import."""
    found: dict[str, tuple[str, str, str]] = {}
    sheet = SimpleNamespace(expects=found.update, cautions=lambda *lines: None, not_filed=lambda *lines: None)
    names: dict[str, Any] = {"bench": SimpleNamespace(sheet=lambda name: sheet)}
    for cell in json.loads(path.read_text())["cells"]:
        source = "".join(cell["source"])
        if cell["cell_type"] == "code" and ("expects(" in source or "bench.sheet(" in source):
            tree = ast.parse(source)
            last = max(
                (n for n, line in enumerate(tree.body) if "expects(" in ast.unparse(line)), default=len(tree.body)
            )
            tree.body = [line for line in tree.body[: last + 1] if not isinstance(line, ast.ImportFrom)]
            exec(compile(tree, path.name, "exec"), names)  # our own notebook
    return found


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Build:
    """A new build whose rows were all taken over as they stand."""
    build = Build.create(tmp_path_factory.mktemp("new") / "machine", "Wrenfield 450")
    for path in (build.folder / "specs").iterdir():
        head, columns, rows = path.read_text().partition("sheet,characteristic,what,positions,")
        taken = [line.removeprefix("# ") if line.count(",") > 8 else line for line in rows.splitlines()]
        path.write_text(head + columns + "\n".join(taken) + "\n")
    return Build.open(build.folder)


def test_the_rows_are_right_as_they_stand(filled: Build) -> None:
    assert len(filled.specs) > 50
    assert [mistake for mistake in filled.check() if not mistake.warning] == []
    assert all((row.nominal, row.lower, row.upper, row.wear_limit) == (None,) * 4 for row in filled.specs)


@pytest.mark.parametrize("path", [p for p in NOTEBOOKS if "expects(" in p.read_text()], ids=lambda path: path.stem)
def test_each_template_finds_its_rows(filled: Build, path: Path) -> None:
    rows = filled.specs.sheet(path.stem)
    assert {row.key: (row.what, row.positions, row.unit) for row in rows} == expected(path)
    assert {row.subsystem for row in rows} == {path.parent.name}


def test_rows_of_the_brakes_come_marked_safety(filled: Build) -> None:
    assert all(row.safety for row in filled.specs.sheet("drum"))
    assert not any(row.safety for row in filled.specs.sheet("teardown"))
