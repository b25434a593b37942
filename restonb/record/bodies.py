"""The check of what an entry says against its kind, and the one way in which it is written down."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any, NamedTuple

from restonb.errors import RecordError
from restonb.record._canonical import canonical, json_text
from restonb.record.kinds import DISTURBANCES, FASTENER, KINDS, NEEDED, STANDARD_OCCASIONS, Field
from restonb.words import nearest

__all__ = ["DISTURBANCES", "KINDS", "STANDARD_OCCASIONS", "number_text", "text_of", "what_to_write"]

_LEFT_OUT = object()


def text_of(kind: str, body: Mapping[str, Any]) -> str:
    """The canonical text of a body, with what was left out filled in.

    Raises RecordError that names the kind or key and says what to write.
    """
    shape = KINDS.get(kind)
    if shape is None:
        raise RecordError(f"unknown kind of entry {kind!r}: {what_to_write(kind, KINDS)}")
    if "salt" in shape.fields and not body.get("salt") and any(body.get(key) for key in _PRIVATE):
        from secrets import token_hex

        body = {**body, "salt": token_hex(16)}
    try:
        return _flat(kind, body) if shape.plain else _nested(kind, body)
    except _Refused as refused:
        raise RecordError(_why(kind, body, refused.args[0])) from None


_PRIVATE = ("cost", "who", "where", "private")
"""Keys of what a hand-over may leave out: a body that has one gets a salt, which is left out with it. Without
one, a cost that was left out could be found by trying amounts until the digest of the body fits."""

_MOST_SEEN = 5000


class _Row(NamedTuple):
    """One field at hand for checking, in the order of canonical JSON."""

    key: str
    field: Field
    holds: Callable[[Any], object] | None
    seen: dict[Any, str]
    """What was found good before, as written: a workshop has few units, gauges and sheets. Only text, null and what
    was left out: true and 1 are one to a dict, and two to JSON."""

    def takes(self, value: Any) -> bool:
        if type(value) not in self.field.types:
            return False
        return value is None or self.holds is None or bool(self.holds(value))

    def text_of_value(self, value: Any) -> str:
        """'"key":value' in canonical JSON. Raises _Refused."""
        said = self.field.default if value is _LEFT_OUT else value
        if not self.takes(said):
            raise _Refused(self.key)
        text = f'"{self.key}":{json_text(said)}'
        if (type(said) is str or said is None or value is _LEFT_OUT) and len(self.seen) < _MOST_SEEN:
            self.seen[value] = text
        return text


class _Refused(Exception):
    """The key whose value is refused, or None where a key is unknown."""


def _flat(kind: str, body: Mapping[str, Any]) -> str:
    """The quick way, for what holds only text, true, false, null and whole numbers."""
    texts = []
    key = None
    try:
        for key, seen, written in _quick(kind):
            value = body.get(key, _LEFT_OUT)
            texts.append(seen(value) or written(value))
    except TypeError:  # a list or a table cannot have been seen
        raise _Refused(key) from None
    if not body.keys() <= KINDS[kind].fields.keys():
        raise _Refused(None)
    text = "{" + ",".join(texts) + "}"
    try:
        _ = text.isascii() or text.encode("utf-8")
    except UnicodeEncodeError:
        raise RecordError("the text holds half a character (a lone surrogate): type it again") from None
    return text


def _nested(kind: str, body: Mapping[str, Any]) -> str:
    full = {}
    for row in _rows(kind):
        value = full[row.key] = body.get(row.key, row.field.default)
        if not row.takes(value):
            raise _Refused(row.key)
        if row.field.later and value == row.field.default:
            del full[row.key]
    if not body.keys() <= KINDS[kind].fields.keys():
        raise _Refused(None)
    if kind == "joint":
        full["fasteners"] = [_fastener(f) for f in full["fasteners"]]
    return canonical(full)


def _why(kind: str, body: Mapping[str, Any], key: str | None) -> str:
    fields = KINDS[kind].fields
    unknown = [str(k) for k in body if k not in fields]
    if unknown or key is None:
        names = ", ".join(repr(k) for k in unknown)
        return f"a {kind} entry has no {names}: {what_to_write(unknown[0], fields)}"
    return _wanted(f"a {kind} entry", key, fields[key], body.get(key, NEEDED))


@cache
def _rows(kind: str) -> tuple[_Row, ...]:
    fields = sorted(KINDS[kind].fields.items())
    return tuple(_Row(key, field, _test(field), {}) for key, field in fields)


@cache
def _quick(kind: str) -> tuple[tuple[str, Callable[[Any], str | None], Callable[[Any], str]], ...]:
    """Of each field its key, how it was written if it was seen, and how it is written; looked up once for all entries."""
    return tuple((row.key, row.seen.get, row.text_of_value) for row in _rows(kind))


def _test(field: Field) -> Callable[[Any], object] | None:
    if field.pattern:
        return re.compile(field.pattern).fullmatch
    if field.choices:
        return frozenset(field.choices).__contains__
    if field.filled:
        return str.strip
    return _is_seq if int in field.types and float not in field.types else None


def _is_seq(value: int) -> bool:
    return 0 <= value < 2**53


def what_to_write(word: str, known: Iterable[str]) -> str:
    """'write X' for the known word that was probably meant, else the list of what can be written."""
    words = list(known)
    close = nearest(word, words)
    if close:
        return f"write {close!r}"
    return f"write one of {', '.join(words)}" if words else "there is none to write yet"


def number_text(value: object) -> str:
    """A number as the record keeps it: plain decimal text, '0.00001' and never '1e-05'.

    Raises RecordError for what is not a finite number.
    """
    from decimal import Decimal, InvalidOperation

    try:
        number = Decimal(str(value).strip())
        if not number.is_finite():
            raise InvalidOperation
    except InvalidOperation:
        raise RecordError(f"{value!r} is not a number: write digits, such as '12.5'") from None
    text = format(number, "f")
    if isinstance(value, float):
        text = text.removesuffix(".0")
    return "0" if text in ("-0", "") else text.removeprefix("+")


def _fastener(fastener: Any) -> dict[str, Any]:
    if not isinstance(fastener, dict):
        raise RecordError(f"a fastener is a table, not {fastener!r}: write {{'position': '1', ...}}")
    for key in fastener:
        if key not in FASTENER:
            raise RecordError(f"a fastener has no {key!r}: {what_to_write(str(key), FASTENER)}")
    full = {}
    for key, field in FASTENER.items():
        value = fastener.get(key, field.default)
        holds = re.compile(field.pattern).fullmatch if field.pattern else None
        if type(value) not in field.types or (holds and value is not None and not holds(value)):
            raise RecordError(_wanted("a fastener", key, field, value))
        full[key] = value
    return full


def _wanted(what: str, key: str, field: Field, value: Any) -> str:
    if value is NEEDED:
        return f"{what} needs {key!r}: write {field.wanted}"
    shown = repr(value)
    shown = shown if len(shown) < 80 else shown[:76] + "..."
    return f"{what} has {key!r} = {shown}: write {field.wanted}"
