"""The killing and its checks are shared with long.py, which is not a test and imports them by name."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from kill import toy_build

from restonb.stated import Build


@pytest.fixture
def build(tmp_path: Path) -> Build:
    return toy_build(tmp_path / "toy")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Tests on a small file system of their own exist where one can be made; what they show has a twin without."""
    need = [item for item in items if "small" in getattr(item, "fixturenames", ()) and "test_disk" in item.nodeid]
    if need and not _can_mount():
        items[:] = [item for item in items if item not in need]
        config.hook.pytest_deselected(items=need)


def _can_mount() -> bool:
    if sys.platform != "linux" or os.geteuid() != 0:
        return False
    with tempfile.TemporaryDirectory() as place:
        made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", place], capture_output=True)
        return made.returncode == 0 and subprocess.run(["umount", "-l", place]).returncode == 0
