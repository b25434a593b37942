"""Without a limit nothing is inside and nothing outside: on a spec book without any, no template settles what it read."""

from __future__ import annotations

from pathlib import Path

import pytest
from harness.case import Case, begin, cases, without
from harness.run import run

FILES = cases()
MEASURING = [template for template, path in FILES.items() if Case.read(path).rows]


@pytest.mark.parametrize("template", MEASURING, ids=lambda template: template.rpartition("/")[2])
def test_nothing_is_settled_by_readings_that_have_no_limit(template: str, tmp_path: Path) -> None:
    """Everything of the good case is measured, and the limits of every row are gone."""
    case = Case.read(FILES[template])
    bare = without(
        case, limits=[row["characteristic"] for row in case.rows if row.get("sheet", case.sheet) == case.sheet]
    )
    build, record = begin(bare, tmp_path / "build")
    try:
        done, _ = run(build, record, case.sheet if case.serves else case.template)
    finally:
        record.close()
    assert done.good, done.reason
    own = set(case.own)
    settled = [
        step for step in done.filed["steps"] if step["state"] == "settled" and {key for key, _ in step["about"]} & own
    ]
    assert not settled
    assert "closing" not in {step["finding"] for step in done.filed["steps"]} or not own
