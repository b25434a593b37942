"""What each kind of entry says: the keys of its body, as data, and the check that refuses anything else."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any, NamedTuple

from restonb.errors import RecordError
from restonb.record._canonical import canonical, plain

__all__ = ["KINDS", "STANDARD_OCCASIONS", "Field", "Kind", "near", "text_of", "written"]

STANDARD_OCCASIONS = ("as found", "after rework", "as left", "back from outside work")
"""Why a set of readings was taken; other words are free."""

_NEEDED = object()
_LEFT_OUT = object()
_NONE = type(None)
_DECIMAL = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")
_DATE = re.compile(r"[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])")


class Field(NamedTuple):
    """One key of a body: which types it takes, what it is when left out, and which text it must be."""

    types: tuple[type, ...]
    wanted: str
    default: Any = _NEEDED
    pattern: re.Pattern[str] | None = None
    choices: tuple[str, ...] = ()
    filled: bool = False


class Kind(NamedTuple):
    """One kind of entry. `plain`: its body is flat and holds no fractions, so the quick encoder serves."""

    what: str
    fields: Mapping[str, Field]
    strikeable: bool = True
    plain: bool = True


def _word() -> Field:
    return Field((str,), "text that is not empty", filled=True)


def _text(default: str | None = "") -> Field:
    return Field((str,), "text", _NEEDED if default is None else default)


def _maybe() -> Field:
    return Field((str, _NONE), "text, or null", None)


def _number() -> Field:
    return Field((str,), "a decimal number as text, such as '0.25'", pattern=_DECIMAL)


def _maybe_number() -> Field:
    return Field((str, _NONE), "a decimal number as text, such as '0.25', or null", None, pattern=_DECIMAL)


def _one_of(*choices: str, default: Any = _NEEDED) -> Field:
    shown = ", ".join(repr(c) if c else "'' (nothing)" for c in choices)
    return Field((str,), f"one of {shown}", default, choices=choices)


def _seq(default: Any = _NEEDED) -> Field:
    return Field((int,) if default is _NEEDED else (int, _NONE), "the number of an entry", default)


def _flag(default: Any = _NEEDED) -> Field:
    return Field((bool,), "true or false", default)


def _table() -> Field:
    return Field((dict,), "a table", {})


JOINT_STATES = ("apart", "dry-fitted", "temporary", "tightened", "final")
DISTURBANCES = ("loosened", "removed", "replaced")

KINDS: dict[str, Kind] = {
    "reading": Kind(
        "one measured value at one position",
        {
            "sheet": _word(),
            "characteristic": _word(),
            "position": _word(),
            "value": _number(),
            "unit": _word(),
            "typed": _text(),
            "resolution": _maybe_number(),
            "instrument": _maybe(),
            "occasion": Field((str,), "text that is not empty", "as found", filled=True),
            "temperature": _maybe_number(),
            "note": _text(),
        },
    ),
    "strike": Kind("an entry struck out, with the reason", {"seq": _seq(), "why": _word()}, strikeable=False),
    "disturb": Kind(
        "a joint loosened, removed or replaced",
        {
            "joint": _word(),
            "what": _one_of(*DISTURBANCES),
            "why": _text(),
        },
    ),
    "joint": Kind(
        "the state that a joint was put into",
        {
            "joint": _word(),
            "state": _one_of(*JOINT_STATES),
            "why": _text(),
            "label": _text(),
            "waiting": _one_of("part", "cure", "", default=""),
            "until": Field((str, _NONE), "a date such as '2026-03-14', or null", None, pattern=_DATE),
            "fasteners": Field((list,), "a list of fasteners", []),
        },
        plain=False,
    ),
    "check": Kind(
        "an instrument checked",
        {
            "instrument": _word(),
            "good": _flag(),
            "against": _text(),
            "note": _text(),
        },
    ),
    "usage": Kind(
        "distance or running hours",
        {
            "value": _number(),
            "unit": _one_of("mile", "km", "h"),
            "note": _text(),
            "replaced": _text(),
        },
    ),
    "part": Kind(
        "a part wanted, ordered or fitted",
        {
            "what": _word(),
            "thread": _text(),
            "length": _text(),
            "class": _text(),
            "quantity": _number(),
            "state": _one_of("wanted", "ordered", "fitted"),
            "cost": _maybe_number(),
            "currency": _text(),
            "joint": _maybe(),
            "note": _text(),
            "salt": _text(),
        },
    ),
    "work": Kind(
        "work done, here or outside",
        {
            "what": _word(),
            "who": _text(),
            "where": _text(),
            "hours": _maybe_number(),
            "cost": _maybe_number(),
            "currency": _text(),
            "state": _one_of("sent", "returned", "accepted", "sent back", "", default=""),
            "sheet": _maybe(),
            "joint": _maybe(),
            "note": _text(),
            "salt": _text(),
        },
    ),
    "note": Kind(
        "something written down",
        {"text": _word(), "private": _flag(False), "sheet": _maybe(), "salt": _text()},
    ),
    "photo": Kind(
        "a photo, kept by its content",
        {
            "file": _word(),
            "sha256": Field((str,), "64 hex digits", pattern=re.compile("[0-9a-f]{64}")),
            "caption": _text(),
            "sheet": _maybe(),
            "position": _maybe(),
        },
    ),
    "run": Kind(
        "a template executed and filed",
        {
            "template": _word(),
            "sheet": _word(),
            "subsystem": _text(),
            "state": _one_of("good", "failed"),
            "reason": _text(),
            "cell": Field((int, _NONE), "the number of a cell, or null", None),
            "parameters": _table(),
            "template_digest": _text(),
            "head": _table(),
            "folder": _text(),
            "files": _table(),
            "filed": Field((dict, _NONE), "what the sheet filed, or null", {}),
            "spec": _table(),
            "versions": _table(),
            "basis": _table(),
            "seconds": Field((int, float), "seconds as a number", 0),
        },
        strikeable=False,
        plain=False,
    ),
    "handover": Kind(
        "the record exported for somebody else",
        {
            "file": _word(),
            "digest": _word(),
            "head": Field((dict, str, _NONE), "the head of the record", None),
        },
        strikeable=False,
        plain=False,
    ),
}

_FASTENER: dict[str, Field] = {
    "position": _text(),
    "torque": _maybe_number(),
    "unit": _text(),
    "treatment": _text(),
    "new": _flag(False),
    "stage": Field((str, int), "text", ""),
}


def text_of(kind: str, body: Mapping[str, Any]) -> str:
    """The canonical text of a body, with what was left out filled in.

    Raises RecordError that names the kind or key and says what to write.
    """
    shape = KINDS.get(kind)
    if shape is None:
        raise RecordError(f"unknown kind of entry {kind!r}: {near(kind, KINDS)}")
    rows = _rows(kind)
    if "salt" in shape.fields and not body.get("salt") and any(body.get(key) for key in _PRIVATE):
        from secrets import token_hex

        body = {**body, "salt": token_hex(16)}
    try:
        return _flat(rows, body) if shape.plain else _nested(kind, rows, body)
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
    """Texts that were found good before, as written: a workshop has few units, gauges and sheets."""

    def takes(self, value: Any) -> bool:
        if type(value) not in self.field.types:
            return False
        return value is None or self.holds is None or bool(self.holds(value))

    def written(self, value: Any) -> str:
        """'"key":value' in canonical JSON. Raises _Refused."""
        value = self.field.default if value is _LEFT_OUT else value
        if not self.takes(value):
            raise _Refused(self.key)
        text = f'"{self.key}":{plain(value)}'
        if type(value) is str and len(self.seen) < _MOST_SEEN:
            self.seen[value] = text
        return text


class _Refused(Exception):
    """The key whose value is refused, or None where a key is unknown."""


def _flat(rows: tuple[_Row, ...], body: Mapping[str, Any]) -> str:
    """The quick way, for what holds only text, true, false, null and whole numbers."""
    texts = []
    left_out = 0
    row = rows[0]
    try:
        for row in rows:
            value = body.get(row.key, _LEFT_OUT)
            texts.append(row.seen.get(value) or row.written(value))
            left_out += value is _LEFT_OUT
    except TypeError:  # a list or a table cannot have been seen
        raise _Refused(row.key) from None
    if len(body) != len(rows) - left_out:
        raise _Refused(None)
    text = "{" + ",".join(texts) + "}"
    try:
        _ = text.isascii() or text.encode("utf-8")
    except UnicodeEncodeError:
        raise RecordError("the text holds half a character (a lone surrogate): type it again") from None
    return text


def _nested(kind: str, rows: tuple[_Row, ...], body: Mapping[str, Any]) -> str:
    full = {}
    for row in rows:
        value = full[row.key] = body.get(row.key, row.field.default)
        if not row.takes(value):
            raise _Refused(row.key)
    if not body.keys() <= full.keys():
        raise _Refused(None)
    if kind == "joint":
        full["fasteners"] = [_fastener(f) for f in full["fasteners"]]
    return canonical(full)


def _why(kind: str, body: Mapping[str, Any], key: str | None) -> str:
    fields = KINDS[kind].fields
    unknown = [str(k) for k in body if k not in fields]
    if unknown or key is None:
        names = ", ".join(repr(k) for k in unknown)
        return f"a {kind} entry has no {names}: {near(unknown[0], fields)}"
    return _wanted(f"a {kind} entry", key, fields[key], body.get(key, _NEEDED))


@cache
def _rows(kind: str) -> tuple[_Row, ...]:
    fields = sorted(KINDS[kind].fields.items())
    return tuple(_Row(key, field, _test(field), {}) for key, field in fields)


def _test(field: Field) -> Callable[[Any], object] | None:
    if field.pattern is not None:
        return field.pattern.fullmatch
    if field.choices:
        return frozenset(field.choices).__contains__
    if field.filled:
        return str.strip
    return _is_seq if int in field.types and float not in field.types else None


def _is_seq(value: int) -> bool:
    return 0 <= value < 2**53


def near(word: str, known: Iterable[str]) -> str:
    """'write X' for the known word that was probably meant, else the list of what can be written."""
    from difflib import get_close_matches

    words = list(known)
    close = get_close_matches(word.strip().lower(), words, n=1, cutoff=0.5)
    if close:
        return f"write {close[0]!r}"
    return f"write one of {', '.join(words)}" if words else "there is none to write yet"


def written(value: object) -> str:
    """A number as the record keeps it: plain decimal text, '0.00001' and never '1e-05'.

    Raises RecordError for what is no finite number.
    """
    from decimal import Decimal, InvalidOperation

    try:
        number = Decimal(str(value).strip())
        if not number.is_finite():
            raise InvalidOperation
    except InvalidOperation:
        raise RecordError(f"{value!r} is no number: write digits, such as '12.5'") from None
    text = format(number, "f")
    if isinstance(value, float):
        text = text.removesuffix(".0")
    return "0" if text in ("-0", "") else text.removeprefix("+")


def _fastener(fastener: Any) -> dict[str, Any]:
    if not isinstance(fastener, dict):
        raise RecordError(f"a fastener is a table, not {fastener!r}: write {{'position': '1', ...}}")
    for key in fastener:
        if key not in _FASTENER:
            raise RecordError(f"a fastener has no {key!r}: {near(str(key), _FASTENER)}")
    full = {}
    for key, field in _FASTENER.items():
        value = fastener.get(key, field.default)
        holds = field.pattern.fullmatch if field.pattern else None
        if type(value) not in field.types or (holds and value is not None and not holds(value)):
            raise RecordError(_wanted("a fastener", key, field, value))
        full[key] = value
    return full


def _wanted(what: str, key: str, field: Field, value: Any) -> str:
    if value is _NEEDED:
        return f"{what} needs {key!r}: write {field.wanted}"
    shown = repr(value)
    shown = shown if len(shown) < 80 else shown[:76] + "..."
    return f"{what} has {key!r} = {shown}: write {field.wanted}"
