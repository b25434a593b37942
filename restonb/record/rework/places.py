"""Places in words: 'gap (foot 1 ... foot 4), lift'. Short enough for a line, and never less than what is meant."""

from __future__ import annotations

import re
from collections.abc import Iterable

__all__ = ["fold", "listed"]

MOST = 6
"""Names in brackets at most; more are told by the first of them and their number."""

_NUMBERED = re.compile(r"(.*?)([0-9]+)")


def fold(positions: Iterable[str], most: int | None = MOST) -> str:
    """'foot 1 ... foot 4' for three and more that follow each other, else one by one; '' for 'once' alone.

    With `most`, longer lists end with '... 8 in all'; None gives every one of them.
    """
    names = _in_order(list(positions))
    parts: list[str] = []
    at = 0
    while at < len(names):
        end = at
        while end + 1 < len(names) and _next(names[end]) == names[end + 1]:
            end += 1
        if end - at < 2:
            end = at
        parts.append(names[at] if end == at else f"{names[at]} ... {names[end]}")
        at = end + 1
    if parts == ["once"]:
        return ""
    if most is not None and len(parts) > most:
        return f"{', '.join(parts[:most])} ... {len(names)} in all"
    return ", ".join(parts)


def listed(places: Iterable[tuple[str, str]], most: int | None = MOST) -> str:
    """'gap (foot 1 ... foot 4), lift': what is measured, and where."""
    groups: dict[str, list[str]] = {}
    for what, position in places:
        groups.setdefault(what, []).append(position)
    folded = {what: fold(positions, most) for what, positions in groups.items()}
    return ", ".join(f"{what} ({at})" if at else what for what, at in folded.items())


def _in_order(names: list[str]) -> list[str]:
    """Counted places by their number, whichever was measured last; other names as they come."""
    numbered = [(match[1], int(match[2]), name) for name in names if (match := _NUMBERED.fullmatch(name))]
    alike = len(numbered) == len(names) and len({lead for lead, _, _ in numbered}) == 1
    return [name for _, _, name in sorted(numbered)] if alike else names


def _next(name: str) -> str | None:
    """'foot 2' after 'foot 1'; None where the name does not end with a number."""
    found = _NUMBERED.fullmatch(name)
    return None if found is None else f"{found[1]}{int(found[2]) + 1}"
