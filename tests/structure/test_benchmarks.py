"""`tests/benchmarks/all.py` gives every benchmark the same words, so every one must take them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parents[1] / "benchmarks"


@pytest.mark.parametrize("path", sorted(HERE.glob("*.py")), ids=lambda path: path.stem)
def test_it_takes_the_words_that_all_are_given(path: Path, tmp_path: Path) -> None:
    if path.stem == "common":
        pytest.skip("what the others share")
    words = [sys.executable, str(path), "--short", "--demo", str(tmp_path), "--help"]
    done = subprocess.run(words, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")
    assert "--short" in done.stdout
    assert "--demo" in done.stdout
