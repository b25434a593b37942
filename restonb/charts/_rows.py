"""Verdicts in, rows to draw out: live verdicts and the plain data of filed ones look alike from here on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from restonb.charts._look import WORST_FIRST
from restonb.charts._text import sign
from restonb.record import verdict_word


@dataclass(frozen=True, slots=True)
class Row:
    """One position with its value, limits and verdict, all in `unit`; None is 'not known' or 'no limit'."""

    sheet: str
    key: str
    what: str
    position: str
    unit: str
    value: float | None
    U: float | None
    lower: float | None
    upper: float | None
    wear_limit: float | None
    word: str
    worn_in: float | None
    """%."""
    guard: float | None
    settle: str
    source: str
    occasion: str
    at: str
    pattern: str
    note: str

    @property
    def limits(self) -> tuple[float | None, float | None, float | None]:
        return (self.lower, self.upper, self.wear_limit)


def rows(verdicts: Any) -> tuple[Row, ...]:
    """The rows of a Verdicts table, of a sequence of Verdict objects, or of the dicts of a filed run."""
    found = getattr(verdicts, "rows", verdicts)
    if isinstance(found, Mapping):
        found = found.get("verdicts", [found])
    if not isinstance(found, Iterable) or isinstance(found, str):
        found = [found]
    return tuple(row for group in grouped([_row(v) for v in found]) for row in _by_rule(group))


def _by_rule(group: Sequence[Row]) -> Sequence[Row]:
    """A value that is judged although it lies in the guard zone was judged without one: by the rule 'simple'."""
    if all(row.guard is None for row in group) and any(map(_is_plain, group)):
        return [replace(row, guard=0.0) for row in group]
    return group


def _is_plain(row: Row) -> bool:
    if row.value is None or not row.U or row.word not in ("inside", "outside"):
        return False
    return any(abs(row.value - limit) < 0.999 * row.U for limit in judged(row))


def judged(row: Row) -> list[float]:
    """The limits that carry a guard zone: a wear limit takes the place of the limit that it widens."""
    found = [v for v in (row.lower, row.upper) if v is not None]
    if row.wear_limit is None:
        return found
    if found and row.wear_limit >= max(found):
        return [*([row.lower] if row.lower is not None else []), row.wear_limit]
    return [row.wear_limit, *([row.upper] if row.upper is not None else [])]


def grouped(found: Sequence[Row]) -> list[tuple[Row, ...]]:
    """Rows of one characteristic together, in the order in which the characteristics first come."""
    groups: dict[tuple[str, str, str], list[Row]] = {}
    for row in found:
        groups.setdefault((row.sheet, row.key, row.unit), []).append(row)
    return [tuple(g) for g in groups.values()]


def worst(found: Iterable[Row]) -> str:
    """The worst verdict word among the rows; 'not measured' where there are none."""
    words = {row.word for row in found}
    return next((w for w in WORST_FIRST if w in words), "not measured")


def counts(words: Iterable[str]) -> list[tuple[str, int]]:
    """How often each word occurs, the worst first."""
    listed = list(words)
    order = [*WORST_FIRST, *sorted(set(listed) - set(WORST_FIRST))]
    return [(w, listed.count(w)) for w in order if w in listed]


def _row(verdict: Any) -> Row:
    def get(name: str, default: Any = None) -> Any:
        if isinstance(verdict, Mapping):
            return verdict.get(name, default)
        return getattr(verdict, name, default)

    def of(source: Any, name: str) -> Any:
        if isinstance(source, Mapping):
            return source.get(name)
        return getattr(source, name, None)

    characteristic, reading = get("characteristic", ""), get("reading")
    plain = isinstance(characteristic, str)
    about = None if plain else characteristic

    def text(name: str) -> str:
        return str(get(name) or of(about, name) or of(reading, name) or "")

    key = characteristic if plain else str(of(about, "key") or "")
    return Row(
        sheet=text("sheet"),
        key=key,
        what=text("what") or key.replace("_", " "),
        position=str(get("position", "")),
        unit=sign(text("unit")),
        value=number(get("value")),
        U=number(get("U")),
        lower=number(get("lower")),
        upper=number(get("upper")),
        wear_limit=number(get("wear_limit")),
        word=str(get("word") or (verdict_word(verdict) if isinstance(verdict, Mapping) else "") or "not measured"),
        worn_in=number(get("worn_in")),
        guard=number(get("guard")),
        settle=text("settle"),
        source=text("source"),
        occasion=text("occasion"),
        at=text("at"),
        pattern=text("positions"),
        note=text("note"),
    )


def number(value: Any) -> float | None:
    """A finite float, or None for what is missing."""
    if value is None or isinstance(value, bool):
        return None
    plain = float(value)
    return plain if math.isfinite(plain) else None
