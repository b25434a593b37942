"""What of a set of verdicts is still to be done, in words."""

from __future__ import annotations

from restonb.decisions._words import listed, places
from restonb.measure import Verdicts

__all__ = ["not_settled", "still"]


def still(verdicts: Verdicts) -> str:
    """' (left, right still to do)' where only some of it is measured; '' where all or nothing is."""
    gone = places(verdicts, "not measured")
    return f" ({listed(gone)} still to do)" if gone and len(gone) < len(verdicts) else ""


def not_settled(verdicts: Verdicts) -> list[str]:
    """The positions that are outside or too close to call, worst first."""
    return [*places(verdicts, "outside"), *places(verdicts, "too close to call")]
