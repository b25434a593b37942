"""Values are not changed after they were made: every data class is frozen and takes no other field, save those named here."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import restonb

TOP = Path(restonb.__file__).parent


def loose_classes() -> set[str]:
    """Data classes that can be changed, or can be given a field that they do not have."""
    found = set()
    for path in TOP.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for mark in node.decorator_list if isinstance(node, ast.ClassDef) else ():
                if ast.unparse(mark).startswith("dataclass") and {
                    k.arg for k in getattr(mark, "keywords", ()) if ast.unparse(k.value) == "True"
                } < {"frozen", "slots"}:
                    found.add(node.name)
    return found


CHANGED = {
    "Budget",
    "Checked",
    "Facts",
    "Filing",
    "Live",
    "Measured",
    "RowStanding",
    "Template",
    "Verdict",
    "Verdicts",
}
"""What gathers while it runs, or keeps what it worked out once (a cached property needs a place to lie)."""


@pytest.mark.practice
def test_only_what_gathers_can_be_changed() -> None:
    assert loose_classes() == CHANGED
