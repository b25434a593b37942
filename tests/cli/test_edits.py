"""Files that people edit: what a run took from them is held against them, and a run that would come out otherwise
is out of date, in words. Putting an edit back puts the result right again."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

NOTEBOOK = "notebooks/drivetrain/toy.ipynb"


@pytest.fixture
def done(build: Path, say: Callable) -> Path:
    """The toy sheet measured and run, with a standing parameter."""
    with (build / "build.toml").open("a") as file:
        file.write('\nrule = "prove"\n' if "rule =" not in (build / "build.toml").read_text() else "")
        file.write("\n[parameters.toy]\nplies = 2\n")
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    assert say("run", "toy").code == 0
    assert reasons(say) == []
    return build


def reasons(say: Callable) -> list[str]:
    (sheet,) = say("status", "--json").data["sheets"]
    assert (sheet["state"] == "current") == (not sheet["reasons"])
    return [reason["text"] for reason in sheet["reasons"] if reason["state"] == "out of date"]


def cell(source: str, old: str, new: str) -> str:
    """A notebook with one text in its cells replaced."""
    notebook: dict[str, Any] = json.loads(source)
    for one in notebook["cells"]:
        one["source"] = one["source"].replace(old, new)
    return json.dumps(notebook, indent=1)


def saved(source: str) -> str:
    """The notebook as an editor saves it after it ran: outputs, numbers, other spacing."""
    notebook = json.loads(source)
    for n, one in enumerate(notebook["cells"]):
        one["source"] = one["source"].splitlines(keepends=True)
        if one["cell_type"] == "code":
            one["execution_count"] = n
            one["outputs"] = [{"output_type": "stream", "name": "stdout", "text": ["x\n"]}]
    return json.dumps(notebook)


EDITS: list[tuple[str, Callable[[str], str], list[str]]] = [
    (
        "instruments.csv",
        lambda t: t.replace("0.005 mm", "0.01 mm"),
        ["the error limit of feeler was changed from 0.005 mm to 0.01 mm"],
    ),
    (
        "instruments.csv",
        lambda t: t.replace("0.01 mm", "0.02 mm"),
        ["the resolution of feeler was changed from 0.01 mm to 0.02 mm"],
    ),
    (
        "instruments.csv",
        lambda t: t.replace("0.005 mm", ""),
        ["the error limit of feeler was changed from 0.005 mm to nothing"],
    ),
    (
        "instruments.csv",
        lambda t: t.replace("0.005 mm", "2 % + 0.005 mm"),
        ["the error in per cent of the reading of feeler was changed from 0 to 2"],
    ),
    ("instruments.csv", lambda t: t.replace("feeler gauges", "old feelers").replace("data sheet", "print"), []),
    ("instruments.csv", lambda t: t + "dial,dial indicator,mm,0.01 mm,0.02 mm,,,data sheet\n", []),
    ("build.toml", lambda t: t.replace('rule = "prove"', 'rule = "simple"'), ["the rule was changed from prove to simple"]),
    ("build.toml", lambda t: t.replace("plies = 2", "plies = 4"), ["the standing parameter plies was changed from 2 to 4"]),
    ("build.toml", lambda t: t.replace("plies = 2", ""), ["the standing parameter plies was taken out of build.toml"]),
    ("build.toml", lambda t: t + "\n[parameters.other]\nplies = 9\n", []),
    (NOTEBOOK, lambda t: cell(t, "Measure the gaps", "Measure every gap"), ["the template has been edited since"]),
    (NOTEBOOK, lambda t: cell(t, "plies = 3", "plies = 3\ncount = 1"), ["the template has been edited since"]),
    (NOTEBOOK, lambda t: cell(t, "plies = 3", "plies = 5"), []),  # build.toml replaces it all the same
    (NOTEBOOK, lambda t: cell(t, "# Toy sheet", "# Another heading"), []),
    (NOTEBOOK, saved, []),
    (NOTEBOOK, lambda t: t[:50], ["the template has been edited since, and is not a notebook that can be read"]),
]  # fmt: skip


def test_an_edited_file_puts_a_run_out_of_date_in_words_and_putting_it_back_puts_it_right(
    done: Path, say: Callable
) -> None:
    for name, edit, said in EDITS:
        path = done / name
        before = path.read_text()
        after = edit(before)
        assert after != before, (name, said)
        path.write_text(after)
        assert reasons(say) == said
        path.write_text(before)
        assert reasons(say) == []


def test_everything_that_a_gauge_states_is_held_against_the_file() -> None:
    from restonb.measure.model import Instrument
    from restonb.record.stands.basis import _STATED

    assert set(Instrument._fields) - set(_STATED) == {"key", "what"}, "only words do not bear on a verdict"


def test_it_is_put_right_by_running_again(done: Path, say: Callable) -> None:
    path = done / "instruments.csv"
    path.write_text(path.read_text().replace("0.005 mm", "0.01 mm"))
    assert (
        "~ out of date:\n  toy (1 out of date, 1 to do)\n    the error limit of feeler was changed" in say("status").out
    )
    assert say("run", "--stale").code == 0
    assert reasons(say) == []


def test_what_is_given_for_one_run_does_not_depend_on_the_standing_parameter(done: Path, say: Callable) -> None:
    assert say("run", "toy", "-p", "plies=7").code == 0
    path = done / "build.toml"
    path.write_text(path.read_text().replace("plies = 2", "plies = 4"))
    assert reasons(say) == []


def test_a_default_of_the_template_counts_where_nothing_replaces_it(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    assert say("run", "toy").code == 0
    path = build / NOTEBOOK
    path.write_text(cell(path.read_text(), "plies = 3", "plies = 5"))
    assert reasons(say) == ["the parameter plies of the template was changed from 3 to 5"]


def test_what_was_filed_before_its_basis_was_kept_is_not_judged_on_it(done: Path, say: Callable) -> None:
    from restonb.record import Record, enter_run, runs
    from restonb.stated import Build

    with Record.open(Build.open(done)) as record:
        body = dict(list(record.entries("run"))[-1].body)
        del body["basis"]
        enter_run(record, body)
        assert runs(record)[-1].basis == {}
    (done / "instruments.csv").write_text((done / "instruments.csv").read_text().replace("0.005 mm", "0.01 mm"))
    assert reasons(say) == []


def test_opening_the_bench_does_not_put_a_run_of_a_shipped_template_out_of_date(build: Path, say: Callable) -> None:
    """The person's own copy has the standing parameters filled in, and nothing else that bears on the result."""
    from restonb.log import copy_template, templates
    from restonb.stated import Build

    (build / NOTEBOOK).unlink()
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    said = say("run", "toy")
    assert said.code == 0, said.err  # the plain template serves it
    assert reasons(say) == []
    for template in templates(Build.open(build)):
        copy_template(Build.open(build), template.name)
    assert (build / NOTEBOOK).exists()
    assert reasons(say) == []


def test_an_earlier_view_says_that_the_files_are_todays_and_what_was_edited_since(done: Path, say: Callable) -> None:
    head = str(say("status", "--json").data["seq"])
    said = say("status", "--as-of", head)
    assert "are those of today's files; the record knows of no edit since then" in said.out
    assert "today's files" not in say("status").out
    specs = done / "specs" / "drivetrain.csv"
    specs.write_text(specs.read_text().replace("0,0.05", "0,0.08"))
    joints = done / "joints.toml"
    joints.write_text(joints.read_text().replace('toy = ["mounting"]', 'toy = ["frame"]'))
    assert say("run", "toy").code == 0
    assert reasons(say) == []
    edits = ["the spec book was changed: gap edited", "it no longer relies on mounting"]
    assert "\n".join(f"  {text}: toy" for text in edits) in say("status", "--as-of", head).out
    assert say("status", "--as-of", head, "--json").data["files"] == {"as_of": "today", "edited_since": {"toy": edits}}
    before = say("status", "--as-of", "1", "--json").data["files"]  # no run stood yet: the next one tells
    assert before["edited_since"] == {"toy": edits}
    assert "files" not in say("status", "--json").data
    preview = say("handover", "--preview", "--as-of", head)
    assert "are those of today's files; edited since then" in preview.out, preview.err
    assert say("handover", "--preview", "--as-of", head, "--json").data["files"]["edited_since"] == {"toy": edits}
    assert "today's files" not in say("handover", "--preview").out
