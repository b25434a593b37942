"""The table of verdicts as a notebook shows it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from html import escape
from typing import Any

from restonb.bench._look import Shown, chip, styled, table
from restonb.measure import Reading, Verdict, Verdicts, limits_text, uncertainty_text, value_text
from restonb.record import Disturbance, Entry, doubt_of, one_place

__all__ = ["Checked", "verdict_cells"]

HEADS = ("position", "value", "± U", "verdict", "worn in", "remarks")


@dataclass(frozen=True)
class Checked(Verdicts):
    """Verdicts, shown with their limits and the sources of these. `todo` is shown where there is no row at all."""

    todo: Shown | None = None
    units: Mapping[str, str] | None = None

    def shown(self) -> Shown:
        parts = [self._table()] if self.rows else []
        parts += [self.todo] if self.todo else []
        return Shown("".join(p.html for p in parts), "\n".join(p.text for p in parts))

    def __add__(self, other: Verdicts) -> Checked:
        return Checked(self.rows + other.rows, self.todo, self.units)

    def _table(self) -> Shown:
        mine = Verdicts(self.rows).to(self.units or {}).rows
        rows = [_cells(row) for row in mine]
        shown = table(HEADS, rows, numeric=("value", "± U", "worn in"), tight=("position",))
        html, text = shown.html, shown.text.splitlines()
        wide = html.count('<th scope="col"')
        parts, lines = html.split("<tr>"), [text[0]]
        for i, row in enumerate(mine):
            if i == 0 or row.characteristic != mine[i - 1].characteristic:
                name, rest = _heading(row)
                parts[i + 2] = _GROUP.format(wide, escape(name), escape(rest)) + parts[i + 2]
                lines.append(f"{name} {rest}")
            lines.append(text[i + 1])
        ks = sorted({f"{r.k:.2g}" for r in mine if r.k})
        note = f"U is the expanded uncertainty, k = {' to '.join(ks[:: max(len(ks) - 1, 1)])} (about 95 %)."
        if ks:
            lines.append(note)
        html = "<tr>".join(parts).replace("<tr><tr", "<tr")
        return Shown(html + (f'<p class="small">{note}</p>' if ks else ""), "\n".join(lines))

    def __str__(self) -> str:
        return self.shown().text

    __repr__ = __str__

    def _repr_html_(self) -> str:
        return styled(self.shown().html)

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        return self.shown()._repr_mimebundle_()


_GROUP = '<tr class="group"><th colspan="{}" scope="colgroup"><div>{}<br><span>{}</span></div></th></tr><tr>'


def _cells(row: Verdict) -> tuple[str, ...]:
    worn = "" if row.worn_in is None else f"{row.worn_in:.0f} %"
    remarks = "; ".join(t for t in (row.doubt, row.settle, row.note) if t)
    return row.position, value_text(row), uncertainty_text(row), chip(row.word), worn, remarks


def _heading(row: Verdict) -> tuple[str, str]:
    """What is measured, and its limits with their source."""
    c, limits = row.characteristic, limits_text(row)
    limit = "no limit" if limits == "none" else limits
    safety = "safety; " if c.safety else ""
    return c.what or c.key, f"({safety}{limit}; {c.source or 'no source given'})"


def verdict_cells(
    rows: Iterable[Verdict],
    spoiled: Mapping[tuple[str, str], tuple[Reading, Disturbance]],
    checks: Mapping[str, Sequence[Entry]],
) -> tuple[Verdict, ...]:
    """The rows as far as their readings may be relied on: not measured where one is spoiled, with why and what it was; in
    doubt where its gauge failed its check. `checks`: instrument -> its checks, oldest first.
    """
    by_seq = {reading.seq: (reading, why) for reading, why in spoiled.values()}
    return tuple(_verdict_cells(row, by_seq, checks) for row in rows)


def _verdict_cells(
    row: Verdict, spoiled: Mapping[int, tuple[Reading, Disturbance]], checks: Mapping[str, Sequence[Entry]]
) -> Verdict:
    c = row.characteristic
    gone = [spoiled[reading.seq] for reading in row.readings if reading.seq in spoiled]
    if not gone and row.verdict == "not measured":
        here = one_place(c.positions, row.position)
        gone = [
            (reading, why)
            for reading, why in spoiled.values()
            if reading.characteristic == c.key and one_place(c.positions, reading.position) == here
        ]
    if gone:
        reading, why = max(gone, key=lambda one: one[1].seq)
        was = f"; it was {reading.typed or reading.value} {'' if reading.typed else reading.unit}".rstrip()
        return Verdict(c, row.position, "not measured", note=f"{why}{was if len(gone) == 1 else ''}")
    doubts = dict.fromkeys(str(doubt) for reading in row.readings if (doubt := doubt_of(reading, checks)))
    return replace(row, doubt="; ".join(doubts)) if doubts else row
