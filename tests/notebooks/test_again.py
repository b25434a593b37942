"""A filed run gives the same again: nbval runs the filed notebook from the record alone and compares the marked cells."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from restonb.log import templates

CHECKED = "nbval-check-output"
SHEETS = ("gearbox_mounting", "charging")


@pytest.mark.parametrize("template", templates(), ids=lambda t: t.name)
def test_what_a_template_decides_is_marked_to_be_compared(template):
    marked = [c for c in template.notebook["cells"] if CHECKED in c["metadata"].get("tags", ())]
    assert any("sheet.decide(" in "".join(c["source"]) for c in marked)


def again(notebook: Path, build, run) -> subprocess.CompletedProcess[str]:
    env = os.environ | {
        "RESTONB_BUILD": str(build.folder),
        "RESTONB_HEAD": str(run.head["seq"]),
        "RESTONB_STATIC": "1",
        "PYTHONWARNINGS": "ignore",
    }
    words = ["--nbval-lax", "-p", "no:randomly", "-p", "no:cacheprovider", "-q", "-c", os.devnull, notebook.name]
    return subprocess.run(
        [sys.executable, "-m", "pytest", *words], cwd=notebook.parent, env=env, capture_output=True, text=True
    )


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_filed_run_gives_the_same_again(play, sheet):
    build, runs = play(sheet)
    run = runs[-1]
    notebook = next((build.folder / run.folder).glob("*.ipynb"))
    done = again(notebook, build, run)
    assert done.returncode == 0, done.stdout[-3000:]


def test_another_result_is_found(play, tmp_path):
    """The comparison can fail: one digit changed in a marked output is seen."""
    build, runs = play("gearbox_mounting")
    run = runs[-1]
    notebook = json.loads(next((build.folder / run.folder).glob("*.ipynb")).read_text())
    cell = next(
        c for c in notebook["cells"] if CHECKED in c["metadata"].get("tags", ()) and "decide" in "".join(c["source"])
    )
    changed = json.loads(json.dumps(cell["outputs"]).replace("foot", "fuss"))
    assert changed != cell["outputs"]
    cell["outputs"] = changed
    path = tmp_path / "changed.ipynb"
    path.write_text(json.dumps(notebook))
    done = again(path, build, run)
    assert done.returncode == 1, done.stdout[-3000:]
