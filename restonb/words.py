"""Words that every room uses: near names, lists, counted nouns, times of a clock face, and places in one line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

__all__ = [
    "clock_degrees",
    "clock_time",
    "counted",
    "did_you_mean",
    "fold",
    "listed",
    "listed_places",
    "near",
    "nearest",
    "slip_of",
]

MOST = 6
"""Names in brackets at most; more are told by the first of them and their number."""

ALIKE = 0.6
"""How alike two words are where one is offered for the other: a wrong offer costs nothing."""

SLIP = 0.8
"""How alike they are where a word that could be meant is refused for a slip of the finger."""

_NUMBERED = re.compile(r"(.*?)([0-9]+)")
_TIME = re.compile(r"(\d{1,2}):(\d{2})(?: o'clock)?")


def listed(names: Iterable[str], most: int | None = None, last: str = "and") -> str:
    """'foot 1', 'foot 1 and foot 3', 'foot 1, foot 2 and foot 3'; '' for none.

    With `most`, a longer list ends in 'and 5 more'. With `last` a comma they are words to be typed: 'name, rule'.
    """
    found = list(names)
    if most is not None and len(found) > most:
        found = [*found[: most - 1], f"{len(found) - most + 1} more"]
        last = last if last.isalpha() else "and"
    if len(found) < 2:
        return found[0] if found else ""
    return ", ".join(found) if last == "," else f"{', '.join(found[:-1])} {last} {found[-1]}"


def counted(number: int, one: str, many: str = "") -> str:
    """'1 place', '3 places', '12 000 places'; `many` where the plural is not made with an s."""
    return f"{number:,} {one if number == 1 else many or one + 's'}".replace(",", " ")


def near(word: str, known: Iterable[str], most: int = 1, alike: float = ALIKE) -> list[str]:
    """The known names that look like `word`, the nearest first; case and the space, - or _ between words do not count."""
    from difflib import get_close_matches

    by_plain: dict[str, str] = {}
    for name in known:
        by_plain.setdefault(_plain(name), name)
    return [by_plain[found] for found in get_close_matches(_plain(word), list(by_plain), most, alike)]


def nearest(word: str, known: Iterable[str]) -> str:
    """The one known name that was probably meant; '' where none is near."""
    return next(iter(near(word, known)), "")


def slip_of(word: str, known: Iterable[str]) -> str:
    """The known name of which `word` is almost surely a slip of the finger; '' where it may be a word of its own."""
    typed = _plain(word)
    likely = [name for name in known if len(set(typed) ^ set(_plain(name))) < 5]  # spares loading what compares them
    close = [name for name in likely if _one_slip(typed, _plain(name))]
    return next(iter(close or (near(typed, likely, alike=SLIP) if likely else ())), "")


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """'did you mean gearbox_mounting?', else all that can be written."""
    words = list(known)
    if not words:
        return "there is none yet"
    guesses = near(word, words, 3)
    return f"did you mean {' or '.join(guesses)}?" if guesses else f"write one of {', '.join(words)}"


def clock_degrees(name: str) -> float | None:
    """Degrees clockwise from 12:00 of '1:30'; None where the name is not a time of a clock face."""
    found = _TIME.fullmatch(name.strip())
    if not found or not 1 <= int(found[1]) <= 12 or int(found[2]) > 59:
        return None
    return (int(found[1]) % 12) * 30.0 + int(found[2]) * 0.5


def clock_time(degrees: float, minutes: int = 1) -> str:
    """'1:30' of 45 degrees clockwise from 12:00, to the nearest so many minutes."""
    whole = round(degrees * 2 / minutes) * minutes % 720
    return f"{whole // 60 or 12}:{whole % 60:02d}"


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
    return re.sub(r"[\s_-]+", "_", word.strip().casefold())


def _one_slip(a: str, b: str) -> bool:
    """One letter wrong, 'feat', or two that changed places, 'onec': much in a short word, and a slip all the same."""
    wrong = [at for at in range(len(a)) if a[at] != b[at]] if len(a) == len(b) > 3 else []
    return len(wrong) == 1 or (len(wrong) == 2 and a[wrong[0]] == b[wrong[1]] and a[wrong[1]] == b[wrong[0]])


def _in_order(names: Sequence[str]) -> list[str]:
    """Counted places by their number, whichever was measured last; other names as they come."""
    numbered = [(match[1], int(match[2]), name) for name in names if (match := _NUMBERED.fullmatch(name))]
    alike = len(numbered) == len(names) and len({lead for lead, _, _ in numbered}) == 1
    return [name for _, _, name in sorted(numbered)] if alike else list(names)


def _next(name: str) -> str | None:
    """'foot 2' after 'foot 1'; None where the name does not end with a number."""
    found = _NUMBERED.fullmatch(name)
    return None if found is None else f"{found[1]}{int(found[2]) + 1}"
