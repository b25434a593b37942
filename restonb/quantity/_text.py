"""Making typed text uniform: the many ways to write a minus, a fraction, an inch mark, micro and ohm."""

from __future__ import annotations

__all__ = ["quoted", "tidy"]

_SIGNS = {
    "\u2212": "-",  # minus sign
    "\u2013": "-",  # en dash
    "\u2010": "-",  # hyphen
    "\u2011": "-",  # non-breaking hyphen
    "\u2044": "/",  # fraction slash
    "\u2215": "/",  # division slash
    "\u00b5": "u",  # micro sign
    "\u03bc": "u",  # Greek mu
    "\u03a9": "ohm",  # Greek omega
    "\u2126": "ohm",  # ohm sign
    "\u2033": '"',  # double prime
    "\u201d": '"',
    "\u201c": '"',
    "\u2032": "'",  # prime
    "\u2019": "'",
    "\u2103": "°C",
    "\u2109": "°F",
    "\u00ba": "°",  # ordinal sign, beside the degree sign on many keyboards
    "²": "2",
    "³": "3",
    "⁴": "4",
    "\u00b7": " ",  # middle dot
    "\u22c5": " ",  # dot operator
}
_JOIN = "\x00"
"""Stands before a one-character fraction: after a sign it vanishes, after a number it becomes a space."""
_FRACTIONS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip
_SAME = str.maketrans(_SIGNS | {sign: _JOIN + text for sign, text in _FRACTIONS.items()} | {_JOIN: " "})


def tidy(text: str) -> str:
    """Typed text with one sign for each meaning and single spaces: '1½″' becomes '1 1/2"'."""
    if not text.isascii():
        text = text.translate(_SAME)
        for sign in "+-":
            text = text.replace(sign + _JOIN, sign)
    return " ".join(text.replace(_JOIN, " ").split()).replace("''", '"')


def quoted(text: str, most: int = 40) -> str:
    """The text in quotes on one line, shortened, without characters that do not print."""
    line = "".join(c if c.isprintable() else " " for c in text[: most + 1])
    return f"'{line[:most]}…'" if len(text) > most else f"'{line}'"
