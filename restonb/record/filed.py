"""What a filed result says, whichever version filed it: its steps as data, and its sentences for showing only.

Results of format 2 hold steps; those filed before held sentences, which can be shown and not be judged.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

__all__ = ["FILED_FORMAT", "decided_lines", "has_steps", "open_lines", "steps_of", "verdict_word"]

FILED_FORMAT = 2
"""The format of a filed result as it is written now."""


def has_steps(filed: Mapping[str, Any]) -> bool:
    """Whether its decision was filed as data; what was filed before can be shown, and not be relied on."""
    return isinstance(filed.get("format"), int) and filed["format"] >= 2


def steps_of(filed: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The steps of its decision and what the template left open, each with state, finding, text, about and safety."""
    return [dict(step) for step in filed.get("steps") or ()]


def decided_lines(filed: Mapping[str, Any]) -> list[str]:
    """The sentences of the decision, to be shown."""
    return [str(step["text"]) for step in steps_of(filed)] or [str(line) for line in filed.get("decision") or ()]


def open_lines(filed: Mapping[str, Any]) -> list[str]:
    """What the result itself calls open, in sentences to be shown."""
    return [str(line) for line in filed.get("open") or ()]


def verdict_word(row: Mapping[str, Any]) -> str:
    """The word of a filed verdict row, as far as it may be relied on: what was in doubt is only outside, or in doubt."""
    word = str(row.get("verdict", ""))
    return "in doubt" if row.get("doubt") and word in ("inside", "too close to call", "no limit") else word
