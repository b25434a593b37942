"""Words that every room uses: near names, lists, counted nouns, and places in one line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

__all__ = ["counted", "fold", "listed", "listed_places", "near"]

MOST = 6
"""Names in brackets at most; more are told by the first of them and their number."""

_NUMBERED = re.compile(r"(.*?)([0-9]+)")


def listed(names: Iterable[str], most: int | None = None, last: str = "and") -> str:
    """'foot 1', 'foot 1 and foot 3', 'foot 1, foot 2 and foot 3'; '' for none.

    With `most`, a longer list ends in '... 12 in all'.
    """
    found = list(names)
    if most is not None and len(found) > most:
        return f"{', '.join(found[:most])} ... {len(found)} in all"
    if len(found) < 2:
        return found[0] if found else ""
    return f"{', '.join(found[:-1])} {last} {found[-1]}"


def counted(number: int, one: str, many: str = "") -> str:
    """'1 place', '3 places'; `many` where the plural is not made with an s."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def near(word: str, known: Iterable[str], most: int = 1, cutoff: float = 0.6) -> list[str]:
    """The known names that look like `word`, the nearest first; case and the space or _ between words do not count."""
    from difflib import get_close_matches

    by_plain: dict[str, str] = {}
    for name in known:
        by_plain.setdefault(_plain(name), name)
    return [by_plain[found] for found in get_close_matches(_plain(word), list(by_plain), most, cutoff)]


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


def listed_places(places: Iterable[tuple[str, str]], most: int | None = MOST) -> str:
    """'gap (foot 1 ... foot 4), lift': what is measured, and where."""
    groups: dict[str, list[str]] = {}
    for what, position in places:
        groups.setdefault(what, []).append(position)
    folded = {what: fold(positions, most) for what, positions in groups.items()}
    return ", ".join(f"{what} ({at})" if at else what for what, at in folded.items())


def _plain(word: str) -> str:
    return word.strip().casefold().replace(" ", "_")


def _in_order(names: Sequence[str]) -> list[str]:
    """Counted places by their number, whichever was measured last; other names as they come."""
    numbered = [(match[1], int(match[2]), name) for name in names if (match := _NUMBERED.fullmatch(name))]
    alike = len(numbered) == len(names) and len({lead for lead, _, _ in numbered}) == 1
    return [name for _, _, name in sorted(numbered)] if alike else list(names)


def _next(name: str) -> str | None:
    """'foot 2' after 'foot 1'; None where the name does not end with a number."""
    found = _NUMBERED.fullmatch(name)
    return None if found is None else f"{found[1]}{int(found[2]) + 1}"
