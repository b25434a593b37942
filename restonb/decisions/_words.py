"""A question about verdicts that decisions share."""

from __future__ import annotations

from restonb.measure import Verdicts

__all__ = ["undone"]


def undone(verdicts: Verdicts) -> bool:
    """Whether anything of it is still to be measured."""
    return not len(verdicts) or any(row.verdict == "not measured" for row in verdicts)
