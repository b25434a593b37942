"""What stays at home unless it is asked for. Every entry that leaves passes through `redact`, and only there."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Any

from restonb.errors import HandoverError

__all__ = ["CHOICES", "chosen", "left_out", "machine_facts", "redact"]

CHOICES: dict[str, str] = {
    "addresses": "where outside work was done, and addresses of the owner",
    "costs": "what parts and work cost",
    "gps": "the original photographs, with the place and the camera that each file states",
    "private notes": "the text of notes marked private",
    "who": "who did the work, and the owner's name",
}
"""What can be asked for, and what it is."""

_KEYS: dict[str, dict[str, str]] = {
    "part": {"cost": "costs", "currency": "costs"},
    "work": {"cost": "costs", "currency": "costs", "who": "who", "where": "addresses"},
}
_WHO = re.compile(r"\b(owner|keeper|name of|holder|restorer|seller|buyer|who)\b")
_WHERE = re.compile(r"\b(address|street|town|city|post ?code|zip|phone|telephone|mobile|e-?mail|place|garage)\b")


def chosen(include: Collection[str]) -> frozenset[str]:
    """The choices as a set. Raises HandoverError for a word that is none of them."""
    if isinstance(include, str):
        include = [part.strip() for part in include.split(",") if part.strip()]
    unknown = [word for word in include if word not in CHOICES]
    if unknown:
        raise HandoverError(f"nothing is called {unknown[0]!r}; write any of {', '.join(CHOICES)}")
    return frozenset(include)


def redact(kind: str, body: Mapping[str, Any], include: Collection[str]) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The body without what stays at home, and the keys that were taken out (only those that said something)."""
    gone = [
        key for key, choice in _KEYS.get(kind, {}).items() if choice not in include and body.get(key) not in (None, "")
    ]
    if kind == "note" and body.get("private") and "private notes" not in include:
        gone.append("text")
    if gone and "salt" in body:  # with it, what was taken out could be guessed by trial against the digest
        gone.append("salt")
    return {k: v for k, v in body.items() if k not in gone}, tuple(sorted(gone))


def machine_facts(machine: Mapping[str, str], include: Collection[str]) -> dict[str, str]:
    """The machine's identity without the owner's name and addresses, unless asked for."""

    def stays(key: str) -> bool:
        words = key.lower().replace("_", " ").replace("-", " ")
        return ("who" in include or not _WHO.search(words)) and ("addresses" in include or not _WHERE.search(words))

    return {k: v for k, v in machine.items() if stays(k)}


def left_out(include: Collection[str]) -> tuple[str, ...]:
    """What this export leaves out, in words."""
    return tuple(what for choice, what in CHOICES.items() if choice not in include)
