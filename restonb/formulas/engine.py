"""Engine: displacement and compression, bore wear, compression and leak-down tests, piston position, cam timing, shims."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import at_least, between, need, not_negative, positive

__all__ = [
    "air_pressure",
    "bore_wear",
    "cam_timing",
    "clearance_volume",
    "compression_at_sea_level",
    "compression_ratio",
    "compression_spread",
    "displacement",
    "end_float_shim",
    "leak_down",
    "piston_position",
    "ring_gap",
    "squish",
]


@formula(text="V = pi/4 B^2 s n", source=("geometry",), valid="all cylinders alike")
def displacement(
    bore: Annotated[float, In("mm", "bore", symbol="B")],
    stroke: Annotated[float, In("mm", "stroke", symbol="s")],
    cylinders: Annotated[int, In("1", "number of cylinders", symbol="n")] = 1,
) -> Annotated[float, Out("cc", "displacement", symbol="V")]:
    """Which volume the pistons sweep."""
    positive(bore=bore, stroke=stroke, cylinders=cylinders)
    return math.pi / 4 * bore**2 * stroke * cylinders / 1000


@formula(
    text="Vc = head + gasket + deck - dome",
    source=("geometry",),
    valid="deck height positive where the piston stays below the top of the barrel",
)
def clearance_volume(
    head: Annotated[float, In("cc", "volume of the head, plug in")],
    gasket_bore: Annotated[float, In("mm", "bore of the gasket")],
    gasket_thickness: Annotated[float, In("mm", "thickness of the gasket, squeezed")],
    bore: Annotated[float, In("mm", "bore")],
    deck: Annotated[float, In("mm", "piston below the top of the barrel; below 0 if above it")] = 0.0,
    dome: Annotated[float, In("cc", "volume of the piston dome; below 0 for a dish")] = 0.0,
) -> Annotated[float, Out("cc", "clearance volume", symbol="Vc")]:
    """Which volume is left above the piston at top dead centre."""
    positive(head=head, gasket_bore=gasket_bore, bore=bore)
    not_negative(gasket_thickness=gasket_thickness)
    between("deck", deck, -10, 20, "mm")
    volume = head + math.pi / 4 * (gasket_bore**2 * gasket_thickness + bore**2 * deck) / 1000 - dome
    need(volume > 0, "nothing is left above the piston; check dome and deck")
    return volume


@formula(text="CR = (V + Vc)/Vc", source=("geometry",), valid="one cylinder")
def compression_ratio(
    displacement: Annotated[float, In("cc", "displacement of one cylinder", symbol="V")],
    clearance: Annotated[float, In("cc", "clearance volume of one cylinder", symbol="Vc")],
) -> Annotated[float, Out("1", "compression ratio", symbol="CR")]:
    """Which compression ratio a cylinder has."""
    positive(displacement=displacement, clearance=clearance)
    return (displacement + clearance) / clearance


@formula(
    text="squish = deck + gasket",
    source=("geometry", "practice"),
    valid="measured with soft wire at two opposite places; 0.8 to 1.2 mm is common practice, no source",
    not_for="high speeds with aluminium rods, which grow: the maker's figure comes first",
)
def squish(
    deck: Annotated[float, In("mm", "piston below the top of the barrel; below 0 if above it")],
    gasket: Annotated[float, In("mm", "thickness of the gasket, squeezed")],
) -> Annotated[float, Out("mm", "squish gap")]:
    """How close the piston comes to the head."""
    not_negative(gasket=gasket)
    gap = deck + gasket
    need(gap > 0, f"the piston would touch the head by {-gap:.2f} mm; do not turn the engine")
    return gap


@dataclass(frozen=True, slots=True)
class RingGap:
    low: Annotated[float, Out("mm", "least gap")]
    high: Annotated[float, Out("mm", "usual upper end for a new ring")]
    notes: tuple[str, ...] = ()


@formula(
    text="0.3 to 0.4 mm per 100 mm of bore",
    source=("practice",),
    valid="cast iron rings, ring square in the bore at its least worn place",
    not_for="a ring maker's figure: that comes first",
)
def ring_gap(bore: Annotated[float, In("mm", "bore")]) -> RingGap:
    """Which end gap a piston ring usually has."""
    between("bore", bore, 20, 200, "mm")
    return RingGap(0.003 * bore, 0.004 * bore, ("too little gap seizes; file slowly and keep the ends square",))


@dataclass(frozen=True, slots=True)
class BoreWear:
    taper: Annotated[float, Out("mm", "largest spread down one axis")]
    ovality: Annotated[float, Out("mm", "largest spread across axes at one depth")]
    largest: Annotated[float, Out("mm", "largest diameter")]
    smallest: Annotated[float, Out("mm", "smallest diameter")]
    notes: tuple[str, ...] = ()


@formula(
    text="taper = max over axes of the spread down it; ovality = max over depths of the spread across axes",
    source=("geometry", "practice"),
    valid="two depths or more, two axes or more; rows are depths, columns are axes",
    not_for="the top few millimetres above the ring's reach: they show the size when new",
)
def bore_wear(
    diameters: Annotated[Sequence[Sequence[float]], In("mm", "diameters: one row per depth, one column per axis")],
) -> BoreWear:
    """How far a bore is worn tapered and oval."""
    at_least("diameters", diameters, 2)
    need(len({len(row) for row in diameters}) == 1, "every depth needs the same number of axes")
    need(len(diameters[0]) >= 2, "give two axes or more at every depth")
    every = [d for row in diameters for d in row]
    positive(smallest=min(every))
    need(max(every) < 1.2 * min(every), "these diameters are too different for one bore; check their units")
    taper = max(max(axis) - min(axis) for axis in zip(*diameters, strict=True))
    ovality = max(max(row) - min(row) for row in diameters)
    return BoreWear(
        taper, ovality, max(every), min(every), ("taper 0.1 mm and ovality 0.05 mm are common practice, no source",)
    )


@formula(
    text="p = 101.325 (1 - 2.25577e-5 h)^5.25588",
    source=("iso-2533",),
    valid="0 to 11000 m, standard atmosphere",
    not_for="the weather of the day: read a barometer",
)
def air_pressure(
    altitude: Annotated[float, In("m", "height above the sea", symbol="h")],
) -> Annotated[float, Out("kPa", "air pressure", symbol="p")]:
    """Which air pressure there is at a height."""
    between("altitude", altitude, 0, 11000, "m")
    return float(101.325 * (1 - 2.25577e-5 * altitude) ** 5.25588)


@formula(
    text="g_ref = (g + p_a) p_ref/p_a - p_ref",
    source=("physics", "iso-2533"),
    valid="gauge pressures; the pressure ratio of the engine stays the same",
)
def compression_at_sea_level(
    gauge: Annotated[float, In("kPa", "compression as the gauge shows it", symbol="g")],
    air: Annotated[float, In("kPa", "air pressure on the spot, see engine.air_pressure", symbol="p_a")],
    reference: Annotated[float, In("kPa", "air pressure that the limit refers to", symbol="p_ref")] = 101.325,
) -> Annotated[float, Out("kPa", "compression as it would read there", symbol="g_ref")]:
    """What a compression reading would be at sea level."""
    positive(gauge=gauge)
    between("air", air, 20, 110, "kPa")
    between("reference", reference, 20, 110, "kPa")
    return (gauge + air) * reference / air - reference


@formula(
    text="spread = 100 (max - min)/max",
    source=("practice",),
    valid="two cylinders or more, warm, throttle open; 10 to 15 % is common practice, no source",
)
def compression_spread(
    pressures: Annotated[Sequence[float], In("kPa", "compression of each cylinder")],
) -> Annotated[float, Out("%", "spread between cylinders")]:
    """How alike the compression of the cylinders is."""
    at_least("pressures", pressures, 2)
    for i, p in enumerate(pressures, 1):
        positive(**{f"pressures[{i}]": p})
    return 100 * (max(pressures) - min(pressures)) / max(pressures)


@formula(
    text="leak = 100 (p1 - p2)/p1",
    source=("practice",),
    valid="piston at top dead centre on compression; below 10 % good, above 20 % bad is common practice, no source",
    not_for="an engine that is not held: air pressure turns the crank, so lock it and keep hands clear",
)
def leak_down(
    supply: Annotated[float, In("kPa", "pressure before the orifice", symbol="p1")],
    cylinder: Annotated[float, In("kPa", "pressure behind it", symbol="p2")],
) -> Annotated[float, Out("%", "leak-down")]:
    """How much a cylinder leaks."""
    positive(supply=supply)
    not_negative(cylinder=cylinder)
    need(cylinder <= supply, "the cylinder reads more than the supply; swap the two gauges")
    return 100 * (supply - cylinder) / supply


@formula(
    text="x = r (1 - cos a) + l - sqrt(l^2 - r^2 sin^2 a); r = half the stroke",
    source=("geometry",),
    valid="gudgeon pin on the cylinder axis, rod longer than the crank",
)
def piston_position(
    angle: Annotated[float, In("deg", "crank angle after top dead centre", symbol="a")],
    stroke: Annotated[float, In("mm", "stroke")],
    rod: Annotated[float, In("mm", "rod length between centres", symbol="l")],
) -> Annotated[float, Out("mm", "piston below top dead centre", symbol="x")]:
    """How far the piston is down at a crank angle."""
    positive(stroke=stroke, rod=rod)
    need(rod > stroke / 2, f"a rod of {rod:g} mm is shorter than the crank of {stroke / 2:g} mm; check both")
    r, a = stroke / 2, math.radians(angle)
    return r * (1 - math.cos(a)) + rod - math.sqrt(rod**2 - (r * math.sin(a)) ** 2)


@dataclass(frozen=True, slots=True)
class CamTiming:
    inlet_duration: Annotated[float, Out("deg", "inlet duration")]
    inlet_centre: Annotated[float, Out("deg", "inlet lobe centre after top dead centre")]
    exhaust_duration: Annotated[float, Out("deg", "exhaust duration")]
    exhaust_centre: Annotated[float, Out("deg", "exhaust lobe centre before top dead centre")]
    lobe_separation: Annotated[float, Out("deg", "mean of the two centres")]
    overlap: Annotated[float, Out("deg", "both valves open")]


@formula(
    text="duration = opens + closes + 180; centre = duration/2 - opens; overlap = inlet opens + exhaust closes",
    source=("geometry",),
    valid="all at the same lift; symmetric lobes for the centres",
)
def cam_timing(
    inlet_opens: Annotated[float, In("deg", "before top dead centre")],
    inlet_closes: Annotated[float, In("deg", "after bottom dead centre")],
    exhaust_opens: Annotated[float, In("deg", "before bottom dead centre")],
    exhaust_closes: Annotated[float, In("deg", "after top dead centre")],
) -> CamTiming:
    """Duration, lobe centres and overlap from the four timing figures."""
    for name, value in (("inlet_opens", inlet_opens), ("inlet_closes", inlet_closes), ("exhaust_opens", exhaust_opens), ("exhaust_closes", exhaust_closes)):  # fmt: skip
        between(name, value, -60, 120, "deg")
    inlet, exhaust = inlet_opens + inlet_closes + 180, exhaust_opens + exhaust_closes + 180
    inlet_centre, exhaust_centre = inlet / 2 - inlet_opens, exhaust / 2 - exhaust_closes
    return CamTiming(
        inlet, inlet_centre, exhaust, exhaust_centre, (inlet_centre + exhaust_centre) / 2, inlet_opens + exhaust_closes
    )


@formula(
    text="shim = float - (low + high)/2",
    source=("geometry",),
    valid="float measured with an indicator, shaft pushed both ways, gasket squeezed as fitted",
    not_for="tapered rollers under preload",
)
def end_float_shim(
    end_float: Annotated[float, In("mm", "float measured without shims")],
    low: Annotated[float, In("mm", "least float wanted")],
    high: Annotated[float, In("mm", "most float wanted")],
) -> Annotated[float, Out("mm", "shims to fit; below 0 something must come out")]:
    """Which shims bring the end float to the middle of its range."""
    not_negative(end_float=end_float, low=low)
    need(high > low, "'high' must be above 'low'; swap them", field="high")
    return end_float - (low + high) / 2
