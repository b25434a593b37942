"""Shape and colour of each word of the toolkit, for both documents. The word itself always stands beside them."""

from __future__ import annotations

from restonb.record import SHAPES

__all__ = ["MARKS", "shape"]

_BLUE, _RED, _AMBER, _GREY = "#0b5c8c", "#b03a00", "#805300", "#555555"

_COLOURS = {
    # only what is settled is blue
    "inside": _BLUE,
    "settled": _BLUE,
    "outside": _RED,
    "stop": _RED,
    "failed": _RED,
    "measure again": _RED,
    "in doubt": _AMBER,
    "too close to call": _AMBER,
    "not known": _AMBER,
    "out of date": _AMBER,
    "no limit": _GREY,
    "to do": _GREY,
    "not measured": _GREY,
    "not run": _GREY,
}
MARKS: dict[str, tuple[str, str]] = {
    **{word: (SHAPES[word], colour) for word, colour in _COLOURS.items()},
    # joints
    "final": ("●", _BLUE),
    "tightened": ("●", _BLUE),
    "temporary": ("◆", _AMBER),
    "dry-fitted": ("◆", _AMBER),
    "apart": ("□", _GREY),
    "torque": ("◆", _RED),
    # loose ends
    "open": ("◇", _AMBER),
    "caution": ("▲", _RED),
}


def shape(mark: str) -> str:
    """The sign for a word; '' for a word without one."""
    return MARKS.get(mark, ("", ""))[0]
