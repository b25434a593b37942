"""What each kind of entry says: the keys of its body, which types they take, and what they are when left out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

__all__ = ["DISTURBANCES", "FASTENER", "JOINT_STATES", "KINDS", "NEEDED", "STANDARD_OCCASIONS", "Field", "Kind"]

STANDARD_OCCASIONS = ("as found", "after rework", "as left", "back from outside work")
"""Why a set of readings was taken; other words are free."""

NEEDED = object()
"""The default of what may not be left out."""
_NONE = type(None)
_DECIMAL = r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?"
_DATE = r"[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])"


class Field(NamedTuple):
    """One key of a body: which types it takes, what it is when left out, and which text it must be."""

    types: tuple[type, ...]
    wanted: str
    default: Any = NEEDED
    pattern: str = ""
    choices: tuple[str, ...] = ()
    filled: bool = False
    later: bool = False
    """Came after the first records were written: it is left out where it says nothing, so that what was entered before and
    what is entered now have one text."""


class Kind(NamedTuple):
    """One kind of entry. `plain`: its body is flat and holds no fractions, so the quick encoder serves."""

    what: str
    fields: Mapping[str, Field]
    strikeable: bool = True
    plain: bool = True


def _word() -> Field:
    return Field((str,), "text that is not empty", filled=True)


def _text(default: str | None = "") -> Field:
    return Field((str,), "text", NEEDED if default is None else default)


def _maybe() -> Field:
    return Field((str, _NONE), "text, or null", None)


def _number() -> Field:
    return Field((str,), "a decimal number as text, such as '0.25'", pattern=_DECIMAL)


def _maybe_number() -> Field:
    return Field((str, _NONE), "a decimal number as text, such as '0.25', or null", None, pattern=_DECIMAL)


def _one_of(*choices: str, default: Any = NEEDED) -> Field:
    shown = ", ".join(repr(c) if c else "'' (nothing)" for c in choices)
    return Field((str,), f"one of {shown}", default, choices=choices)


def _seq(default: Any = NEEDED) -> Field:
    return Field((int,) if default is NEEDED else (int, _NONE), "the number of an entry", default)


def _flag(default: Any = NEEDED) -> Field:
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
            "wrench": Field((str,), "the name of a wrench in instruments.csv", "", later=True),
            "accepted": Field((str,), "why it is accepted as it is", "", later=True),
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
            "sha256": Field((str,), "64 hex digits", pattern="[0-9a-f]{64}"),
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

FASTENER: dict[str, Field] = {
    "position": _text(),
    "torque": _maybe_number(),
    "unit": _text(),
    "treatment": _text(),
    "new": _flag(False),
    "stage": Field((str, int), "text", ""),
}
