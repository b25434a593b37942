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
    text="ISO: es = table, Td = 180 P^(2/3) - 3.15/sqrt P, Td2 = 90 P^0.4 D^0.1, TD2 = 1.32 Td2, TD1 = 230 P^0.7, each "
    "rounded to R40; UN: Td2 = 0.0015 (D^(1/3) + sqrt Le) + 0.015 P^(2/3), es = 0.3 Td2, Td = 0.06 P^(2/3), TD2 = 1.3 Td2",
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


_R40 = (
    1.00, 1.06, 1.12, 1.18, 1.25, 1.32, 1.40, 1.50, 1.60, 1.70, 1.80, 1.90, 2.00, 2.12, 2.24, 2.36, 2.50, 2.65, 2.80, 3.00,
    3.15, 3.35, 3.55, 3.75, 4.00, 4.25, 4.50, 4.75, 5.00, 5.30, 5.60, 6.00, 6.30, 6.70, 7.10, 7.50, 8.00, 8.50, 9.00, 9.50,
    10.0,
)  # fmt: skip
"""Preferred numbers, series R40 (ISO 3)."""

_STEPS = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0)
"""Steps of diameter within which ISO 965-1 has one tolerance, mm."""


def _rounded(value: float) -> float:
    """The nearest preferred number of R40, by ratio."""
    power = 10.0 ** math.floor(math.log10(value))
    return min(_R40, key=lambda number: abs(math.log(number * power / value))) * power


def _iso(thread: Thread) -> LimitingSizes:
    """Limits of 6g/6H from the tabled deviation and the tolerances, rounded to R40."""
    pitch = thread.pitch
    between("pitch", pitch, 0.5, 4, "mm")
    between("thread diameter", thread.major, 2.8, 90, "mm")
    table = {float(row["pitch_mm"]): float(row["es_um"]) for row in rows(__package__, "deviation_g.csv")}
    if pitch not in table:
        raise FormulaError(
            f"the deviation of position g is tabled for pitches of {', '.join(f'{p:g}' for p in table)} mm, not {pitch:g}"
        )
    low, high = next((a, b) for a, b in pairwise(_STEPS) if a < thread.major <= b)
    bolt_um = 90 * pitch**0.4 * math.sqrt(low * high) ** 0.1
    minor_um = 230 * pitch**0.7 if pitch >= 1 else 433 * pitch - 190 * pitch**1.22
    major_um = 180 * pitch ** (2 / 3) - 3.15 / math.sqrt(pitch)
    form = form_of(thread)
    d2, d1 = thread.major - form.to_pitch * pitch, thread.major - form.to_minor * pitch
    below = -table[pitch] / 1000
    return LimitingSizes(
        "6g/6H",
        thread.major - below,
        thread.major - below - _rounded(major_um) / 1000,
        d2 - below,
        d2 - below - _rounded(bolt_um) / 1000,
        d2,
        d2 + _rounded(1.32 * bolt_um) / 1000,
        d1,
        d1 + _rounded(minor_um) / 1000,
        ("from the formulas of ISO 965-1, rounded to R40 as ISO 965-2 prints them",),
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
