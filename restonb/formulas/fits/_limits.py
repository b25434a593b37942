"""Limits of holes, shafts and bearings, and what two of them make together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows
from restonb.formulas.fits import _iso286


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of one hole or shaft."""

    lower: Annotated[float, Out("um", "lower deviation")]
    upper: Annotated[float, Out("um", "upper deviation")]
    least: Annotated[float, Out("mm", "smallest size")]
    most: Annotated[float, Out("mm", "largest size")]


@dataclass(frozen=True, slots=True)
class Fit:
    """What a hole and a shaft make together; clearance below 0 is interference."""

    least: Annotated[float, Out("um", "smallest clearance, - is interference")]
    most: Annotated[float, Out("um", "largest clearance, - is interference")]
    kind: Annotated[str, Out(None, "kind of fit")]
    hole: Annotated[tuple[float, float], Out("um", "deviations of the hole")]
    shaft: Annotated[tuple[float, float], Out("um", "deviations of the shaft")]


@formula(
    text="the limit nearest the basic size from the letter, the other from the width of the grade",
    source=("iso-286",),
    remarks=_iso286.remarks,
    valid="above 0 to 500 mm, grades 5 to 11, letters d e f g h j js k m n p r s u, and the same for holes",
)
def limits(
    code: Annotated[str, In(None, "tolerance class: H7 a hole, k6 a shaft")],
    size: Annotated[float, In("mm", "nominal size")],
) -> Limits:
    """Between which sizes a hole or shaft of this tolerance class lies."""
    lower, upper = _iso286.limits(code, size)
    return Limits(lower, upper, size + lower / 1000, size + upper / 1000)


@formula(
    text="clearance = hole - shaft",
    source=("iso-286",),
    remarks=lambda hole, shaft, size: (*_iso286.remarks(hole, size), *_iso286.remarks(shaft, size)),
    valid="above 0 to 500 mm, both parts at 20 degC",
)
def fit(
    hole: Annotated[str, In(None, "tolerance class of the hole, such as H7")],
    shaft: Annotated[str, In(None, "tolerance class of the shaft, such as k6")],
    size: Annotated[float, In("mm", "nominal size")],
) -> Fit:
    """Whether a hole and a shaft of these classes run free or press, and between which limits."""
    if not hole.strip()[:1].isupper() or not shaft.strip()[:1].islower():
        raise FormulaError(
            f"'{hole}' and '{shaft}': write the hole with a capital (H7) and the shaft with a small letter (k6)"
        )
    return _together(_iso286.limits(hole, size), _iso286.limits(shaft, size))


@formula(
    text="clearance = housing - outside, or bore - shaft",
    source=("iso-492", "iso-286"),
    remarks=lambda part, size, seat: _iso286.remarks(seat, size),
    valid="class Normal bearings, bore over 2.5 to 120 mm, outside over 6 to 180 mm, at 20 degC",
    not_for="the clearance inside the bearing, which an interference takes up",
)
def bearing_seat(
    part: Annotated[str, In(None, "ring that sits there", ("bore", "outside"))],
    size: Annotated[float, In("mm", "nominal bore or outside diameter of the bearing")],
    seat: Annotated[str, In(None, "class of the seat: k5 for a shaft, N7 for a housing")],
) -> Fit:
    """How tight a class Normal bearing sits on a shaft or in a housing."""
    need_hole = part == "outside"
    if seat.strip()[:1].isupper() != need_hole:
        raise FormulaError(
            f"'{seat}': the {part} of a bearing sits {'in a housing: write N7' if need_hole else 'on a shaft: write k5'}"
        )
    seat_limits = _iso286.limits(seat, size)
    ring = bearing(part, size)
    return _together(seat_limits, ring) if need_hole else _together(ring, seat_limits)


def bearing(part: str, size: float) -> tuple[float, float]:
    """Lower and upper deviation in um of a class Normal bearing's bore or outside diameter."""
    for row in rows(_iso286.HERE, "bearings.csv"):
        if row["part"] == part and float(row["over_mm"]) < size <= float(row["to_mm"]):
            return float(row["lower_um"]), float(row["upper_um"])
    raise FormulaError(
        f"no bearing {part} of {size:g} mm in the table; bores over 2.5 to 120 mm, outsides over 6 to 180 mm"
    )


def _together(hole: tuple[float, float], shaft: tuple[float, float]) -> Fit:
    least, most = hole[0] - shaft[1], hole[1] - shaft[0]
    kind = "clearance" if least >= 0 else "interference" if most <= 0 else "transition"
    return Fit(least, most, kind, hole, shaft)
