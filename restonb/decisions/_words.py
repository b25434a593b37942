"""Pieces of sentences that decisions share."""

from __future__ import annotations

from collections.abc import Sequence

from restonb.measure import Verdicts

__all__ = ["at_places", "listed", "places", "undone", "unjudged"]


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


def unjudged(verdicts: Verdicts, what: str, limit: str = "") -> str:
    """What is said of readings that no limit judges: nothing is called inside, or outside, without one; '' where one does.

    `limit` is the upper limit where it is plain: 0 faults.
    """
    if verdicts.word != "no limit":
        return ""
    write = f"write {limit} as its upper limit" if limit else "write that of the manual"
    return f"No limit is given for {what}, so nothing is decided on it: {write} into the spec book."
