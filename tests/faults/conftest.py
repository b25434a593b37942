"""The killing and its checks are shared with long.py, which is no test and imports them by name."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from kill import toy_build

from restonb.build import Build


@pytest.fixture
def build(tmp_path: Path) -> Build:
    return toy_build(tmp_path / "toy")
