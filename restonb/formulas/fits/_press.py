"""Interference as measured: at 20 degC, hot, how to assemble it, how hard it holds, and what to do when it is lost."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import between, exceeds, need, not_negative, positive
from restonb.quantity import material, materials

MATERIALS = tuple(materials())
HEAT_CAUTIONS = (
    "gloves and eye protection; hot and deep-frozen parts burn, and hot oil and old seals give off fumes",
    "no chlorinated cleaner on parts that are heated afterwards: heat turns its traces into a poisonous gas",
    "no water near hot oil or on deep-frozen parts; no flammable cleaner on or near hot parts",
    "never heat magnesium with a flame; use an oven with a thermometer, and no flame near fuel",
    "dry ice and liquid nitrogen only with ventilation, and by somebody trained for it",
)


def _note(name: str) -> str:
    return material(name).note


@formula(
    text="size at 20 degC = size / (1 + a (T - 20)); interference = shaft - hole; a = expansion of the material",
    source=("iso-1", "physics"),
    valid="parts and gauge soaked through at the temperatures given; -40 to 250 degC",
)
def interference(
    hole: Annotated[float, In("mm", "hole as measured, at its temperature")],
    shaft: Annotated[float, In("mm", "shaft or ring as measured, at its temperature")],
    hole_material: Annotated[str, In(None, "material around the hole", MATERIALS, stands_for=_note)] = "steel",
    shaft_material: Annotated[str, In(None, "material of the shaft or ring", MATERIALS, stands_for=_note)] = "steel",
    hole_temperature: Annotated[float, In("degC", "temperature of the hole when measured", symbol="T")] = 20.0,
    shaft_temperature: Annotated[float, In("degC", "temperature of the shaft when measured", symbol="T")] = 20.0,
) -> Annotated[float, Out("mm", "interference at 20 degC, - is clearance")]:
    """How much a measured shaft is larger than its measured hole at 20 degC."""
    positive(hole=hole, shaft=shaft)
    need(
        abs(hole - shaft) < 0.05 * hole,
        f"hole {hole:g} and shaft {shaft:g} mm differ by more than 5 %; check the units",
    )
    between("hole_temperature", hole_temperature, -40, 250, "degC")
    between("shaft_temperature", shaft_temperature, -40, 250, "degC")
    hole_20 = hole / (1 + material(hole_material).expansion * (hole_temperature - 20))
    return shaft / (1 + material(shaft_material).expansion * (shaft_temperature - 20)) - hole_20


@formula(
    text="left = interference - d (a_hole (T_hole - 20) - a_shaft (T_shaft - 20))",
    source=("physics",),
    valid="-40 to 250 degC, interference small against the diameter",
    not_for="loads that wind the ring round (creep): a fit that is only just tight moves",
)
def when_running(
    interference: Annotated[float, In("mm", "interference at 20 degC")],
    diameter: Annotated[float, In("mm", "diameter of the fit", symbol="d")],
    temperature: Annotated[float, In("degC", "running temperature of the part with the hole", symbol="T_hole")],
    hole_expansion: Annotated[
        float, In("um/m/K", "expansion of the part with the hole (aluminium 21.5 to 23.5)", symbol="a_hole")
    ],
    shaft_expansion: Annotated[
        float, In("um/m/K", "expansion of the shaft or ring (steel 11.5, bearing steel 12.5)", symbol="a_shaft")
    ],
    shaft_temperature: Annotated[
        float | None, In("degC", "running temperature of the shaft, where it differs", symbol="T_shaft")
    ] = None,
) -> Annotated[float, Out("mm", "interference that is left, - is clearance")]:
    """Whether an interference is still there at running temperature."""
    positive(diameter=diameter)
    between("temperature", temperature, -40, 250, "degC")
    inner = temperature if shaft_temperature is None else shaft_temperature
    between("shaft_temperature", inner, -40, 250, "degC")
    return interference - diameter * 1e-6 * (hole_expansion * (temperature - 20) - shaft_expansion * (inner - 20))


@dataclass(frozen=True, slots=True)
class Assembly:
    """How warm and how cold to make the parts so that they slip together."""

    heat_to: Annotated[float, Out("degC", "least temperature of the part with the hole while they go together")]
    oven: Annotated[float, Out("degC", "the same, and what it loses on the way from the oven")]
    rise: Annotated[float, Out("K", "rise above the room")]
    shrink: Annotated[float, Out("mm", "what cooling the shaft gives")]
    feasible: Annotated[bool, Out(None, "the oven stays within the highest temperature allowed")]
    clearance_at_limit: Annotated[float, Out("mm", "clearance at the highest temperature allowed, - is interference")]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@formula(
    text="rise = (interference + clearance - a_shaft d (T_room - T_cold)) / (a_hole d); oven = room + rise + handling, where anything is heated",
    source=("physics", "practice"),
    valid="both parts at room temperature before; room 0 to 40 degC",
    not_for="parts with seals, plastic cages or adhesive that cannot take the temperature",
)
def assembly_temperature(
    interference: Annotated[float, In("mm", "interference at room temperature")],
    clearance: Annotated[float, In("mm", "clearance wanted for slipping together")],
    diameter: Annotated[float, In("mm", "diameter of the fit", symbol="d")],
    hole_expansion: Annotated[float, In("um/m/K", "expansion of the part with the hole", symbol="a_hole")],
    shaft_expansion: Annotated[float, In("um/m/K", "expansion of the shaft or ring", symbol="a_shaft")] = 12.5,
    cold: Annotated[
        float | None, In("degC", "temperature of the shaft or ring when cooled; else not cooled", symbol="T_cold")
    ] = None,
    room: Annotated[float, In("degC", "room temperature", symbol="T_room")] = 20.0,
    highest: Annotated[float, In("degC", "highest temperature allowed (usual: case 120, bearing 120)")] = 120.0,
    handling: Annotated[
        float, In("K", "what the warm part loses between the oven and the fit; 0 where it is not moved")
    ] = 0.0,
) -> Assembly:
    """How hot the housing must be, and how cold the shaft or ring, so that an interference slips together."""
    positive(diameter=diameter, hole_expansion=hole_expansion, shaft_expansion=shaft_expansion)
    not_negative(clearance=clearance, handling=handling)
    between("room", room, 0, 40, "degC")
    between("highest", highest, 40, 250, "degC")
    shrink = 0.0
    if cold is not None:
        between("cold", cold, -200, room, "degC")
        shrink = shaft_expansion * 1e-6 * diameter * (room - cold)
    grow = hole_expansion * 1e-6 * diameter
    rise = max(0.0, (interference + clearance - shrink) / grow)
    oven = room + rise + (handling if rise > 0 else 0.0)
    notes = []
    if exceeds(oven, highest):
        notes.append(
            f"{oven:.0f} degC is above the {highest:g} degC allowed: cool the inner part too, or accept less clearance"
        )
    if cold is not None and cold < -60:
        notes.append(
            "expansion falls off below about -60 degC: take the shrinkage of a deep-frozen part as a quarter less"
        )
    return Assembly(
        heat_to=room + rise,
        oven=oven,
        rise=rise,
        shrink=shrink,
        feasible=not exceeds(oven, highest),
        clearance_at_limit=grow * (highest - room) + shrink - interference,
        notes=tuple(notes),
        cautions=HEAT_CAUTIONS,
    )


@formula(
    text="p = δ / (d [ ((D²+d²)/(D²-d²) + ν_o)/E_o + ((d²+d_i²)/(d²-d_i²) - ν_i)/E_i ])",
    source=("lame",),
    valid="elastic, long rings, even wall; δ is the interference that is left after roughness",
    not_for="thin ears, bosses with a slot, or a housing whose wall varies: take the thinnest wall, and leave a reserve",
)
def press_pressure(
    interference: Annotated[float, In("mm", "effective interference on the diameter", symbol="δ")],
    diameter: Annotated[float, In("mm", "diameter of the fit", symbol="d")],
    outside: Annotated[float, In("mm", "outside diameter of the outer part", symbol="D")],
    bore: Annotated[float, In("mm", "bore of the inner part, 0 for a solid shaft", symbol="d_i")],
    outer_modulus: Annotated[float, In("MPa", "modulus of the outer part", symbol="E_o")] = 207_000.0,
    inner_modulus: Annotated[float, In("MPa", "modulus of the inner part", symbol="E_i")] = 207_000.0,
    outer_poisson: Annotated[float, In("1", "Poisson's ratio of the outer part", symbol="ν_o")] = 0.29,
    inner_poisson: Annotated[float, In("1", "Poisson's ratio of the inner part", symbol="ν_i")] = 0.29,
) -> Annotated[float, Out("MPa", "pressure in the joint", symbol="p")]:
    """How hard a press fit presses."""
    positive(diameter=diameter, outside=outside, outer_modulus=outer_modulus, inner_modulus=inner_modulus)
    not_negative(interference=interference, bore=bore)
    need(
        bore < diameter < outside, f"give bore < diameter < outside; they are {bore:g}, {diameter:g} and {outside:g} mm"
    )
    between("outer_poisson", outer_poisson, 0, 0.5)
    between("inner_poisson", inner_poisson, 0, 0.5)
    outer = ((outside**2 + diameter**2) / (outside**2 - diameter**2) + outer_poisson) / outer_modulus
    inner = ((diameter**2 + bore**2) / (diameter**2 - bore**2) - inner_poisson) / inner_modulus
    return interference / (diameter * (outer + inner))


@formula(
    text="F = μ p π d L",
    source=("physics",),
    valid="friction between 0.05 and 0.3: oiled steel about 0.12, dry 0.15 to 0.2",
    not_for="choosing a press without reserve: a ring that tilts takes several times as much",
)
def press_force(
    pressure: Annotated[float, In("MPa", "pressure in the joint", symbol="p")],
    diameter: Annotated[float, In("mm", "diameter of the fit", symbol="d")],
    length: Annotated[float, In("mm", "length of the fit", symbol="L")],
    friction: Annotated[float, In("1", "coefficient of friction", symbol="μ")] = 0.15,
) -> Annotated[float, Out("kN", "force at full depth", symbol="F")]:
    """Which force presses the parts fully together, or apart."""
    not_negative(pressure=pressure)
    positive(diameter=diameter, length=length)
    between("friction", friction, 0.05, 0.3)
    return friction * pressure * math.pi * diameter * length / 1000


@formula(
    text="effective = apparent x d/(d + 2) ground, d/(d + 3) turned (d in mm)",
    source=("bearing-catalogue",),
    valid="bearing seats on shafts",
)
def effective_interference(
    apparent: Annotated[float, In("mm", "interference as measured")],
    diameter: Annotated[float, In("mm", "shaft diameter", symbol="d")],
    surface: Annotated[str, In(None, "how the seat was finished", ("ground", "turned"))] = "ground",
) -> Annotated[float, Out("mm", "interference that presses")]:
    """How much of a measured interference is left after the surfaces have been smoothed by pressing."""
    positive(diameter=diameter)
    not_negative(apparent=apparent)
    return apparent * diameter / (diameter + (2 if surface == "ground" else 3))


@dataclass(frozen=True, slots=True)
class Seat:
    """What a measured fit means, and what to do about it."""

    clearance: Annotated[float, Out("mm", "mean clearance as measured, - is interference")]
    least: Annotated[float, Out("mm", "tightest place")]
    most: Annotated[float, Out("mm", "loosest place")]
    beyond: Annotated[float, Out("mm", "how far the loosest place is beyond the largest clearance allowed (0: not)")]
    steps: tuple[str, ...]
    cautions: tuple[str, ...]


@formula(
    text="clearance = hole - shaft at the tightest, loosest and mean place",
    source=("practice",),
    valid="hole and shaft measured at several places, clean, at one temperature",
    not_for="a cracked or heat-softened housing: that is for a machine shop",
)
def seat_condition(
    holes: Annotated[Sequence[float], In("mm", "hole at several places")],
    shafts: Annotated[Sequence[float], In("mm", "shaft or ring at several places")],
    largest: Annotated[float, In("mm", "largest clearance allowed, - where interference is required")],
) -> Seat:
    """What a measured fit means, and which proper remedies there are when it is loose."""
    need(bool(holes) and bool(shafts), "give at least one hole and one shaft reading")
    need(all(math.isfinite(v) and v > 0 for v in (*holes, *shafts)), "a size is not a number above 0; give mm")
    need(abs(holes[0] - shafts[0]) < 0.05 * holes[0], "hole and shaft differ by more than 5 %; check the units")
    most, least = max(holes) - min(shafts), min(holes) - max(shafts)
    mean = math.fsum(holes) / len(holes) - math.fsum(shafts) / len(shafts)
    beyond = max(0.0, most - largest)
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    if beyond > 0:
        steps = _remedies(mean, largest < 0)
        cautions = (
            "do not raise the seat with punch marks or knurling: it holds for a while, crooked, and the ring turns again",
        )
    return Seat(mean, least, most, beyond, steps, cautions)


def _remedies(clearance: float, press: bool) -> tuple[str, ...]:
    steps = ["measure both parts again at 20 degC, clean, to see which one is worn, and whether it is worn round"]
    if clearance < 0.03 and not press:
        steps.append(
            "a fit that may turn only slowly: retaining compound within its stated gap and temperature, if the maker of the machine allows it"
        )
    elif clearance < 0.03:
        steps.append(
            "a little short of interference: retaining compound within its stated gap and temperature is a repair, not a press fit; say so in the record"
        )
    steps.append("shaft worn: hard chrome or metal spray and grind to size, or a new shaft")
    steps.append(
        "housing worn: bore out true to its register and press in a sleeve, pinned or shouldered; then bore to size"
    )
    return tuple(steps)
