"""Text that fits: measured widths, wrapped lines, numbers with the digits they deserve."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextToPath

from restonb.charts._look import FONT, TEXT
from restonb.errors import QuantityError
from restonb.quantity import unit as find_unit
from restonb.quantity import write_number

_measure = TextToPath()


@lru_cache(maxsize=4096)
def width(text: str, size: float = TEXT, bold: bool = False) -> float:
    """Width of a line of text in inches, `size` in points."""
    if not text:
        return 0.0
    font = FontProperties(family=FONT, size=size, weight="bold" if bold else "normal")
    return float(_measure.get_text_width_height_descent(text, font, False)[0]) / 72


def wrap(text: str, room: float, size: float = TEXT, bold: bool = False, lines: int = 99) -> list[str]:
    """`text` in at most `lines` lines of at most `room` inches; what is left out ends in an ellipsis."""
    done: list[str] = []
    line = ""
    words = [piece for word in text.split() for piece in _pieces(word, room, size, bold)]
    for count, word in enumerate(words):
        longer = f"{line} {word}" if line else word
        if not line or width(longer, size, bold) <= room:
            line = longer
        elif len(done) == lines - 1:
            return [*done, cut(" ".join([line, *words[count:]]), room, size, bold)]
        else:
            done.append(line)
            line = word
    return [*done, line] if line or not done else done


def cut(text: str, room: float, size: float = TEXT, bold: bool = False) -> str:
    """`text` in one line of at most `room` inches, cut in the middle of the name: both ends tell it apart."""
    if width(text, size, bold) <= room:
        return text
    for keep in range(len(text) - 1, 1, -1):
        head = math.ceil(keep * 0.6)
        short = text[:head].rstrip() + "…" + text[len(text) - (keep - head) :].lstrip()
        if width(short, size, bold) <= room:
            return short
    return text[:1] + "…"


def _pieces(word: str, room: float, size: float, bold: bool) -> list[str]:
    pieces: list[str] = []
    while width(word, size, bold) > room and len(word) > 1:
        keep = next((n for n in range(len(word) - 1, 1, -1) if width(word[:n], size, bold) <= room), 1)
        pieces.append(word[:keep])
        word = word[keep:]
    return [*pieces, word]


def num(value: float | None, u: float | None = None) -> str:
    """A number with the digits that `u` deserves, as `restonb.quantity` writes it, with a true minus sign."""
    return "–" if value is None else write_number(value, u or None).replace("-", "−")


def step_of(values: Iterable[float | None]) -> float:
    """The step in which the given numbers can all be written, not finer than 0.001: 0.05 and 0.2 give 0.01."""
    places = [len(f"{v:.3f}".rstrip("0").partition(".")[2]) for v in values if v is not None]
    return float(10.0 ** -max(places, default=0))


def stepped(value: float | None, step: float) -> str:
    """A number written to a step."""
    return "–" if value is None else write_number(value, None, step).replace("-", "−")


def with_u(value: float | None, u: float | None) -> str:
    """'0.120 ± 0.023': both to the second digit of the uncertainty."""
    if value is None or not u:
        return num(value)
    return f"{num(value, u)} ± {num(u, u)}"


def sign(unit: str) -> str:
    """How a unit is written: '°C' for 'degC'; a unit that is not in the list as it stands, none for '1'."""
    try:
        symbol = find_unit(unit).symbol
    except QuantityError:
        return unit
    return "" if symbol == "1" else symbol


def span(lower: float | None, upper: float | None, unit: str) -> str:
    """The limits in words: '0.05 to 0.10 mm', 'at most 0.10 mm', 'at least 3 mm', 'no limit given'."""
    if lower is not None and upper is not None:
        return f"{num(lower)} to {num(upper)} {unit}".strip()
    if upper is not None:
        return f"at most {num(upper)} {unit}".strip()
    if lower is not None:
        return f"at least {num(lower)} {unit}".strip()
    return "no limit given"


def days(stamps: Iterable[str]) -> str:
    """'2026-03-14', or '2026-03-14 to 2026-03-20'; empty where no date is known."""
    found = sorted({s[:10] for s in stamps if s})
    if not found:
        return ""
    return found[0] if found[0] == found[-1] else f"{found[0]} to {found[-1]}"
