"""What every shipped template keeps to, whatever it measures."""

import ast
import copy
import re
import runpy
from pathlib import Path

import pytest

from restonb.log import templates

ALL = templates()
TIDY = runpy.run_path(str(Path(__file__).with_name("tidy.py")))
tidied, written = TIDY["tidied"], TIDY["written"]


@pytest.fixture(params=ALL, ids=[t.name for t in ALL])
def template(request):
    return request.param


def cells(template, kind):
    return [c for c in template.notebook["cells"] if c["cell_type"] == kind]


def source(cell):
    return "".join(cell["source"])


def test_there_are_templates():
    assert ALL


def test_it_is_stored_without_outputs_counts_or_marks_of_a_run(template):
    for cell in cells(template, "code"):
        assert cell["outputs"] == []
        assert cell["execution_count"] is None
        assert set(cell["metadata"]) <= {"tags"}
    assert set(template.notebook["metadata"]) <= {"kernelspec", "language_info", "restonb"}


def test_its_cells_have_ids_of_their_own_that_say_what_they_are(template):
    ids = [cell["id"] for cell in template.notebook["cells"]]
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z][a-z0-9-]{0,63}", i) for i in ids)


def test_it_is_a_valid_notebook(template):
    import nbformat

    nbformat.validate(nbformat.from_dict(template.notebook))


def test_it_imports_only_restonb(template):
    for cell in cells(template, "code"):
        for node in ast.walk(ast.parse(source(cell))):
            if isinstance(node, ast.Import):
                assert all(a.name.split(".")[0] == "restonb" for a in node.names)
            if isinstance(node, ast.ImportFrom):
                assert node.module.split(".")[0] == "restonb"


def test_its_cells_are_short_and_hold_no_logic(template):
    for cell in cells(template, "code"):
        assert len(source(cell).splitlines()) <= 20
        for node in ast.walk(ast.parse(source(cell))):
            assert not isinstance(
                node, (ast.FunctionDef, ast.ClassDef, ast.Lambda, ast.For, ast.While, ast.If, ast.Try)
            )


def test_every_parameter_says_what_it_means(template):
    assert all(p.comment for p in template.parameters)


FREE = {
    "before_load", "cruise_loads", "file_totals", "held_by", "idle_loads", "job", "joints", "links", "occasion", "return_wire", "sheet",
    "sign_off", "switches", "through",
}  # fmt: skip
"""Names, words of a person's own, and yes or no: any will do, or what uses them says which there are."""


def test_it_checks_its_parameters_at_its_top(template):
    """Before anything is worked out on them: every parameter that has a unit, a range or a choice of words."""
    names = {p.name for p in template.parameters} - FREE
    if not names:
        return
    ids = [c["id"] for c in template.notebook["cells"]]
    assert ids.index("parameters-check") == ids.index("parameters") + 1
    [cell] = [c for c in template.notebook["cells"] if c["id"] == "parameters-check"]
    assert names <= set(re.findall(r"(\w+)=given\.", source(cell)))


def test_it_reads_like_a_job_card(template):
    text = "\n".join(source(c) for c in template.notebook["cells"])
    assert template.title
    measuring = ("sheet.measure(", "sheet.check(") if "sheet.expects(" in text else ()  # some read the record alone
    for call in (
        "sheet.cautions(",
        *measuring,
        "sheet.decide(",
        "sheet.summary()",
        "sheet.what_changed()",
        "sheet.file()",
    ):
        assert call in text, call
    headings = [line for c in cells(template, "markdown") for line in source(c).splitlines() if line.startswith("#")]
    assert sum(line.startswith("# ") for line in headings) == 1
    assert source(template.notebook["cells"][-1]).strip() == "sheet.file()"


def test_it_is_kept_as_one_would_write_it(template):
    """So that a change shows as the lines that changed."""
    text = template.path.read_text(encoding="utf-8")
    assert text == written(tidied(template.notebook)), (
        f"python tests/notebooks/tidy.py {template.path.name} puts it right"
    )


def test_a_notebook_saved_by_jupyterlab_is_tidied(template):
    """Random ids, outputs and counts, as an editor leaves them; names that a person gave stay."""
    saved = copy.deepcopy(template.notebook)
    saved["metadata"]["widgets"] = {"state": {}}
    for n, cell in enumerate(saved["cells"]):
        cell["metadata"]["editable"] = True
        if cell["cell_type"] == "code":
            cell["outputs"], cell["execution_count"] = [{"output_type": "stream", "name": "stdout", "text": "x"}], n
    saved["cells"][0]["id"] = "5f0c1d2e-3a4b-4c5d-8e6f-7a8b9c0d1e2f"
    assert written(tidied(saved)) == written(template.notebook)
