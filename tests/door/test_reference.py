"""The reference is what the code says."""

import runpy
from pathlib import Path

REFERENCE = runpy.run_path(str(Path(__file__).parents[1] / "reference.py"))


def test_the_reference_is_as_the_code_says() -> None:
    kept = REFERENCE["PAGE"].read_text(encoding="utf-8")
    assert kept == REFERENCE["page"](), "run python tests/reference.py"


def test_everything_public_says_what_it_is() -> None:
    silent = [
        line for line in REFERENCE["page"]().splitlines() if line.startswith("- `") and line.rstrip().endswith("`:")
    ]
    assert not silent
