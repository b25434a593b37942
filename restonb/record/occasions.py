"""Which words stand for an occasion: the usual ones, and those in use. A slip of the finger must not start a new set."""

from __future__ import annotations

import re

from restonb.errors import RecordError
from restonb.record._journal import Record
from restonb.record.bodies import STANDARD_OCCASIONS
from restonb.record.views import UNSTRUCK
from restonb.words import slip_of

__all__ = ["known_occasions", "occasion_of"]

FIRST = STANDARD_OCCASIONS[0]


def known_occasions(record: Record, sheet: str | None = None) -> tuple[str, ...]:
    """The usual words, then those in use on a sheet (else anywhere), as far as a reading that is not struck has them."""
    where = "" if sheet is None else " AND sheet = :sheet"
    rows = record.rows(
        "SELECT DISTINCT json_extract(body, '$.occasion') FROM said"
        f" WHERE kind = 'reading'{where} AND {UNSTRUCK} ORDER BY seq",
        {"sheet": sheet, "upto": record.upto(None)},
    )
    return tuple(dict.fromkeys((*STANDARD_OCCASIONS, *(str(word) for (word,) in rows))))


def occasion_of(record: Record, typed: str | None, sheet: str, new: bool = False) -> str:
    """The occasion that is meant: 'as found' where nothing is said, a known one in its own spelling, or a new one.

    Raises RecordError where it is empty, or so near to a known one that it will be a slip; `new` says that it is none.
    """
    if typed is None:
        return FIRST
    word = " ".join(typed.split()) if isinstance(typed, str) else ""
    if not word:
        usual = "'as found', 'after rework', 'as left' or 'back from outside work'"
        raise RecordError(f"say the occasion: write for example {usual}")
    if word in STANDARD_OCCASIONS:
        return word
    for known in (known_occasions(record, sheet), known_occasions(record)):
        same = next((one for one in known if _folded(one) == _folded(word)), None)
        if same is not None:
            return same
    slip = slip_of(
        word, (one for one in known if _numbers(one) == _numbers(word))
    )  # '500 miles' and '1000 miles' are two
    if slip and not new:
        raise RecordError(
            f"no occasion {word!r} so far, did you mean {slip!r}? write that (or --new-occasion to begin this one)"
        )
    return word


def _folded(word: str) -> str:
    """'As-found' and 'as found' are one."""
    return " ".join(re.split(r"[\s_-]+", word.casefold())).strip()


def _numbers(word: str) -> list[str]:
    return re.findall(r"[0-9]+", word)
