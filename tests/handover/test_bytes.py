"""A few hundred changed bytes of every kind of file; `long_bytes.py` does ten thousand."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import long_bytes


def test_a_byte_changed_anywhere_is_found(tmp_path: Path) -> None:
    targets = long_bytes.small(tmp_path)
    assert {"zip", "manifest-sha256.txt", "payload .pdf", "payload .csv", "payload .jsonl"} <= targets.kinds.keys()
    done = long_bytes.spoil(targets, 300, 20260314)
    assert sum(done.values()) == 300
    assert min(done.values()) >= 5
