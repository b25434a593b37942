"""Running templates into the log: toy notebooks that each end in their own way."""

import json
import os

import pytest

from restonb import log
from restonb.errors import RunError
from restonb.record import runs, verify
from restonb.stated import Build

FILE = "from restonb import bench\nbench.sheet('toy').file()"


def files(build):
    return sorted(p.relative_to(build.folder).as_posix() for p in build.log.rglob("*"))


def test_a_good_run_is_filed_twice_under_two_names_and_in_the_record(build, record, write_template):
    write_template(
        build, "general/toy", "import os, json\nprint(size, names, os.environ['RESTONB_HEAD'])",
        "sheet_is = 'toy'", "print(os.getcwd() == os.environ['RESTONB_BUILD'], os.environ['RESTONB_STATIC'])", FILE,
    )  # fmt: skip
    note = record.append("note", {"text": "before"})
    first = log.run(build, record, "toy", {"size": 3})
    second = log.run(build, record, "general/toy")

    assert (first.state, first.reason, first.cell) == ("good", "", None)
    assert first.folder == "log/2026-03-14/toy"
    assert second.folder == "log/2026-03-14/toy-2"
    assert files(build) == [
        "log/2026-03-14", "log/2026-03-14/toy", "log/2026-03-14/toy-2",
        "log/2026-03-14/toy-2/toy.html", "log/2026-03-14/toy-2/toy.ipynb",
        "log/2026-03-14/toy/toy.html", "log/2026-03-14/toy/toy.ipynb",
    ]  # fmt: skip
    assert [run.seq for run in runs(record)] == [first.seq, second.seq]
    assert first.head == {"seq": note.seq, "digest": note.digest}
    assert first.parameters == {"size": 3.0, "names": []}
    assert first.subsystem == "general"
    assert first.versions["papermill"]
    assert verify(record.path).ok

    notebook = json.loads((build.folder / first.folder / "toy.ipynb").read_text())
    printed = [o["text"] for c in notebook["cells"] for o in c.get("outputs", []) if o["output_type"] == "stream"]
    assert printed == ["3.0 [] 1\n", "True 1\n"]
    assert notebook["cells"][1]["source"] == "size = 3.0  # mm, of the toy\nnames: list[str] = []  # of parts"

    changes = log.what_changed(record, second)
    assert [(c.kind, c.what, c.was, c.now) for c in changes] == [("parameter", "size", "3", "2")]
    assert changes.summary == "since the run of 2026-03-14: 1 parameter changed"
    assert "first run" in log.what_changed(record, first).summary


def test_what_is_filed_names_no_folder_of_this_machine_and_keeps_no_marks_of_the_machinery(
    build, record, tmp_path, write_template
):
    write_template(build, "general/toy", FILE, "import os\nopen(os.environ['RESTONB_BUILD'] + '/nothing.txt')")
    run = log.run(build, record, "toy")
    assert run.state == "failed"
    for name in ("toy.ipynb", "toy.html"):
        text = (build.folder / run.folder / name).read_text()
        for place in (str(tmp_path), os.path.expanduser("~") + "/", os.path.dirname(log.__file__), "papermill-error"):
            assert place not in text, name
        assert '"papermill": {' not in text
        assert "the build/nothing.txt" in text
    assert str(tmp_path) not in run.reason


def test_a_run_that_fails_is_kept_with_cell_and_reason_and_leaves_the_good_one(build, record, write_template):
    write_template(build, "general/toy", FILE)
    good = log.run(build, record, "toy")
    kept = (build.folder / good.folder / "toy.html").read_bytes()
    write_template(build, "general/toy", "a = 1", "1 / 0", "b = 2")
    bad = log.run(build, record, "toy")
    assert (bad.state, bad.cell, bad.reason) == ("failed", 4, "ZeroDivisionError: division by zero")
    assert bad.folder == "log/2026-03-14/toy-2"
    page = (build.folder / bad.folder / "toy.html").read_text()
    assert "This run failed.</strong> Cell 4: ZeroDivisionError" in page
    assert page.count(">not run<") == 1
    assert (build.folder / good.folder / "toy.html").read_bytes() == kept
    assert log.previous(record, bad) == good


def outputs(build, run):
    notebook = json.loads((build.folder / run.folder / "toy.ipynb").read_text())
    return ["".join(o.get("data", {}).get("text/plain", "")) for c in notebook["cells"] for o in c.get("outputs", [])]


def test_the_first_output_of_a_run_is_what_was_found_and_what_to_do(build, record, write_template):
    start = "from restonb import bench, decisions\nsheet = bench.sheet('toy')"
    decide = "sheet.decide([decisions.stop('wheel', 'The wheel is loose.')], closing='Ride it.')"
    write_template(build, "general/toy", start, "sheet.summary()", "1 + 1", decide, "sheet.file()")
    run = log.run(build, record, "toy")
    first, *_, last = outputs(build, run)
    assert first.splitlines()[0] == "toy: ✕ stop"
    assert "✕ stop: The wheel is loose." in first
    assert "Filed from this sheet." in first
    assert "is at the top" in last
    page = (build.folder / run.folder / "toy.html").read_text()
    assert page.count('class="box stop"') == 1
    assert page.index('class="box stop"') < page.index(">2</pre>")
    assert page.index("</header>") < page.index('class="box stop"')
    assert [step["state"] for step in run.filed["steps"]] == ["stop"]


def test_in_a_notebook_that_is_open_the_box_is_filled_in_and_nothing_says_filed(
    build, record, monkeypatch, write_template
):
    import nbformat
    from nbclient import NotebookClient

    start = "from restonb import bench, decisions\nsheet = bench.sheet('toy')"
    path = write_template(
        build,
        "general/toy",
        start,
        "sheet.summary()",
        "sheet.decide(decisions.to_do('paint', 'Paint it.'))",
        "sheet.file()",
    )
    monkeypatch.setenv("RESTONB_BUILD", str(build.folder))
    notebook = nbformat.read(path, as_version=4)
    record.append("note", {"text": "begun"})
    NotebookClient(notebook, kernel_name="python3", timeout=60).execute()
    texts = [o["data"]["text/plain"] for c in notebook.cells for o in c.get("outputs", [])]
    assert texts[0].splitlines()[0] == "toy: ▸ to do"
    assert texts[-1].startswith("toy: ▸ to do. Not filed yet: 'restonb run toy' files it.")
    assert not any("Filed" in text for text in texts)
    assert not list(build.log.rglob("*.html"))


def test_a_run_that_fails_after_its_end_says_nowhere_that_it_is_filed(build, record, write_template):
    start = "from restonb import bench, decisions\nsheet = bench.sheet('toy')\nsheet.decide('Go.')"
    for cells in (
        ("sheet.summary()", "sheet.file()", "1 / 0"),
        ("sheet.summary()", "1 / 0"),
        ("sheet.file()", "1 / 0"),
    ):
        write_template(build, "general/toy", start, *cells)
        bad = log.run(build, record, "toy")
        assert bad.state == "failed"
        kept = outputs(build, bad)
        assert any("This run failed: ZeroDivisionError" in text for text in kept)
        page = (build.folder / bad.folder / "toy.html").read_text()
        for text in (*kept, page):
            assert "Filed from" not in text
            assert "Not decided yet" not in text
        assert page.index("This run failed.") < page.index('class="cell"')


def test_what_a_template_refuses_is_told_in_its_words_alone(build, record, write_template):
    write_template(build, "general/toy", "from restonb.errors import RunError", "raise RunError('count the links')")
    bad = log.run(build, record, "toy")
    assert (bad.state, bad.reason) == ("failed", "count the links")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("cell", "limit", "reason"),
    [
        ("import os; os._exit(9)", 60, "the kernel died"),
        ("import time; time.sleep(60)", 1, "took longer than 1 s and was stopped"),
    ],
)
def test_a_kernel_that_dies_or_takes_too_long_is_kept_as_failed(build, record, cell, limit, reason, write_template):
    write_template(build, "general/toy", "print('got here')", cell, "print('not here')")
    run = log.run(build, record, "toy", time_limit=limit)
    assert (run.state, run.cell) == ("failed", 4)
    assert reason in run.reason
    page = (build.folder / run.folder / "toy.html").read_text()
    assert page.count(">got here") == 1
    assert ">not here" not in page


def test_a_template_that_files_nothing_has_failed(build, record, write_template):
    write_template(build, "general/toy", "a = 1")
    run = log.run(build, record, "toy")
    assert (run.state, run.reason) == ("failed", "it filed nothing; let its last cell call sheet.file()")


@pytest.mark.parametrize(
    ("template", "parameters", "message"),
    [
        ("toy", {"sise": 1}, r"toy has no parameter 'sise' \(given for this run\); did you mean size\?"),
        ("toy", {"size": "big"}, r"parameter size: .*big"),
        ("toy", {"names": [1]}, r"parameter names takes a list of texts, not \[1\]"),
        ("tpy", {}, r"no template 'tpy'; did you mean toy\?"),
    ],
)
def test_what_cannot_be_run_is_refused_before_anything_starts(
    build, record, template, parameters, message, write_template
):
    write_template(build, "toy", "1 / 0")
    with pytest.raises(RunError, match=message) as caught:
        log.run(build, record, template, parameters)
    assert "\n" not in str(caught.value)
    assert files(build) == []
    assert record.head() is None


def test_standing_parameters_are_checked_and_named_by_their_file(build, record, write_template):
    write_template(build, "general/toy", "1 / 0")
    with (build.folder / "build.toml").open("a") as file:
        file.write("\n[parameters.toy]\nsizes = 4\n")
    with pytest.raises(RunError, match=r"'sizes' \(build.toml, \[parameters.toy\]\); did you mean size\?"):
        log.run(Build.open(build.folder), record, "toy")


def test_the_log_that_cannot_be_written_is_told_in_one_line(build, record, write_template):
    write_template(build, "general/toy", "a = 1")
    build.log.rmdir()
    build.log.write_text("in the way")
    with pytest.raises(RunError, match=r"the log cannot be written .*; make room, then run again"):
        log.run(build, record, "toy")


def test_a_persons_copy_takes_the_place_of_the_shipped_template(build):
    name = "drivetrain/gearbox_mounting"
    assert not log.find_template(build, name).own
    path = log.copy_template(build, "gearbox_mounting")
    assert path == build.notebooks / f"{name}.ipynb"
    mine = log.find_template(build, "gearbox_mounting")
    assert mine.own
    assert [t.name for t in log.templates(build)].count(name) == 1
    assert mine.digest == log.find_template(None, name).digest
    assert log.copy_template(build, name) == path


def test_a_copy_has_the_standing_parameters_filled_in(build):
    with (build.folder / "build.toml").open("a") as file:
        file.write("\n[parameters.gearbox_mounting]\nmax_plies = 2\n")
    build = Build.open(build.folder)
    log.copy_template(build, "gearbox_mounting")
    found = {p.name: p.default for p in log.find_template(build, "gearbox_mounting").parameters}
    assert found["max_plies"] == 2
    assert found["residual_limit"] == "0.05 mm"


def test_one_name_in_two_subsystems_must_be_written_in_full(build, write_template):
    write_template(build, "brakes/toy", "1")
    write_template(build, "general/toy", "1")
    with pytest.raises(RunError, match="'toy' is the name of several; write brakes/toy or general/toy"):
        log.find_template(build, "toy")


def test_a_template_judges_its_own_sheet_and_no_other(build, record, write_template):
    write_template(build, "general/toy", "1 / 0", parameters='sheet = "toy"')
    with pytest.raises(RunError, match="this template judges toy; for chain, run chain"):
        log.run(build, record, "toy", {"sheet": "chain"})
    assert record.head() is None
    assert log.run(build, record, "toy", {"sheet": "toy"}).cell is not None, "it began, and stopped in its own cell"
