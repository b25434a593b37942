"""Fasteners in one line of text, as a person types them: '1-4: 24 N m, threadlocker, new; stud nut 2: 30 N m'."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from restonb.errors import RecordError
from restonb.words import listed, nearest

if TYPE_CHECKING:
    from restonb.stated import Joint

__all__ = ["HOW", "fastener_of", "fasteners_of"]

HOW = "1: 24 N m, new; 2-4: 24 N m"

_RANGE = re.compile(r"(.*?)\s*([0-9]+)\s*(?:-|to|\.\.+|…)\s*([0-9]+)")
_NEW = ("new",)
_USED = ("re-used", "reused", "used again", "not new")
_TREATMENTS = (
    "dry", "clean", "oil", "greas", "anti-seize", "antiseize", "copper", "moly", "lock", "paste", "zinc", "cadmium", "plated",
    "seal", "tape", "ptfe", "hemp", "washer", "pin", "wire", "wax", "lacquer", "paint", "varnish", "lubric", "graphite", "soap",
    "bare", "degreas", "tab ", "dope",
)  # fmt: skip
"""Words by which a treatment is known as one; any other is written as 'treatment: ...'."""


def fasteners_of(joint: Joint, text: str) -> list[dict[str, Any]]:
    """One row {position, torque, treatment, new, stage} for each fastener that the text names, in its order.

    Fasteners are parted by semicolons or commas. Each begins with its position and a colon: a name or a number of the plan,
    '1-4', 'stud nut 1-3', a whole group, or 'all'. After its torque follow 'new' or 're-used', and how the thread was treated;
    'treatment: ...' and 'stage: ...' take any words. Raises RecordError that says what to write.
    """
    rows: list[dict[str, Any]] = []
    here: list[dict[str, Any]] = []
    pieces = [piece.strip() for piece in re.split(r"[;,]", text)]
    for piece in (piece for piece in pieces if piece):
        head, sign, rest = (part.strip() for part in piece.partition(":"))
        if sign and head.casefold() in ("treatment", "stage"):
            _needs_one(here, piece)
            _add(here, head.casefold(), rest)
        elif sign:
            here = [
                {"position": name, "torque": rest or None, "treatment": "", "new": False, "stage": ""}
                for name in _positions(joint, head)
            ]
            twice = [row["position"] for row in here if row["position"] in [r["position"] for r in rows]]
            if twice:
                raise RecordError(f"{twice[0]} is in the line twice: write each fastener once")
            rows += here
        else:
            _needs_one(here, piece, joint)
            _word(joint, here, piece)
    if not rows:
        raise RecordError(f'no fastener is named: write fasteners="{HOW}"')
    return rows


def fastener_of(joint: Joint, position: str) -> str:
    """The name of one fastener as the plan has it. Raises RecordError that names the near one, or what can be written."""
    found = joint.find(position)
    if found is None:
        raise RecordError(_unknown(joint, position))
    return found


def _positions(joint: Joint, text: str) -> list[str]:
    if not text:
        raise RecordError(f'a torque without a fastener: write fasteners="{HOW}"')
    names = joint.positions
    if text.casefold() in ("all", "each", "every"):
        if not names:
            raise RecordError(
                f"joints.toml plans no fastener for {joint.key}, so 'all' says nothing: name each, as in '{HOW}'"
            )
        return list(names)
    groups = {group.what.casefold(): group.what for group in joint.fasteners}
    if text.casefold() in groups and len(names) > 1:
        what = groups[text.casefold()]
        return [name for name, group in joint.planned.items() if group.what == what]
    span = None if joint.find(text) and names else _RANGE.fullmatch(text)
    if span is None:
        return [fastener_of(joint, text)]
    before, first, last = span[1].strip(), int(span[2]), int(span[3])
    if not first < last < first + 1000:
        raise RecordError(f"'{text}' is not a range: write the lower number first, such as '1-4'")
    return [fastener_of(joint, f"{before} {number}".strip()) for number in range(first, last + 1)]


def _word(joint: Joint, here: list[dict[str, Any]], piece: str) -> None:
    """A word after a torque: new, re-used, or a treatment that is known as one. Nothing else is taken for a treatment."""
    said = piece.casefold()
    if said in _NEW or said in _USED:
        for row in here:
            row["new"] = said in _NEW
        return
    number = re.match(r"[-+.]?[0-9]", piece)
    before = str(here[-1]["torque"] or "")
    if number and before.isdigit():
        raise RecordError(f"'{before},{piece}' has a decimal comma: write {before}.{piece}")
    if number or (joint.positions and joint.find(piece)):
        raise RecordError(f"'{piece}' is a fastener without a torque, or a torque without a fastener: write '{HOW}'")
    planned = {t.casefold() for g in joint.fasteners for t in re.split(r"[;,]", g.treatment or joint.treatment)}
    if said in {t.strip() for t in planned} or any(word in said for word in _TREATMENTS):
        _add(here, "treatment", piece)
        return
    slip = nearest(piece, (*_NEW, *_USED))
    meant = f"write '{slip}'" if slip else f"write 'treatment: {piece}' if it is what was put on the thread"
    raise RecordError(f"'{piece}' says nothing that is known of a fastener: {meant}; else '{HOW}'")


def _needs_one(here: list[dict[str, Any]], piece: str, joint: Joint | None = None) -> None:
    if here:
        return
    if joint and (joint.find(piece) if joint.positions else piece.isdecimal()):
        raise RecordError(f"'{piece}' has no torque: write fasteners=\"{HOW}\", the position before a colon")
    raise RecordError(f"'{piece}' has no position: write fasteners=\"{HOW}\"")


def _add(here: list[dict[str, Any]], key: str, words: str) -> None:
    if not words:
        raise RecordError(f"nothing follows '{key}:': write it, or leave '{key}:' out")
    for row in here:
        row[key] = f"{row[key]}, {words}" if row[key] else words


def _unknown(joint: Joint, position: str) -> str:
    names = joint.positions
    said = f"{joint.key} has no fastener {position or 'without a name'}"
    if position.strip().isdecimal():
        return f"{said}: write a number from 1 to {len(names)}" + (
            "" if len(joint.fasteners) == 1 else f" ({listed(names, 6)})"
        )
    close = nearest(position, names)
    if close:
        return f"{said}: write '{close}'"
    return f"{said}: write {listed((repr(name) for name in names), 6, 'or')}, or add it to joints.toml"
