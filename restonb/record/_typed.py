"""A reading as it was typed: checked against the spec book and the gauges, and turned into the body of an entry."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from restonb.errors import RecordError
from restonb.measure import Characteristic
from restonb.record.bodies import number_text, what_to_write

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["gauge_of", "reading_body"]

_NEVER_NEGATIVE = frozenset(
    (
        "mass",
        "resistance",
        "resistance per length",
        "area",
        "volume",
        "time",
        "frequency",
        "density",
        "count",
        "linear density",
        "kinematic viscosity",
        "capacitance",
        "specific gravity",
    )
)
_SIZES = re.compile(
    r"\b(gaps?|clearances?|thickness(es)?|diameters?|dia|bores?|depths?|widths?|lengths?|heights?|"
    r"free play|end float|backlash|tread)\b"
)
_SIGNED = re.compile(
    r"\b(offset|movement|difference|change|deviation|error|from nominal|out of|misalignment|alignment|above|"
    r"below|relative|run-?out|drop|protrusion)\b"
)


def reading_body(
    build: Build,
    sheet: str,
    characteristic: str,
    position: str,
    typed: str,
    occasion: str,
    instrument: str | None,
    temperature: str | None,
    note: str,
) -> dict[str, Any]:
    """The body of a reading, from what was typed. Raises BuildError, PositionError, QuantityError or RecordError."""
    from restonb.measure import find_position
    from restonb.quantity import read

    row = build.specs.get(sheet, characteristic)
    place = find_position(row.positions, position)
    quantity = read(typed, row.unit)
    _refuse_negative(row, quantity.value, quantity.unit, quantity.kind)
    gauge = row.instrument if instrument is None else instrument
    warmth = None if temperature is None or not str(temperature).strip() else read(str(temperature), "degC")
    return {
        "sheet": row.sheet,
        "characteristic": row.key,
        "position": place,
        "value": number_text(quantity.value),
        "unit": quantity.unit,
        "typed": quantity.typed or typed.strip(),
        "resolution": None if quantity.resolution is None else number_text(quantity.resolution),
        "instrument": None if not gauge else gauge_of(build, gauge),
        "occasion": occasion,
        "temperature": None if warmth is None else number_text(warmth.to("degC").value),
        "note": note,
    }


def _refuse_negative(row: Characteristic, value: float, unit: str, kind: str) -> None:
    """A size is never below nothing; a movement, a run-out or an offset may be. What is counted is whole."""
    if kind == "count" and (value < 0 or value != round(value)):
        raise RecordError(f"what is counted is a whole number from 0 up, not {number_text(value)}: write for example 2")
    if value >= 0:
        return
    words = f"{row.what} {row.key}".lower().replace("_", " ")
    named = _SIZES.search(words)
    if kind == "length" and named and not _SIGNED.search(words):
        gap = named[0].startswith(("gap", "clearance", "free play", "end float", "backlash"))
        what = named[0].rstrip("s") if not named[0].endswith("ss") else named[0]
        raise RecordError(
            f"a {what} cannot be negative: write 0 {unit} for touching, or {number_text(-value)} {unit}"
            if gap
            else f"a {what} cannot be negative: write {number_text(-value)} {unit}"
        )
    if kind in _NEVER_NEGATIVE:
        raise RecordError(f"a {kind} cannot be negative: write {number_text(-value)} {unit}, or zero the gauge")


def gauge_of(build: Build, key: str) -> str:
    """The name of a gauge, as instruments.csv has it."""
    if key not in build.instruments:
        raise RecordError(f"no instrument {key!r} in instruments.csv: {what_to_write(key, build.instruments)}")
    return key
