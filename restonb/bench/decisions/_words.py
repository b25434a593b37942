"""Pieces of sentences that decisions share."""

from __future__ import annotations

from collections.abc import Sequence

from restonb.measure import Verdicts

__all__ = ["at_places", "listed", "places", "undone"]


def listed(words: Sequence[str]) -> str:
    """'foot 1', 'foot 1 and foot 3', 'foot 1, foot 2 and foot 3'."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def places(verdicts: Verdicts, word: str) -> list[str]:
    """The positions with that verdict."""
    return [row.position for row in verdicts if row.verdict == word]


def at_places(verdicts: Verdicts, word: str) -> str:
    """The positions with that verdict in words; what is measured, where it is measured in one place only."""
    return listed(
        [r.position if r.position != "once" else r.characteristic.what for r in verdicts if r.verdict == word]
    )


def undone(verdicts: Verdicts) -> bool:
    """Whether anything of it is still to be measured."""
    return not len(verdicts) or any(row.verdict == "not measured" for row in verdicts)
