"""Gearing and road speed: ratios, tyres, and what the engine turns at a speed."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import at_least, between, need, positive

__all__ = ["engine_speed", "overall_ratio", "ratio", "road_speed", "tyre"]


@formula(text="i = z2 / z1", source=("geometry",), valid="whole teeth")
def ratio(
    driving: Annotated[int, In("1", "teeth of the driving sprocket or gear", symbol="z1")],
    driven: Annotated[int, In("1", "teeth of the driven sprocket or gear", symbol="z2")],
) -> Annotated[float, Out("1", "ratio; above 1 slows down", symbol="i")]:
    """Which ratio two sprockets or gears make."""
    positive(driving=driving, driven=driven)
    return driven / driving


@formula(text="i = i1 i2 i3 ...", source=("geometry",), valid="each ratio driven over driving")
def overall_ratio(
    ratios: Annotated[Sequence[float], In("1", "primary, gearbox and final ratio", symbol="i1, i2, i3 ...")],
) -> Annotated[float, Out("1", "engine turns per wheel turn", symbol="i")]:
    """How often the engine turns for one turn of the wheel."""
    at_least("ratios", ratios, 1)
    for i, r in enumerate(ratios, 1):
        positive(**{f"ratios[{i}]": r})
    return math.prod(ratios)


@formula(
    text="v = n / i * U",
    source=("geometry",),
    valid="no slip; the rolling circumference is a little less than the free one",
)
def road_speed(
    engine_speed: Annotated[float, In("rpm", "engine speed", symbol="n")],
    circumference: Annotated[float, In("mm", "rolling circumference of the tyre", symbol="U")],
    ratio: Annotated[float, In("1", "overall ratio, engine turns per wheel turn", symbol="i")],
) -> Annotated[float, Out("km/h", "road speed", symbol="v")]:
    """How fast the machine goes at an engine speed."""
    need(engine_speed >= 0, "'engine_speed' is below 0; give 0 or more", field="engine_speed")
    positive(circumference=circumference, ratio=ratio)
    return engine_speed / ratio * circumference * 60 / 1e6


@formula(text="n = v i / U", source=("geometry",), valid="no slip")
def engine_speed(
    road_speed: Annotated[float, In("km/h", "road speed", symbol="v")],
    circumference: Annotated[float, In("mm", "rolling circumference of the tyre", symbol="U")],
    ratio: Annotated[float, In("1", "overall ratio, engine turns per wheel turn", symbol="i")],
) -> Annotated[float, Out("rpm", "engine speed", symbol="n")]:
    """How fast the engine turns at a road speed."""
    need(road_speed >= 0, "'road_speed' is below 0; give 0 or more", field="road_speed")
    positive(circumference=circumference, ratio=ratio)
    return road_speed * 1e6 / 60 / circumference * ratio


@dataclass(frozen=True, slots=True)
class Tyre:
    diameter: Annotated[float, Out("mm", "free outside diameter", symbol="OD")]
    circumference: Annotated[float, Out("mm", "free circumference", symbol="U")]
    rolling: Annotated[float, Out("mm", "rolling circumference, about 0.965 of the free one")]
    width: Annotated[float, Out("mm", "section width", symbol="W")]
    aspect: Annotated[float, Out("%", "section height over width", symbol="AR")]
    notes: tuple[str, ...] = ()


METRIC = re.compile(r"^(\d{2,3})\s*/\s*(\d{2,3})\s*(?:[A-Z]{0,2}|-)?\s*-?\s*R?\s*(\d{2})$")
INCH = re.compile(r"^(\d\.\d{2}|\d\.\d|\d)(?:\s*/\s*(\d{2}))?\s*[-x]?\s*(?:[A-Z])?\s*(\d{2})$")


@formula(
    text="OD = rim * 25.4 + 2 W AR/100; U = pi OD; rim in inches",
    source=("practice", "geometry"),
    valid="'120/70-17' and old inch marks such as '3.25-19'; inch section taken at 100 %, low inch marks (3.60, 4.10, 5.10) at 90 %",
    not_for="speedometer calibration: roll the wheel one turn with the rider on and measure",
)
def tyre(mark: Annotated[str, In(None, "size marked on the tyre, such as '3.25-19' or '120/70-17'")]) -> Tyre:
    """How large a tyre is, from the size marked on it."""
    text = mark.strip().upper()
    if found := METRIC.match(text):
        width, aspect, rim = float(found[1]), float(found[2]), float(found[3])
        between("width", width, 50, 300, "mm")
        note = "metric mark: the aspect ratio is printed"
    elif found := INCH.match(text):
        inches, rim = float(found[1]), float(found[3])
        between("width", inches, 1.5, 8, "in")
        low = found[1] in ("3.60", "4.10", "4.60", "5.10")
        aspect = float(found[2]) if found[2] else 90.0 if low else 100.0
        width = inches * 25.4
        note = "aspect ratio printed" if found[2] else f"inch mark without a ratio: taken at {aspect:g} %"
    else:
        raise FormulaError(f"'{mark}' is not a tyre size; write '120/70-17' or '3.25-19'")
    between("rim", rim, 8, 23, "in")
    between("aspect", aspect, 25, 110, "%")
    diameter = rim * 25.4 + 2 * width * aspect / 100
    return Tyre(
        diameter,
        math.pi * diameter,
        0.965 * math.pi * diameter,
        width,
        aspect,
        (note, "free size; makers' tyres differ by a few per cent"),
    )
