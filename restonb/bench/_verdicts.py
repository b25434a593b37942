"""The table of verdicts as a notebook shows it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from html import escape
from typing import Any

from restonb.bench._evidence import Spoiled
from restonb.bench._look import Shown, chip, styled, table
from restonb.measure import Reading, Verdict, Verdicts
from restonb.measure.verdict_table import limits_text, uncertainty_text, value_text

__all__ = ["Checked", "marked"]

HEADS = ("what", "position", "value", "± U", "limits", "verdict", "worn in", "remarks")


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
        rows, last = [], None
        mine = Verdicts(self.rows).to(self.units or {})
        for row in mine:
            c = row.characteristic
            again = c == last
            last = c
            what = (c.what or c.key) + (" (safety)" if c.safety else "")
            worn = "" if row.worn_in is None else f"{row.worn_in:.0f} %"
            remarks = "; ".join(t for t in (row.settle, row.note) if t)
            position = "" if row.position == "once" else row.position
            limits = limits_text(row)
            rows.append((
                "″" if again else what, position, value_text(row), uncertainty_text(row),
                "″" if again else ("no limit" if limits == "none" else limits), chip(row.verdict), worn, remarks,
            ))  # fmt: skip
        shown = table(HEADS, rows, numeric=("value", "± U", "worn in"), tight=("position", "limits"))
        sources = dict.fromkeys((c.what or c.key, c.source or "no source given") for c in
                                (r.characteristic for r in mine))  # fmt: skip
        ks = sorted({f"{r.k:.2g}" for r in mine if r.k})
        foot = [f"Limits of {what}: {source}" for what, source in sources]
        foot += [f"U is the expanded uncertainty, k = {' to '.join(ks[:: max(len(ks) - 1, 1)])} (about 95 %)"] if ks else []
        html = shown.html + "".join(f'<p class="small">{escape(line)}.</p>' for line in foot)
        return Shown(html, "\n".join([shown.text, *foot]))

    def __str__(self) -> str:
        return self.shown().text

    __repr__ = __str__

    def _repr_html_(self) -> str:
        return styled(self.shown().html)

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        return self.shown()._repr_mimebundle_()


def marked(
    rows: Iterable[Verdict], spoiled: Mapping[tuple[str, str], tuple[Reading, Spoiled]]
) -> tuple[Verdict, ...]:
    """Say at each position whose reading counts no longer what it was, and why it is to be measured again."""
    told = []
    for row in rows:
        was = spoiled.get((row.characteristic.key, row.position))
        if was and row.verdict == "not measured":
            reading, why = was
            row = replace(row, note=f"{why}; it was {reading.typed or reading.value} {'' if reading.typed else reading.unit}".rstrip())
        told.append(row)
    return tuple(told)
