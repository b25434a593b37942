"""Bolt length, protrusion and clearance holes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows
from restonb.formulas.checks import need, not_negative, positive

LENGTHS_MM = (
    6,
    8,
    10,
    12,
    16,
    20,
    25,
    30,
    35,
    40,
    45,
    50,
    55,
    60,
    65,
    70,
    75,
    80,
    85,
    90,
    100,
    110,
    120,
    130,
    140,
    150,
)
"""Lengths in which metric bolts are commonly sold (ISO 4014 and ISO 4017 series)."""


@dataclass(frozen=True, slots=True)
class BoltLength:
    needed: Annotated[float, Out("mm", "least length under the head", symbol="L")]
    bought: Annotated[float | None, Out("mm", "next length commonly sold")]
    sticks_out: Annotated[float | None, Out("mm", "how far that one stands out of the nut")]
    notes: tuple[str, ...] = ()


@formula(
    text="L = grip + washers + nut + threads out * P",
    source=("practice",),
    valid="through bolts with a nut; at least two pitches stand out of a self-locking nut",
    not_for="blind holes: use the depth budget of a thread repair plan",
)
def bolt_length(
    grip: Annotated[float, In("mm", "thickness clamped together")],
    nut_height: Annotated[float, In("mm", "height of the nut")],
    pitch: Annotated[float, In("mm", "thread pitch", symbol="P")],
    washers: Annotated[float, In("mm", "thickness of all washers")] = 0.0,
    threads_out: Annotated[float, In("1", "pitches that stand out of the nut")] = 2.0,
) -> BoltLength:
    """How long a bolt must be, and which length to buy."""
    positive(grip=grip, nut_height=nut_height, pitch=pitch)
    not_negative(washers=washers, threads_out=threads_out)
    needed = grip + washers + nut_height + threads_out * pitch
    bought = next((float(length) for length in LENGTHS_MM if length >= needed - 1e-9), None)
    notes = (
        ()
        if bought
        else (f"longer than the {LENGTHS_MM[-1]} mm of the common series; ask for it by the length needed",)
    )
    return BoltLength(needed, bought, None if bought is None else bought - grip - washers - nut_height, notes)


@formula(
    text="out = L - grip - washers - nut; threads = out / P",
    source=("practice",),
    valid="through bolts with a nut",
)
def protrusion(
    length: Annotated[float, In("mm", "length under the head", symbol="L")],
    grip: Annotated[float, In("mm", "thickness clamped together")],
    nut_height: Annotated[float, In("mm", "height of the nut")],
    pitch: Annotated[float, In("mm", "thread pitch", symbol="P")],
    washers: Annotated[float, In("mm", "thickness of all washers")] = 0.0,
) -> Annotated[float, Out("1", "pitches that stand out of the nut; below 0 the nut is not full")]:
    """How many threads stand out of the nut."""
    positive(length=length, grip=grip, nut_height=nut_height, pitch=pitch)
    not_negative(washers=washers)
    return (length - grip - washers - nut_height) / pitch


@formula(
    text="table by thread",
    source=("iso-273",),
    valid="M5 to M14",
    not_for="fitted bolts and dowels",
)
def clearance_hole(
    diameter: Annotated[float, In("mm", "nominal thread diameter")],
    series: Annotated[str, In(None, "how close", ("fine", "medium", "coarse"))] = "medium",
) -> Annotated[float, Out("mm", "hole diameter")]:
    """Which clearance hole a metric bolt takes."""
    positive(diameter=diameter)
    table = rows("restonb.formulas.fasteners", "clearance.csv")
    for row in table:
        if math.isclose(float(row["thread_mm"]), diameter, rel_tol=1e-9):
            return float(row[series])
    need(bool(table), "the table of clearance holes is empty")
    raise FormulaError(
        f"ISO 273 is tabled here for {', '.join('M' + r['thread_mm'] for r in table)}, not for {diameter:g} mm; nothing is interpolated"
    )
