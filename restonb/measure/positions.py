"""Where a characteristic is measured: the patterns of the spec book's `positions` column.

    once                                   one place
    repeat 5                               the same place five times; the mean is judged
    feet 4, bolts 6, teeth 43              numbered things: foot 1, bolt 1, tooth 1 ...
    clock 8                                round a circle as on a clock face: 12:00, 1:30 ...
    links 20                               over 20 links of a chain
    phases AB,BC,CA    axis A,B            named things: phase AB, axis A ...
    front, rear, top left                  names as they stand
    depth 10mm,40mm,70mm x axis A,B        a grid: depth 10mm / axis A ...
    depth 10mm,40mm x axis A,B; depth 70mm x axis A      a ragged grid
    clock 8 without 6:00, 7:30             a place that cannot be reached
    ovality of bore_diameter               nothing to measure: worked out from other readings
    age of hose_made                       the same, from a date of making to the day on which it is asked
    worked out                             nothing to measure: a formula gives the number, which the sheet judges
    worked out from distance and speed at front, rear      the rows it comes from, and where it is judged

Standard library only, because every command starts by reading the spec book.
"""

from __future__ import annotations

import itertools
import re
from functools import lru_cache
from typing import NamedTuple

from restonb.errors import PositionError
from restonb.words import listed, slip_of

__all__ = [
    "DERIVATIONS",
    "WORKED_OUT",
    "Derived",
    "Factor",
    "derived",
    "expand",
    "find_position",
    "places_of",
]

DERIVATIONS = (
    "age",
    "difference",
    "eccentricity",
    "form",
    "largest",
    "mean",
    "ovality",
    "run-out",
    "smallest",
    "spread",
    "sum",
    "taper",
    "twist",
)
"""Words that may stand before 'of' in a spec row that is worked out from the readings of another row."""

WORKED_OUT = "worked out"
"""What stands in a row whose number a formula gives: `Sheet.judge` holds it against the limits."""

_PAIRS = ("difference", "sum")
SEPARATOR = " / "
_HELP = "write once, repeat 5, feet 4, clock 8, links 20, names (left, right) or a grid (depth 10mm,40mm x axis A,B)"
_COUNTED = ("once", "repeat", "clock", "links", "feet")
_MOST = 720
_SINGULAR = {"feet": "foot", "teeth": "tooth", "axes": "axis", "leaves": "leaf"}


class Factor(NamedTuple):
    """One direction of a pattern: its kind, the word before its names ('' if none), and its names."""

    kind: str
    label: str
    names: tuple[str, ...]


class Derived(NamedTuple):
    """A pattern such as 'ovality of bore_diameter': what is worked out, and from the readings of which rows.

    For a number that a formula gives (`what` is WORKED_OUT), `of` are the rows that it names, none where it names none, and `at`
    is the pattern of the places where it is judged, '' where the sheet that works it out says them.
    """

    what: str
    of: tuple[str, ...]
    at: str = ""


def expand(pattern: str) -> tuple[str, ...]:
    """The positions of a pattern, in the order in which they are measured.

    Raises PositionError for a pattern that cannot be read, and for one that is worked out from other readings.
    """
    return tuple(SEPARATOR.join(parts) for parts in parts_of(pattern))


def find_position(pattern: str, typed: str) -> str:
    """The position that somebody means who types `typed`: '3' is 'foot 3', '10 a' is 'depth 10mm / axis A'.

    Raises PositionError, naming the positions there are, where none or more than one fits.
    """
    names = expand(pattern)
    pattern, typed = " ".join(pattern.split()), " ".join(typed.split())
    wanted = _tidied(typed)
    for name in names:
        if _tidied(name) == wanted:
            return name
    if names == ("once",) and wanted in ("", "1"):
        return "once"
    parts = parts_of(pattern)
    found = _matching(parts, wanted) or _matching(parts, _taken_apart(parts, wanted))
    if len(found) == 1:
        return found[0]
    if found:
        raise PositionError(f"'{typed}' fits {listed(found, 8)}; write one of them in full")
    raise PositionError(f"no position '{typed}' in '{pattern}'; write one of {listed(names, 8, 'or')}")


@lru_cache(maxsize=512)
def derived(pattern: str) -> Derived | None:
    """What a pattern such as 'ovality of bore_diameter' asks for; None for a pattern that is measured.

    Raises PositionError for a word that is nearly one of DERIVATIONS, the wrong number of rows after 'of', or a 'worked out'
    that cannot be read.
    """
    pattern = " ".join(pattern.split())
    if f"{pattern} ".casefold().startswith(f"{WORKED_OUT} "):
        return _by_formula(pattern)
    m = re.fullmatch(r"([A-Za-z][A-Za-z -]*?)\s+of\s+(\w+)(?:\s+and\s+(\w+))?", pattern)
    if m is None:
        return None
    what = m[1].casefold().replace("runout", "run-out")
    if what not in DERIVATIONS:
        near = slip_of(what, DERIVATIONS)
        if near:
            raise PositionError(f"unknown '{m[1]}' in '{pattern}'; write '{near} of {m[2]}'")
        return None
    of = tuple(key for key in (m[2], m[3]) if key)
    if (len(of) == 2) != (what in _PAIRS):
        fix = f"{what} of {m[2]} and ..." if what in _PAIRS else f"{what} of {m[2]}"
        raise PositionError(f"'{pattern}' names {len(of)} row{'s' * (len(of) > 1)}; write '{fix}'")
    return Derived(what, of)


def _by_formula(pattern: str) -> Derived:
    """'worked out from distance and speed at front, rear'."""
    m = re.fullmatch(rf"(?i){WORKED_OUT}(?: from (\w+(?:(?:, | and )\w+)*))?(?: at (.+))?", pattern)
    if m is None:
        raise PositionError(
            f"cannot read '{pattern}'; write '{WORKED_OUT}', '{WORKED_OUT} from distance and speed',"
            f" or '{WORKED_OUT} from distance and speed at front, rear'"
        )
    if m[2]:
        expand(m[2])
    return Derived(WORKED_OUT, tuple(re.split(", | and ", m[1])) if m[1] else (), m[2] or "")


def places_of(asked: Derived) -> tuple[str, ...]:
    """Where a number that a formula gives is judged: its places, () where its row names none."""
    return expand(asked.at) if asked.at else ()


@lru_cache(maxsize=512)
def parts_of(pattern: str) -> tuple[tuple[str, ...], ...]:
    """The positions of a pattern, each as its parts: ('depth 10mm', 'axis A')."""
    pattern = " ".join(pattern.split())
    worked_out = derived(pattern)
    if worked_out is not None and worked_out.what == WORKED_OUT:
        raise PositionError(f"'{pattern}': the sheet works it out; nothing is read here")
    if worked_out is not None:
        rows = " and ".join(worked_out.of)
        raise PositionError(f"'{pattern}' is worked out; enter the readings of {rows} instead")
    body, missing = _without(pattern)
    parts = tuple(p for block in blocks_of(body) for p in itertools.product(*(f.names for f in block)))
    names = [SEPARATOR.join(p) for p in parts]
    seen = set()
    for name in names:
        if name.casefold() in seen:
            raise PositionError(f"'{pattern}' has '{name}' twice; leave one of them out")
        seen.add(name.casefold())
    left_out = set()
    for typed in missing:
        found = [n for n in names if _tidied(n) == _tidied(typed)] or _matching(parts, _tidied(typed))
        if not found:
            raise PositionError(
                f"no position '{typed}' to leave out of '{body}'; write one of {listed(names, 8, 'or')}"
            )
        left_out |= set(found)
    kept = tuple(p for p, n in zip(parts, names, strict=True) if n not in left_out)
    if not kept:
        raise PositionError(f"'{pattern}' leaves out every position; keep at least one")
    return kept


def repeats_in(pattern: str) -> int | None:
    """Which part of a position is the number of a repeat, 0 for plain 'repeat 5'; None if nothing is repeated."""
    for block in blocks_of(pattern):
        for i, factor in enumerate(block):
            if factor.kind == "repeat":
                return i
    return None


def factors(pattern: str) -> tuple[Factor, ...]:
    """The directions of a pattern; those of its first part where it is ragged."""
    return blocks_of(pattern)[0]


@lru_cache(maxsize=512)
def blocks_of(pattern: str) -> tuple[tuple[Factor, ...], ...]:
    """The directions of each part of a pattern; one part where it is not ragged."""
    body, _ = _without(pattern)
    if not body:
        raise PositionError(f"no positions given; {_HELP}")
    texts = [b.strip() for b in body.split(";")]
    return tuple(tuple(_factor(t.strip(), pattern) for t in re.split(r"(?:\s+|^)[xX×](?:\s+|$)", b)) for b in texts)


def _without(pattern: str) -> tuple[str, list[str]]:
    body, word, missing = f" {pattern} ".partition(" without ")
    left_out = [m.strip() for m in missing.split(",") if m.strip()]
    if word and not left_out:
        raise PositionError(f"nothing after 'without' in '{pattern}'; write which positions there are not")
    return body.strip(), left_out


def _factor(text: str, pattern: str) -> Factor:
    """One part between the x of a grid."""
    if not text:
        raise PositionError(f"an empty part in '{pattern}'; {_HELP}")
    items = [i.strip() for i in text.split(",")]
    if not all(items):
        raise PositionError(f"an empty name in '{text}'; leave out the extra comma")
    for bad in "/=":
        if bad in text:
            raise PositionError(f"'{bad}' in '{text}'; write names without it")
    word, _, rest = items[0].partition(" ")
    word = word.casefold()
    if word in _COUNTED:
        return _numbered(word, rest.strip(), text, len(items))
    if len(items) == 1:
        return _one(text, word, rest.strip())
    if any(" " in i for i in items[1:]) or " " not in items[0]:
        return Factor("names", "", tuple(" ".join(i.split()) for i in items))
    label, first = items[0].rsplit(" ", 1)
    label = _singular(" ".join(label.split()))
    return Factor("label", label, tuple(f"{label} {i}" for i in (first, *items[1:])))


def _one(text: str, word: str, rest: str) -> Factor:
    """A part without a comma: 'bolts 6', or a single name."""
    if text.isdigit():
        raise PositionError(f"'{text}' alone says nothing; write repeat {text}, clock {text} or bolts {text}")
    if rest.isdigit() and _singular(word) != word:
        return Factor("count", _singular(word), tuple(f"{_singular(word)} {i + 1}" for i in range(_number(rest, text))))
    near = slip_of(word, _COUNTED)
    if near and (rest.isdigit() or not rest):
        fix = f"{near} {rest}".strip()
        raise PositionError(f"unknown pattern '{text}'; write '{fix}'")
    label, _, _ = text.rpartition(" ")
    return Factor("label" if label else "names", label, (" ".join(text.split()),))


def _numbered(word: str, rest: str, text: str, items: int) -> Factor:
    """The patterns with a word of their own."""
    if word == "once":
        if rest or items > 1:
            raise PositionError(f"unknown pattern '{text}'; write 'once' alone")
        return Factor("once", "", ("once",))
    if word == "links":
        counts = [_number(n.strip(), text) for n in text.partition(" ")[2].split(",")]
        return Factor("links", "", tuple(f"over {n} links" for n in counts))
    if items > 1:
        raise PositionError(f"unknown pattern '{text}'; write one number after '{word}', such as '{word} 4'")
    n = _number(rest, text)
    if word == "repeat":
        return Factor("repeat", "", tuple(str(i + 1) for i in range(n)))
    if word == "feet":
        return Factor("feet", "foot", tuple(f"foot {i + 1}" for i in range(n)))
    minutes = [round(i * 720 / n) for i in range(n)]
    return Factor("clock", "", tuple(f"{m // 60 or 12}:{m % 60:02d}" for m in minutes))


def _number(digits: str, text: str) -> int:
    if not digits.isdecimal() or not 1 <= int(digits) <= _MOST:
        word = text.split()[0]
        raise PositionError(f"'{text}' needs a whole number from 1 to {_MOST}; write it like '{word} 8'")
    return int(digits)


def _singular(word: str) -> str:
    """'phase' of 'phases'; a word that is not a plural as it stands."""
    low = word.casefold()
    if low in _SINGULAR:
        return _SINGULAR[low]
    if low.endswith(("shes", "ches", "xes", "sses")):
        return word[:-2]
    if low.endswith("ies") and len(low) > 4:
        return word[:-3] + "y"
    return word[:-1] if low.endswith("s") and not low.endswith(("ss", "us", "is")) and len(low) > 2 else word


def _tidied(text: str) -> str:
    return re.sub(r"\s*([/,])\s*", r"\1", " ".join(text.casefold().split()))


def _taken_apart(parts: tuple[tuple[str, ...], ...], typed: str) -> str:
    """'10a' as '10 a', and 'depth 10mm axis a' as 'depth 10mm/axis a': what may be typed in one breath."""
    typed = re.sub(r"(?<=\d)(?=[a-z]$)", " ", typed)
    labels = {re.escape(words[0].casefold()) for p in parts for name in p if len(words := name.split()) > 1}
    return re.sub(rf" (?=(?:{'|'.join(sorted(labels))}) )", "/", typed) if labels else typed


def _aliases(part: str) -> set[str]:
    """Every way of typing one part of a position that is short for it."""
    low = part.casefold()
    words = low.split()
    short = {low, low.replace(" ", ""), words[-1]}
    numbered = [w for w in words if w[0].isdigit()]
    if len(numbered) == 1:
        short |= {numbered[0], *re.findall(r"^\d+(?:\.\d+)?", numbered[0])}
    clock = re.fullmatch(r"(\d+):(\d\d)", low)
    if clock:
        hour, minute = clock.groups()
        short = {low, f"0{low}"[-5:], f"{hour}.{minute}", f"{hour}h{minute}"}
        if minute == "00":
            short |= {hour, f"{hour} o'clock", f"{hour} oclock"}
    return short


def _matching(parts: tuple[tuple[str, ...], ...], typed: str) -> list[str]:
    """Positions each of whose parts is meant by one piece of what was typed, in order if any fit in order."""
    whole = [p[0] for p in parts if len(p) == 1 and typed in _aliases(p[0])]
    if whole:
        return whole
    pieces = [t for t in re.split(r"[/,]| x ", typed) if t]
    if len(pieces) == 1:
        pieces = typed.split()
    any_order = list(itertools.permutations(pieces)) if len(pieces) <= 4 else []
    for orders in ([tuple(pieces)], any_order):
        found = [
            SEPARATOR.join(p)
            for p in parts
            if len(p) == len(pieces)
            and any(all(t in _aliases(part) for t, part in zip(o, p, strict=True)) for o in orders)
        ]
        if found:
            return found
    return []
