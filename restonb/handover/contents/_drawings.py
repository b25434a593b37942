"""The drawings of a sheet: of what was, or is, not plainly inside. The table has the rest, each value with its strip."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain, groupby
from pathlib import Path
from typing import Any, NamedTuple

from restonb.handover.report import Block, Figure

__all__ = ["drawings"]

Rows = list[dict[str, Any]]

_ROOM = 3.6
"""Inches of height for one drawing, so that it finds room on the page of its table."""
_MOST = 16
"""Positions; with more, those are drawn that are not inside, and the table has all."""
_DRAWN = 4
"""Characteristics of one sheet, the worst first; the table has all."""
_PLAIN = frozenset({"inside", "no limit", "not measured", "measure again", "out of date"})
"""What a drawing says no more of than the table does."""
_WORST = ("outside", "in doubt", "too close to call")
_TALLEST = 1.25
"""Height over width from which a drawing is made smaller."""


class _Group(NamedTuple):
    """The rows of one characteristic, now and as found."""

    now: Rows
    before: Rows


def drawings(sheet: str, now: Rows, before: Rows, folder: Path, day: str) -> list[Block]:
    """Draws every characteristic with a row that is not 'inside', now or as found, into `folder`/figures."""
    from restonb import charts

    changed, rest = _sorted_out(now, before)
    figures = [
        charts.before_after(
            list(chain.from_iterable(g.before for g in part)), list(chain.from_iterable(g.now for g in part)),
            names=("as found", "now"), date=day,
        )
        for part in _parted(changed, 0.6)
    ]  # fmt: skip
    figures += [
        charts.tolerance_bars(list(chain.from_iterable(g.now for g in part)), date=day) for part in _parted(rest, 0.35)
    ]
    (folder / "figures").mkdir(exist_ok=True)
    blocks: list[Block] = []
    for number, figure in enumerate(figures, 1):
        file = f"figures/{_plain_name(sheet)}-{number}.svg"
        (folder / file).write_text(charts.svg(figure), encoding="utf-8")
        wide, high = figure.get_size_inches()
        blocks.append(Figure(file, charts.describe(figure), "", round(min(1.0, _TALLEST / (high / wide)), 2)))
        figure.clear()
    return blocks


def _sorted_out(now: Rows, before: Rows) -> tuple[list[_Group], list[_Group]]:
    """The characteristics to draw: those with a position that was measured again since it was found, and the others."""
    was = {(r["characteristic"], r["position"]): r for r in before}
    told: list[_Group] = []
    for _, rows in groupby(now, key=lambda row: str(row["characteristic"])):
        group = list(rows)
        if all(r["value"] is None for r in group) or all(r["word"] == "no limit" for r in group):
            continue
        older = [old for r in group if (old := was.get((r["characteristic"], r["position"])))]
        places = {r["position"] for r in (*group, *older) if r["word"] not in _PLAIN}
        if not places:
            continue
        if len(group) > _MOST:
            group = [r for r in group if r["position"] in places][:_MOST]
            kept = {r["position"] for r in group}
            older = [r for r in older if r["position"] in kept]
        told.append(_Group(group, older))
    told.sort(key=_how_bad)
    changed = [group for group in told[:_DRAWN] if _moved(group)]
    return changed, [group for group in told[:_DRAWN] if not _moved(group)]


def _how_bad(group: _Group) -> int:
    words = {row["word"] for row in group.now}
    return min((n for n, word in enumerate(_WORST) if word in words), default=len(_WORST))


def _moved(group: _Group) -> bool:
    return bool({old["seq"] for old in group.before} - {row["seq"] for row in group.now})


def _parted(groups: Iterable[_Group], tall: float) -> Iterator[list[_Group]]:
    """The characteristics in as many drawings as they need; `tall` is the height of a position in inches."""
    part: list[_Group] = []
    used = 0.0
    for group in groups:
        high = 1.0 + tall * min(len(group.now), 24)
        if part and used + high > _ROOM:
            yield part
            part, used = [], 0.0
        part.append(group)
        used += high
    if part:
        yield part


def _plain_name(name: str) -> str:
    return "".join(c if c.isascii() and (c.isalnum() or c == "_") else "-" for c in name)[:80]
