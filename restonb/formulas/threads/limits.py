"""Limiting sizes of bolt and hole threads: ISO 965 6g/6H, ASME B1.1 2A/2B."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows
from restonb.formulas.checks import between
from restonb.formulas.threads._form import INCH, form_of, is_unified
from restonb.quantity import Thread

__all__ = ["LimitingSizes", "limiting_sizes"]


@dataclass(frozen=True, slots=True)
class LimitingSizes:
    """Largest and smallest sizes of the usual fit."""

    fit: Annotated[str, Out(None, "tolerance classes of bolt and hole")]
    bolt_major_max: Annotated[float, Out("mm", "bolt: major diameter, largest")]
    bolt_major_min: Annotated[float, Out("mm", "bolt: major diameter, smallest")]
    bolt_pitch_max: Annotated[float, Out("mm", "bolt: pitch diameter, largest")]
    bolt_pitch_min: Annotated[float, Out("mm", "bolt: pitch diameter, smallest")]
    hole_pitch_min: Annotated[float, Out("mm", "hole: pitch diameter, smallest")]
    hole_pitch_max: Annotated[float, Out("mm", "hole: pitch diameter, largest")]
    hole_minor_min: Annotated[float, Out("mm", "hole: minor diameter, smallest")]
    hole_minor_max: Annotated[float, Out("mm", "hole: minor diameter, largest")]
    notes: tuple[str, ...] = ()


@formula(
    text="ISO, as printed, else in um: es = 15 + 11 P, Td = 180 P^(2/3) - 3.15/sqrt P, Td2 = 90 P^0.4 D^0.1, TD2 = 1.32 Td2, TD1 = 230 P^0.7; UN: Td2 = 0.0015 (D^(1/3) + sqrt Le) + 0.015 P^(2/3), es = 0.3 Td2, Td = 0.06 P^(2/3), TD2 = 1.3 Td2; P = pitch, D = nominal diameter, Le = length of engagement, es = allowance of the bolt, Td, Td2 = tolerances of its major and pitch diameter, TD1, TD2 = tolerances of the hole's minor and pitch diameter",
    source=("iso-965: ISO 965-1 formulas, ISO 965-2 limits", "asme-b1-1: 2A and 2B"),
    valid="metric 6g/6H from M3 with pitches of 0.5 to 4 mm; UNC and UNF 2A/2B up to 1 in, normal length of engagement",
    not_for="plated, worn or reground threads, and BSW, BSF, cycle and BA, whose limits are not at hand",
)
def limiting_sizes(
    thread: Annotated[Thread, In(None, "thread, such as 'M8' or '3/8-16 UNC'")],
) -> LimitingSizes:
    """Within which limits a bolt and its hole must lie."""
    if thread.series == "M":
        return _iso(thread)
    if is_unified(thread):
        return _unified(thread)
    raise FormulaError(
        f"limits of {thread.series} threads are not at hand; take basic_sizes, and a gauge or a mate that fits"
    )


_STEPS = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0)
"""Steps of diameter within which ISO 965-1 has one tolerance, mm."""


def _iso(thread: Thread) -> LimitingSizes:
    """Limits of 6g/6H: as printed where the print is at hand, else from the formulas of the standard."""
    pitch = thread.pitch
    between("pitch", pitch, 0.5, 4, "mm")
    between("thread diameter", thread.major, 2.8, 90, "mm")
    low, high = next((a, b) for a, b in pairwise(_STEPS) if a < thread.major <= b)
    form = form_of(thread)
    d2, d1 = thread.major - form.to_pitch * pitch, thread.major - form.to_minor * pitch
    below = (15 + 11 * pitch) / 1000
    major = (180 * pitch ** (2 / 3) - 3.15 / math.sqrt(pitch)) / 1000
    bolt = 90 * pitch**0.4 * math.sqrt(low * high) ** 0.1 / 1000
    minor = (230 * pitch**0.7 if pitch >= 1 else 433 * pitch - 190 * pitch**1.22) / 1000
    row = next((row for row in rows(__package__, "limits_iso.csv") if row["thread"] == thread.text), None)

    def printed(size: str, formula: float) -> float:
        return float(row[size]) if row and row[size] else formula

    notes = [f"printed limits of {row['source']} ({row['standing']})"] if row else []
    if row is None or not row["d_max"]:
        notes.append(
            f"{'all else ' if row else ''}from the formulas of ISO 965-1; printed limits, which are rounded, differ by up to 15 um"
        )
    return LimitingSizes(
        "6g/6H",
        printed("d_max", thread.major - below),
        printed("d_min", thread.major - below - major),
        printed("d2_max", d2 - below),
        printed("d2_min", d2 - below - bolt),
        d2,
        printed("D2_max", d2 + 1.32 * bolt),
        d1,
        printed("D1_max", d1 + minor),
        tuple(notes),
    )


def _printed(inches: float, places: int = 4) -> float:
    """Rounded as the standard prints it: half up, and to three places by way of four."""
    from decimal import ROUND_HALF_UP, Decimal

    value = Decimal(repr(inches)).quantize(Decimal("0.0001"), ROUND_HALF_UP)
    return float(value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP))


def _unified(thread: Thread) -> LimitingSizes:
    """Limits of 2A/2B from the printed allowance and tolerances: 0.0001 in; minor diameters from #6 up 0.001 in."""
    d, p = thread.major / INCH, thread.pitch / INCH
    between("thread diameter", d, 0.06, 1, "in")
    engaged = d if thread.series in ("UNC", "UNF") else 9 * p
    bolt = 0.0015 * d ** (1 / 3) + 0.0015 * math.sqrt(engaged) + 0.015 * p ** (2 / 3)
    coarse = 0.25 * p - 0.4 * p * p
    wider = coarse if d >= 0.25 else min(0.394 * p, max(coarse, 0.05 * p ** (2 / 3) + 0.03 * p / d - 0.002))
    form = form_of(thread)
    d1 = d - form.to_minor * p
    d2, allowance = _printed(d - form.to_pitch * p), _printed(0.3 * bolt)
    places = 3 if d >= 0.138 else 4
    major = d - allowance
    return LimitingSizes(
        "2A/2B",
        INCH * major,
        INCH * (major - _printed(0.06 * p ** (2 / 3))),
        INCH * (d2 - allowance),
        INCH * (d2 - allowance - _printed(bolt)),
        INCH * d2,
        INCH * (d2 + _printed(1.3 * bolt)),
        INCH * _printed(d1, places),
        INCH * _printed(d1 + wider, places),
        ("from the formulas of ASME B1.1, rounded as it prints them",),
    )
