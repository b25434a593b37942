"""The strict grammar of numbers: '0.010', '.010', '-2', '3/8', '1-1/2', '1 1/2', '1e6'. Nothing is guessed.

Patterns are given as text: `re` compiles and keeps them on first use.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from restonb.errors import QuantityError
from restonb.quantity._text import quoted

__all__ = ["LONGEST", "Number", "leading_number"]

LONGEST = 80
"""Longer text is not a quantity."""
_LARGEST_EXPONENT = 30

_NUMBER = r"""(?xa)
    (?P<sign>[+-]?)
    (?: (?: (?P<whole>[0-9]+) [- ] )? (?P<above>[0-9]+) / (?P<below>[0-9]+)
      | (?P<decimal> (?: [0-9]+ (?: \.[0-9]+ )? | \.[0-9]+ ) (?: [eE][+-]?[0-9]+ )? )
    )
"""
_GROUPED = r"([+-]?)([0-9]{1,3}(?:[ ',_][0-9]{3})+)(\.[0-9]+)?(?![0-9/])"
_COMMA = r"([+-]?[0-9]*),([0-9]+)"
_LOOKALIKE = r"[+-]?[0-9.OoIl]*(?:[OoIl][0-9.]|[0-9.][OoIl](?![A-Za-z]))[0-9.OoIl]*"


class Number(NamedTuple):
    """The float nearest to what was typed, and one step of its last decimal (None for a fraction)."""

    value: float
    step: float | None

    @property
    def is_fraction(self) -> bool:
        return self.step is None


def leading_number(text: str, example: str) -> tuple[Number, str]:
    """The number that tidied text begins with, and what follows it.

    `example` is a quantity to show when there is no number. Raises QuantityError saying what to write.
    """
    _refuse_lookalikes(text, example)
    match = re.match(_NUMBER, text)
    if match is None:
        raise QuantityError(_no_number(text, example))
    rest = text[match.end() :]
    if rest[:1] in {".", ","} or rest[:1].isdigit():
        raise QuantityError(
            f"{quoted(text)} is not one number: write digits with one decimal point, for example '{example}'"
        )
    return _number(match, text), rest.strip()


def _number(match: re.Match[str], text: str) -> Number:
    sign = -1.0 if match["sign"] == "-" else 1.0
    value, step = _fraction(match, text) if match["decimal"] is None else _decimal(match["decimal"], text)
    if value >= 10.0**_LARGEST_EXPONENT:
        raise QuantityError(f"{quoted(text)} is out of range: write the number again")
    return Number(sign * value + 0.0, step)


def _decimal(typed: str, text: str) -> tuple[float, float]:
    digits, _, exponent = typed.lower().partition("e")
    if len(exponent) > 4 or abs(int(exponent or 0)) > _LARGEST_EXPONENT:
        raise QuantityError(f"{quoted(text)} is out of range: write it with a smaller exponent")
    places = len(digits.partition(".")[2]) - int(exponent or 0)
    return float(typed), float(f"1e{-places}")


def _fraction(match: re.Match[str], text: str) -> tuple[float, None]:
    whole, above, below = int(match["whole"] or 0), int(match["above"]), int(match["below"])
    if below == 0:
        raise QuantityError(f"{quoted(text)} divides by zero: write the fraction again, like '3/8'")
    if match["whole"] is not None and above >= below:
        more, left = divmod(above, below)
        rest = f" {left}/{below}" if left else ""
        raise QuantityError(
            f"{quoted(text)} has a fraction that is not less than 1: write it as '{whole + more}{rest}'"
        )
    try:
        return (whole * below + above) / below, None  # one division of whole numbers: correctly rounded
    except OverflowError:
        raise QuantityError(f"{quoted(text)} is out of range: write the number again") from None


def _refuse_lookalikes(text: str, example: str) -> None:
    """Refuse what looks like a number to a person but would be read as another one, showing the fix."""
    grouped = re.match(_GROUPED, text)
    if grouped is not None:
        sign, whole, decimals = grouped.groups(default="")
        plain = "".join(c for c in whole if c.isdigit())
        rest = text[grouped.end() :]
        either = ""
        if "," in whole and not decimals and whole.count(",") == 1:
            either = f" or '{sign}{whole.replace(',', '.')}{rest}'"
        raise QuantityError(
            f"{quoted(text)} has a separator inside the number: write '{sign}{plain}{decimals}{rest}'{either}"
        )
    comma = re.match(_COMMA, text)
    if comma is not None:
        raise QuantityError(
            f"{quoted(text)} has a decimal comma: write '{comma[1] or '0'}.{comma[2]}{text[comma.end() :]}'"
        )
    alike = re.match(_LOOKALIKE, text)
    if alike is not None:
        fixed = alike[0].translate(str.maketrans("OoIl", "0011"))
        letters = sorted({c for c in alike[0] if c in "OoIl"})
        raise QuantityError(
            f"{quoted(text)} has the letter {' and '.join(letters)} inside the number: "
            f"write '{fixed}{text[alike.end() :]}'"
        )


def _no_number(text: str, example: str) -> str:
    if not text:
        return f"nothing was typed: write a number with its unit, for example '{example}'"
    word = text.lstrip("+-").lower()
    if word.startswith(("nan", "inf", "∞")):
        return f"{quoted(text)} is not a measured number: write the value, or leave it out"
    if text[0] in "±~≈<>=":
        return f"{quoted(text)} begins with {text[0]}: write the number alone, for example '{example}'"
    if any(c.isdigit() for c in text):
        return f"{quoted(text)} does not begin with a number: write the number first, for example '{example}'"
    return f"{quoted(text)} has no number: write a number with its unit, for example '{example}'"
