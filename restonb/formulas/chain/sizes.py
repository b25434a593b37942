"""Standard chain sizes, and which of them look alike but do not interchange."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows

TABLE = rows("restonb.formulas.chain", "sizes.csv")
MARKS = tuple(r["mark"] for r in TABLE) + tuple(r["other_mark"] for r in TABLE if r["other_mark"])


@dataclass(frozen=True, slots=True)
class ChainSize:
    pitch: Annotated[float, Out("mm", "pitch")]
    inner_width: Annotated[float, Out("mm", "least width between the inner plates")]
    roller: Annotated[float, Out("mm", "largest roller diameter")]
    tensile: Annotated[float | None, Out("kN", "least tensile strength")]
    notes: tuple[str, ...] = ()


@formula(
    text="table by mark",
    source=("iso-606: Table 1", "iso-10190"),
    valid="the marks listed",
    not_for="old inch chains of non-standard width: measure pitch, width and roller",
)
def size(mark: Annotated[str, In(None, "mark on the side plates", MARKS)]) -> ChainSize:
    """Which pitch, width and roller a chain mark stands for, and what only looks like it."""
    row = next(r for r in TABLE if mark in (r["mark"], r["other_mark"]))
    notes = [f"from {row['source']}" + (" (recalled)" if row["standing"] == "recalled" else "")]
    alike = [
        f"{r['mark']} (roller {r['roller_max_mm']}, width {r['inner_width_min_mm']} mm)"
        for r in TABLE
        if r["pitch_mm"] == row["pitch_mm"]
        and r is not row
        and (r["roller_max_mm"], r["inner_width_min_mm"]) != (row["roller_max_mm"], row["inner_width_min_mm"])
    ]
    if alike:
        notes.append(f"same pitch but not interchangeable: {', '.join(alike)}")
    if not row["tensile_kN"]:
        notes.append("strength: see the maker")
    return ChainSize(
        float(row["pitch_mm"]),
        float(row["inner_width_min_mm"]),
        float(row["roller_max_mm"]),
        float(row["tensile_kN"]) if row["tensile_kN"] else None,
        tuple(notes),
    )
