"""Threads as the trade writes them: '3/8-16 UNC', '#10-32', 'M8', 'M8x1.25', '1/4-26 BSCyc', '2BA'."""

from __future__ import annotations

import math
import os
import re
from functools import cache
from typing import NamedTuple

from restonb.errors import QuantityError
from restonb.quantity._numbers import LONGEST
from restonb.quantity._text import quoted, tidy

__all__ = ["Thread", "read_thread", "standard_threads"]

_ANGLES = {"BSW": 55.0, "BSF": 55.0, "G": 55.0, "BA": 47.5}
_MM = 25.4


class Thread(NamedTuple):
    """A thread by its designation. `major` is the basic major diameter and `pitch` the pitch, both in mm.

    `tpi` is None for a thread that is made to a pitch in mm. `text` is the designation written out in full.
    """

    series: str
    """M, UNC, UNF, UN, BSW, BSF, BSCyc, BA or G."""
    major: float
    pitch: float
    tpi: float | None
    text: str
    left: bool = False
    fit: str = ""
    """The tolerance class as it was typed: '2B', '6g' ..."""
    source: str = ""
    """The standard that lists this size, and whether its print was seen or is recalled; empty if none."""

    @property
    def angle(self) -> float:
        """The angle of the profile in degrees: 60, 55 (Whitworth forms) or 47.5 (BA)."""
        return _ANGLES.get(self.series, 60.0)

    def __str__(self) -> str:
        return self.text + ("-LH" if self.left else "")


@cache
def standard_threads(series: str | None = None) -> tuple[Thread, ...]:
    """Every thread of the table `threads.csv`, or those of one series; the coarse pitch of a size first."""
    return tuple(_from_row(row) for row in _table() if series in (None, row.series))


class _Row(NamedTuple):
    """One line of `threads.csv`, as written."""

    series: str
    size: str
    major: str
    unit: str
    pitch: str
    tpi: str
    choice: str
    source: str
    standing: str


@cache
def _table() -> tuple[_Row, ...]:
    import csv

    path = os.path.join(os.path.dirname(__file__), "threads.csv")
    with open(path, encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        return tuple(map(_Row._make, rows))


def _from_row(row: _Row) -> Thread:
    from decimal import Decimal

    major = float(Decimal(row.major) * (Decimal("25.4") if row.unit == "in" else 1))
    tpi = float(row.tpi) if row.tpi else None
    pitch = float(row.pitch) if tpi is None else _MM / tpi
    return Thread(row.series, major, pitch, tpi, _designation(row), source=f"{row.source} ({row.standing})")


def _designation(row: _Row) -> str:
    match row.series:
        case "M":
            return f"{row.size}x{row.pitch}"
        case "BA" | "G":
            return row.size
        case series:
            return f"{row.size}-{row.tpi} {series}"


_SERIES = {
    "UNC": "UNC", "NC": "UNC", "UNF": "UNF", "NF": "UNF", "UN": "UN", "UNS": "UN",
    "BSW": "BSW", "WHIT": "BSW", "WHITWORTH": "BSW", "BSF": "BSF",
    "BSCYC": "BSCyc", "BSCYCLE": "BSCyc", "BSC": "BSCyc", "CEI": "BSCyc", "CYCLE": "BSCyc",
}  # fmt: skip
_OTHERS = ("NPT", "NPTF", "BSPT", "BSPP", "BSP", "UNEF", "UNJ", "UNJF", "UNJC", "UNR", "MJ", "TR", "RC", "R")
"""Series that are refused by name: taper threads and special forms have other rules."""
_EXAMPLES = "'M8x1.25', '3/8-16 UNC' or '1/4-26 BSCyc'"

_SUFFIX = r"(?i)[ -]*\b(LH|left[ -]?hand|RH|[1-3][AB]|[4-9][gehGH](?:[4-9][gehGH])?)$"
_METRIC = r"(?ia)^M ?([0-9]+(?:\.[0-9]+)?)(?: ?[x×*-] ?([0-9]*\.?[0-9]+))?(?: ?mm)?$"
_BA = r"(?ia)^(?:([0-9]+) ?BA|BA ?(?:no\.? ?|#)?([0-9]+))$"
_PIPE = r"(?ia)^G ?([0-9]+/[0-9]+)(?: ?[x-] ?([0-9]+)(?: ?tpi)?)?$"
_SIZE = r"(?:(?:#|no\.? ?)(?P<number>[0-9]+)|(?P<size>[0-9]+/[0-9]+|[0-9]*\.[0-9]+|1))"
_TPI = r"(?: ?[-x×] ?(?P<tpi>[0-9]+)(?: ?tpi)?)?"
_INCH = rf'(?ia)^{_SIZE}(?: ?"| ?in(?:ch)?)?{_TPI}(?:[ -]?(?P<series>[a-z]+))?$'


def read_thread(text: str) -> Thread:
    """The thread that a person typed. A pitch may be left out where the standard has one usual pitch.

    The series may be left out where only one has that size and pitch. Raises QuantityError for anything else,
    naming the threads that could be meant.
    """
    if not isinstance(text, str):
        raise QuantityError(f"a thread is text, not {type(text).__name__}: write for example {_EXAMPLES}")
    if len(text) > LONGEST:
        raise QuantityError(f"{quoted(text)} is too long for a thread: write for example {_EXAMPLES}")
    typed = tidy(text)
    if not typed:
        raise QuantityError(f"nothing was typed: write a thread, for example {_EXAMPLES}")
    body, left, fit = _without_suffixes(typed)
    comma = re.search(r"(?a)([0-9]),([0-9])", body)
    if comma:
        fixed = typed.replace(comma[0], f"{comma[1]}.{comma[2]}")
        raise QuantityError(f"{quoted(typed)} has a decimal comma: write '{fixed}'")
    one = _read_body(_series_last(body), typed)
    return Thread(one.series, one.major, one.pitch, one.tpi, one.text, left, fit, one.source)


def _without_suffixes(text: str) -> tuple[str, bool, str]:
    left, fit = False, ""
    while match := re.search(_SUFFIX, text):
        word = match[1]
        if word.upper() in ("LH", "RH") or word.lower().startswith("left"):
            left = left or word.upper() != "RH"
        else:
            fit = word
        text = text[: match.start()]
    return text.strip(), left, fit


def _series_last(text: str) -> str:
    first, _, rest = text.partition(" ")
    return f"{rest} {first}" if rest and first.upper() in _SERIES else text


def _read_body(body: str, typed: str) -> Thread:
    if match := re.match(_METRIC, body):
        return _metric(match[1], match[2], typed)
    if match := re.match(_BA, body):
        return _thread_named(f"{int(match[1] or match[2])}BA", typed)
    if match := re.match(_PIPE, body):
        return _pipe(match[1], match[2], typed)
    if match := re.match(_INCH, body):
        return _inch(match, typed)
    _refuse_by_name(body, typed)
    if re.match(r"(?ia)^M ?[0-9.]+ ?[x×*-] ?[0-9.]+ ?[x×*-]", body):
        raise QuantityError(f"{quoted(typed)} has a length too: write the thread alone, like 'M8x1.25'")
    raise QuantityError(f"{quoted(typed)} is not a thread: write for example {_EXAMPLES}")


def _refuse_by_name(body: str, typed: str) -> None:
    for word in re.findall(r"[A-Z]+", body.upper()):
        if word in _OTHERS:
            raise QuantityError(
                f"{quoted(typed)}: {word} threads are not in the list (taper and special forms have other "
                f"rules): write M, UNC, UNF, UN, BSW, BSF, BSCyc, BA or G"
            )


def _thread_named(name: str, typed: str) -> Thread:
    for one in standard_threads():
        if one.text == name:
            return one
    series = name[-2:] if name.endswith("BA") else "G"
    known = ", ".join(one.text for one in standard_threads(series))
    raise QuantityError(f"{quoted(typed)} is not in the list: write one of {known}")


def _pipe(size: str, tpi: str | None, typed: str) -> Thread:
    one = _thread_named(f"G {size}", typed)
    if tpi is not None and float(tpi) != one.tpi:
        raise QuantityError(f"{quoted(typed)}: {one.text} has {one.tpi:g} to the inch: write '{one.text}'")
    return one


_PITCHES = (0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6)  # fmt: skip
"""The pitches of ISO 261."""


def _metric(size: str, pitch: str | None, typed: str) -> Thread:
    major = float(size)
    known = [one for one in standard_threads("M") if one.major == major]
    if pitch is None:
        if known:
            return known[0]
        raise QuantityError(f"{quoted(typed)} has no standard pitch: write the pitch too, like 'M{size}x1.5'")
    wanted = float(pitch)
    for one in known:
        if one.pitch == wanted:
            return one
    coarsest = known[0].pitch if known else major / 4
    if wanted not in _PITCHES or wanted > coarsest or major > 300:
        likely = ", ".join(one.text for one in known) or "a pitch of ISO 261 such as 1, 1.25 or 1.5 mm"
        raise QuantityError(f"{quoted(typed)} is not a metric thread: write {likely}")
    return Thread("M", major, wanted, None, f"M{major:g}x{wanted:g}")


def _lowest(size: str) -> str | None:
    """'6/16' or '0.375' as '3/8'; None where it divides by zero."""
    from decimal import Decimal

    above, _, below = size.partition("/")
    n, d = (int(above), int(below)) if below else Decimal(above).as_integer_ratio()
    if not d:
        return None
    common = math.gcd(n, d)
    return f"{n // common}/{d // common}" if d != common else str(n // d)


def _inch(match: re.Match[str], typed: str) -> Thread:
    word = (match["series"] or "").upper()
    if word in _OTHERS:
        _refuse_by_name(word, typed)
    if word and word not in _SERIES:
        raise QuantityError(f"{quoted(typed)}: {quoted(word)} is not a series: write UNC, UNF, BSW or BSF")
    series, tpi = _SERIES.get(word), match["tpi"]
    size = f"#{int(match['number'])}" if match["number"] is not None else _lowest(match["size"])
    if size is None:
        raise QuantityError(f"{quoted(typed)} divides by zero: write the size again, like '3/8-16 UNC'")
    of_size = [_from_row(row) for row in _table() if row.size == size]
    fitting = [
        one for one in of_size if (series is None or one.series == series) and (tpi is None or one.tpi == float(tpi))
    ]
    if series == "UN" and tpi is not None:
        return _special(size, float(tpi), of_size, typed)
    if len(fitting) == 1 and (series is not None or tpi is not None):
        return fitting[0]
    near = fitting or [one for one in of_size if series is None or one.series == series] or of_size
    if not near:
        raise QuantityError(f"{quoted(typed)} is not a listed size: write one like '#10', '1/4' or '3/8'")
    says = "could be more than one thread" if fitting else "is not in the list"
    raise QuantityError(f"{quoted(typed)} {says}: write {' or '.join(one.text for one in near)}")


def _special(size: str, tpi: float, of_size: list[Thread], typed: str) -> Thread:
    """A UN thread of any pitch: named UNC or UNF where it is one."""
    unified = [one for one in of_size if one.series in ("UNC", "UNF")]
    for one in unified:
        if one.tpi == tpi:
            return one
    if not unified or not 4 <= tpi <= 80 or _MM / tpi > unified[0].major / 3:
        raise QuantityError(f"{quoted(typed)} is not a unified thread: write '3/8-16 UNC' or '3/8-20 UN'")
    return Thread("UN", unified[0].major, _MM / tpi, tpi, f"{size}-{tpi:g} UN")
