"""What `restonb run` says in the terminal: the box first, then how it can hurt, what changed, and where it is filed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

CELL = """from restonb import bench, decisions
sheet = bench.sheet("{name}")
sheet.cautions("Wear gloves.", "Ask somebody to hold it.")
gaps = sheet.check("gap")
sheet.decide(
    [decisions.to_do("paint", "Paint it."), decisions.stop("ride", "Do not ride it.")],
    decisions.judged(gaps, "gaps", "the gaps", measure="Measure the gaps.", inside="All feet rest."),
    closing="Ride on.",
)
sheet.file()"""


def write(build: Path, name: str, cell: str = CELL) -> None:
    notebook = json.loads((build / "notebooks" / "drivetrain" / "toy.ipynb").read_text())
    notebook["cells"][-1]["source"] = cell.format(name=name)
    notebook["metadata"]["restonb"]["sheet"] = name
    (build / "notebooks" / "drivetrain" / f"{name}.ipynb").write_text(json.dumps(notebook))


@pytest.fixture
def run(build: Path, say: Callable) -> list[str]:
    """The lines of a run with all inside, and steps that say otherwise."""
    write(build, "toy")
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    said = say("run", "toy")
    assert said.code == 0
    return said.out.splitlines()


def test_the_word_of_the_sheet_comes_first_then_steps_by_gravity(run: list[str]) -> None:
    assert run[0] == "drivetrain/toy: ✕ stop"
    assert run[1] == "  found: 4 inside"
    assert run[2:5] == ["  ✕ stop: Do not ride it.", "  ▸ to do: Paint it.", "  ● settled: All feet rest."]
    assert "Ride on" not in "\n".join(run)


def test_cautions_are_shown_and_then_where_it_is_filed(run: list[str]) -> None:
    assert "  caution: Wear gloves." in run
    assert run.index("  ▸ to do: Paint it.") < run.index("  caution: Ask somebody to hold it.")
    assert run[-1].startswith("  filed in ")
    assert run[-2].startswith("  first run of this sheet")


def test_of_many_runs_at_once_the_cautions_are_counted(build: Path, say: Callable) -> None:
    names = ["toy", "second", "third", "fourth"]
    for name in names:
        write(build, name, CELL.replace('"gap"', '"no_such"'))
    out = say("run", *names).out
    assert out.count("2 cautions, on its page") == 4
    assert "Wear gloves" not in out


def test_a_program_reads_steps_and_not_sentences(build: Path, say: Callable) -> None:
    write(build, "toy")
    say("read", "toy", "gap", "1=0.3", "2=0", "3=0")
    (one,) = say("run", "toy", "--json").data
    assert one["word"] == "stop"
    assert one["verdicts"] == {"outside": 1, "not measured": 1, "inside": 2}
    states = {step["finding"]: step["state"] for step in one["steps"]}
    assert states == {"paint": "to do", "ride": "stop", "gaps.outside": "stop", "gaps.measure": "to do"}
    assert one["cautions"] == ["Wear gloves.", "Ask somebody to hold it."]
    assert "decision" not in one


def test_a_run_that_failed_is_said_first_and_answers_1(build: Path, say: Callable) -> None:
    write(build, "toy", "1 / 0")
    said = say("run", "toy")
    assert said.code == 1
    assert said.out.startswith("drivetrain/toy: ✕ failed: ZeroDivisionError")
    (one,) = say("run", "toy", "--json").data
    assert (one["word"], one["state"], one["steps"]) == ("failed", "failed", [])


def test_a_terminal_without_the_signs_still_gets_the_words(build: Path, say: Callable) -> None:
    write(build, "toy")
    done = subprocess.run(
        [sys.executable, "-m", "restonb", "run", "toy", "-b", str(build)],
        capture_output=True, env={**os.environ, "PYTHONIOENCODING": "latin-1"}, encoding="latin-1",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "stop: Do not ride it." in done.stdout


GOOD_CELL = """from restonb import bench, decisions
sheet = bench.sheet("{name}")
sheet.summary()"""
END = """gaps = sheet.check("gap")
sheet.decide(decisions.judged(gaps, "gaps", "the gaps", measure="Measure.", inside="All feet rest."), closing="Ride on.")
sheet.file()"""


@pytest.mark.parametrize(
    ("third", "wrench", "word"), [("0", "24 N m", "settled"), ("0.3", "24 N m", "stop"), ("0", "40 N m", "to do")]
)
def test_one_word_in_terminal_page_notebook_status_and_handover(
    build: Path, say: Callable, third: str, wrench: str, word: str
) -> None:
    specs = build / "specs" / "drivetrain.csv"
    specs.write_text("".join(specs.read_text().splitlines(keepends=True)[:2]))
    path = build / "notebooks" / "drivetrain" / "toy.ipynb"
    notebook = json.loads(path.read_text())
    last = notebook["cells"][-1]
    notebook["cells"][-1:] = [
        {**last, "id": "start", "source": GOOD_CELL.format(name="toy")}, {**last, "id": "end", "source": END},
    ]  # fmt: skip
    path.write_text(json.dumps(notebook))
    say("enter", "joint", "joint=frame", "state=tightened")
    say("enter", "joint", "joint=mounting", "state=tightened", f"fasteners=all: {wrench}")
    say("read", "toy", "gap", "1=0", "2=0", f"3={third}", "4=0")
    (run,) = say("run", "toy", "--json").data
    (sheet,) = say("status", "--json").data["sheets"]
    assert (run["word"], sheet["word"]) == (word, word)
    folder = build / run["folder"]
    slug = word.replace(" ", "-")
    assert f'class="box {slug}"' in (folder / "toy.html").read_text()
    outputs = [o for c in json.loads((folder / "toy.ipynb").read_text())["cells"] for o in c.get("outputs", [])]
    assert "".join(outputs[0]["data"]["text/plain"]).split("\n")[0].endswith(f" {word}")
    assert say("handover").code == 0
    report = json.loads(next((build / "handover").glob("*/data/report.json")).read_text())
    handed = next(sub for one in report["sections"] for sub in one["sections"] if sub["key"] == "sheet-toy")
    assert handed["blocks"][0]["mark"] == word
    closing = "Ride on." in json.dumps([run, report]) or "Ride on." in str(outputs)
    assert closing == (word == "settled")
