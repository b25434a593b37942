"""Shape and colour of each word of the toolkit, for both documents. The word itself always stands beside them."""

from __future__ import annotations

__all__ = ["MARKS", "shape"]

_BLUE, _RED, _AMBER, _GREY = "#0b5c8c", "#b03a00", "#805300", "#555555"

MARKS: dict[str, tuple[str, str]] = {
    # verdicts, with the shapes that the charts use
    "inside": ("●", _BLUE),
    "too close to call": ("▲", _AMBER),
    "outside": ("✖", _RED),
    "not measured": ("□", _GREY),
    # what a filed result is worth
    "good": ("●", _BLUE),
    "out of date": ("◆", _AMBER),
    "in doubt": ("◆", _AMBER),
    "measure again": ("✖", _RED),
    "failed": ("✖", _RED),
    "not run": ("□", _GREY),
    # joints
    "final": ("●", _BLUE),
    "tightened": ("●", _BLUE),
    "temporary": ("◆", _AMBER),
    "dry-fitted": ("◆", _AMBER),
    "apart": ("□", _GREY),
    # loose ends
    "open": ("◇", _AMBER),
    "caution": ("▲", _RED),
}


def shape(mark: str) -> str:
    """The sign for a word; '' for a word without one."""
    return MARKS.get(mark, ("", ""))[0]
