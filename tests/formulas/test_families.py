"""What every formula must do: take good input in any unit, refuse bad input by name, cite its source, show its working."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from restonb.errors import FormulaError
from restonb.formulas import FAMILIES
from restonb.formulas.catalogue import find, formulas
from restonb.formulas.sources import cite, sources
from restonb.quantity import convert, unit, units

GOOD: dict[str, dict[str, Any]] = {
    "alignment.chain_angle": {"offset": 1.0, "centres": 600.0},
    "alignment.drive_line": {"near": 0.5, "far": 1.0, "across": 150.0, "centres": 600.0},
    "alignment.reverse_indicator": {
        "stationary_rim": 0.1,
        "movable_rim": 0.06,
        "span": 150.0,
        "front": 250.0,
        "rear": 600.0,
    },
    "alignment.rim_and_face": {
        "rim": 0.3,
        "face": 0.12,
        "diameter": 120.0,
        "front": 250.0,
        "rear": 600.0,
        "bracket": "on the stationary shaft",
    },
    "alignment.two_planes": {"offset_1": 0.1, "offset_2": 0.16, "span": 150.0, "front": 250.0, "rear": 600.0},
    "clutch.clamp_force": {"free": [40.0, 40.1], "fitted": 30.0, "rate": 12.0},
    "clutch.torque": {"force": 1000.0, "outer": 120.0, "inner": 90.0, "faces": 10},
    "fits.assembly_temperature": {"interference": 0.033, "clearance": 0.025, "diameter": 47.0, "hole_expansion": 22.0},
    "fits.bearing_clearance": {"bore": 25.0, "interference": 5.0},
    "fits.bearing_seat": {"part": "bore", "size": 25.0, "seat": "k5"},
    "fits.effective_interference": {"apparent": 0.02, "diameter": 25.0},
    "fits.fit": {"hole": "H7", "shaft": "g6", "size": 25.0},
    "fits.interference": {"hole": 46.98, "shaft": 47.0},
    "fits.limits": {"code": "K7", "size": 47.0},
    "fits.press_force": {"pressure": 60.0, "diameter": 25.0, "length": 20.0},
    "fits.press_pressure": {"interference": 0.025, "diameter": 25.0, "outside": 50.0, "bore": 0.0},
    "fits.seat_condition": {"holes": [47.01, 47.02], "shafts": [46.99, 47.0], "largest": 0.02},
    "fits.when_running": {
        "interference": 0.033,
        "diameter": 47.0,
        "temperature": 100.0,
        "hole_expansion": 22.0,
        "shaft_expansion": 11.5,
    },
    "seating.flex": {"movement": [0.01, 0.06, 0.0, 0.02]},
    "seating.rest": {"feet": [[0.0, 0.0], [300.0, 0.0], [300.0, 200.0], [0.0, 200.0]], "gaps": [0.0, 0.0, 0.2, 0.0]},
    "seating.shims": {
        "feet": [[0.0, 0.0], [300.0, 0.0], [300.0, 200.0], [0.0, 200.0]],
        "gaps": [0.0, 0.0, 0.2, 0.0],
        "stock": [0.05, 0.1],
    },
    "seating.stack": {"wanted": 0.37, "stock": [0.05, 0.1, 0.2]},
    "seating.strain": {"before": [0.0, 0.01], "tight": [0.05, 0.01]},
    "stackup.bring_in": {"gap": 0.6, "least": 0.1, "most": 0.2},
    "stackup.chain": {"sizes": [20.0, 10.0], "tolerances": [0.1, 0.05], "directions": [1, -1]},
    "belts.deflection": {"span": 640.0},
    "belts.length": {"centre_distance": 400.0, "first": 200.0, "second": 100.0},
    "belts.length_short": {"centre_distance": 400.0, "first": 200.0, "second": 100.0},
    "belts.tension_from_note": {"mass_per_length": 0.12, "span": 0.3, "frequency": 60.0},
    "brakes.brake_torque": {"clamp_force": 4500.0, "effective_radius": 120.0, "friction": 0.4},
    "brakes.clamp_force": {"pressure": 4.0, "piston": 38.0, "pistons_one_side": 1},
    "brakes.corrected_distance": {"distance": 36.0, "measured": 58.0, "speed": 60.0},
    "brakes.deceleration": {"torque": 435.0, "tyre_radius": 0.31, "mass": 270.0},
    "brakes.drum_oversize": {"diameters": [178.2, 178.3], "nominal": 177.8, "limit": 1.0},
    "brakes.fluid_grade": {"grade": "DOT 4"},
    "brakes.hold_test": {"start": 5.0, "end": 4.9, "minutes": 5.0},
    "brakes.hydraulic_ratio": {"master_bore": 14.0, "piston": 38.0},
    "brakes.lever_travel": {
        "pad_gap": 0.15,
        "piston": 38.0,
        "moving_pistons": 2,
        "master_bore": 14.0,
        "lever_ratio": 6.0,
    },
    "brakes.line_pressure": {"lever_force": 100.0, "lever_ratio": 6.0, "master_bore": 14.0},
    "brakes.master_bore_change": {"old_bore": 14.0, "new_bore": 12.7},
    "brakes.out_of_round": {"diameters": [178.2, 178.35]},
    "brakes.run_out": {"readings": [0.0, 0.05, 0.1, 0.06, 0.01]},
    "brakes.stopping_distance": {"speed": 60.0},
    "brakes.thickness_variation": {"thickness": [5.0, 5.01, 5.02, 5.0], "minimum": 4.5},
    "brakes.weight_transfer": {"mass": 270.0, "deceleration": 6.0, "height": 0.6, "wheelbase": 1.4},
    "chain.centre_distance": {"links": 106.0, "pitch": 15.875, "front": 15, "rear": 45},
    "chain.elongation": {"measured": 258.5, "over_links": 20, "pitch": 12.7},
    "chain.elongation_limit": {"largest_sprocket": 45},
    "chain.length": {"centre_distance": 600.0, "pitch": 15.875, "front": 15, "rear": 45},
    "chain.links": {"centre_distance": 600.0, "pitch": 15.875, "front": 15, "rear": 45},
    "chain.pitch_diameter": {"pitch": 12.7, "teeth": 17},
    "chain.size": {"mark": "530"},
    "chain.slack": {"movement": 12.0, "centre_distance": 600.0},
    "chassis.bearing_life": {"rating": 14000.0, "load": 1500.0, "speed": 800.0},
    "chassis.rim_run_out": {"highest": 0.7, "lowest": 0.1},
    "chassis.spoke_length": {
        "rim_diameter": 440.0,
        "flange_diameter": 120.0,
        "flange_offset": 30.0,
        "spokes": 36,
        "crosses": 3,
    },
    "chassis.trail": {"tyre_radius": 310.0, "rake": 27.0, "offset": 60.0},
    "chassis.wheel_string": {"front_left": 52.0, "front_right": 48.0},
    "electrical.awg": {"gauge": 12},
    "electrical.charging_balance": {"speeds": [1000.0, 2000.0], "outputs": [40.0, 100.0], "loads": [45.0, 25.0]},
    "electrical.drain": {"capacity": 12.0, "current": 0.005},
    "electrical.fuse": {"current": 9.0, "wire_load": 16.0},
    "electrical.glass_fuse": {"rating": 15.0},
    "electrical.hot_resistance": {"resistance": 7.98, "temperature": 60.0},
    "electrical.insulation": {"resistances": [2.0, 3.0]},
    "electrical.lamp": {"category": "P21/5W"},
    "electrical.load_current": {"power": 35.0, "voltage": 6.0},
    "electrical.load_test": {"voltage": 9.8, "cold_cranking": 180.0, "temperature": 10.0},
    "electrical.locate_drop": {"voltages": [12.6, 12.5, 12.0], "points": ["battery", "fuse", "lamp"]},
    "electrical.metric_wire": {"area": 1.5},
    "electrical.gravity_voltage": {"gravity": 1.25},
    "electrical.rest_voltage": {"voltage": 12.4},
    "electrical.specific_gravity": {"reading": 1.24, "temperature": 7.0},
    "electrical.voltage_drop": {"current": 10.0, "resistance": 7.98, "length": 3.0},
    "electrical.winding_balance": {"resistances": [0.32, 0.33, 0.31]},
    "electrical.wire_for": {"current": 5.0, "length": 2.0},
    "engine.air_pressure": {"altitude": 500.0},
    "engine.bore_wear": {"diameters": [[70.04, 70.03], [70.01, 70.0]]},
    "engine.cam_timing": {"inlet_opens": 20.0, "inlet_closes": 56.0, "exhaust_opens": 58.0, "exhaust_closes": 18.0},
    "engine.clearance_volume": {"head": 28.0, "gasket_bore": 71.5, "gasket_thickness": 1.2, "bore": 70.0},
    "engine.compression_at_sea_level": {"gauge": 1000.0, "air": 95.0},
    "engine.compression_ratio": {"displacement": 250.0, "clearance": 29.0},
    "engine.compression_spread": {"pressures": [1150.0, 1100.0]},
    "engine.displacement": {"bore": 70.0, "stroke": 65.0},
    "engine.end_float_shim": {"end_float": 0.62, "low": 0.05, "high": 0.15},
    "engine.leak_down": {"supply": 700.0, "cylinder": 620.0},
    "engine.piston_position": {"angle": 45.0, "stroke": 65.0, "rod": 130.0},
    "engine.ring_gap": {"bore": 70.0},
    "engine.squish": {"deck": 0.1, "gasket": 0.9},
    "fasteners.adapter_setting": {"torque": 100.0, "wrench_length": 400.0, "adapter_length": 50.0},
    "fasteners.bolt_length": {"grip": 20.0, "nut_height": 6.8, "pitch": 1.25},
    "fasteners.clearance_hole": {"diameter": 8.0},
    "fasteners.friction_torque": {"preload": 15900.0, "diameter": 8.0, "pitch": 1.25, "bearing_diameter": 10.3},
    "fasteners.nut_factor": {"torque": 25.0, "preload": 15900.0, "diameter": 8.0},
    "fasteners.preload": {"torque": 25.0, "diameter": 8.0},
    "fasteners.preload_at_yield": {"diameter": 8.0, "pitch": 1.25, "yield_strength": 640.0},
    "fasteners.preload_from_friction": {"torque": 25.0, "diameter": 8.0, "pitch": 1.25, "bearing_diameter": 10.3},
    "fasteners.preload_scatter": {"preload": 10000.0},
    "fasteners.prevailing_torque": {"seating_torque": 24.0, "run_down_torque": 3.0},
    "fasteners.proof_load": {"thread": "M8", "mark": "8.8"},
    "fasteners.protrusion": {"length": 35.0, "grip": 20.0, "nut_height": 6.8, "pitch": 1.25},
    "fasteners.strength": {"mark": "8.8", "diameter": 8.0},
    "fasteners.tightening_order": {"bolts": [[0.0, 0.0], [50.0, 0.0], [50.0, 50.0], [0.0, 50.0]], "torque": 24.0},
    "fasteners.torque": {"preload": 15900.0, "diameter": 8.0},
    "fasteners.torque_at_yield": {"diameter": 8.0, "pitch": 1.25, "yield_strength": 640.0, "bearing_diameter": 10.3},
    "fasteners.wanted_preload": {"proof_load": 21200.0, "diameter": 8.0},
    "fasteners.wrench_range": {"torque": 50.0, "wrench_maximum": 100.0},
    "gearing.engine_speed": {"road_speed": 100.0, "circumference": 1950.0, "ratio": 5.0},
    "gearing.overall_ratio": {"ratios": [2.1, 1.0, 2.5]},
    "gearing.ratio": {"driving": 19, "driven": 46},
    "gearing.road_speed": {"engine_speed": 5000.0, "circumference": 1950.0, "ratio": 5.0},
    "gearing.tyre": {"mark": "3.25-19"},
}
HELD_ELSEWHERE = {"threads"}
"""A family whose own tests hold it to the same."""
NUMBERS = [(name, key) for name, call in GOOD.items() for key, value in call.items() if isinstance(value, float)]
BAD = [math.nan, math.inf, -math.inf, True, "many", "1,5", "5 furlong", [], {}]


def test_every_formula_is_held_to_this() -> None:
    assert {name for name in formulas() if name.split(".")[0] not in HELD_ELSEWHERE} == set(GOOD)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_source_is_known(family: str) -> None:
    for one in formulas(family).values():
        assert one.source, one.name
        assert one.valid, one.name
        assert all(cite(key) for key in one.source)


def test_every_standard_says_its_edition() -> None:
    """A year in the title, and where what was read did not say of which edition it is, that the year is recalled."""
    bodies = ("ISO", "ASME", "BS", "SAE", "VDI", "EN", "ASTM", "IEC", "UL", "UN", "FED", "JCGM")
    for key, row in sources().items():
        if row["title"].split()[0] in bodies:
            assert re.search(r"[:-](?:19|20)?\d\d,|[:-](?:19|20)\d\d|\((?:19|20)\d\d\)|-\d\d,", row["title"]), key
        assert row["standing"] in ("seen", "recalled", "practice", "derived"), key
        assert row.get("year", "recalled") == "recalled", key
    assert "its year is recalled" in cite("iso-273")
    assert "recalled" not in cite("iso-898-1: Table 3")


def test_every_known_source_is_used() -> None:
    """Keys that no formula names serve tables and other rooms; each must be named somewhere in the package."""
    from pathlib import Path

    import restonb

    package = Path(restonb.__file__).parent
    text = "\n".join(p.read_text(encoding="utf-8") for p in package.rglob("*.py"))
    tables = "\n".join(p.read_text(encoding="utf-8") for p in package.rglob("*.csv"))
    unused = [
        key
        for key, row in sources().items()
        if f'"{key}' not in text and re.split(r",|[-:]\d+", row["title"])[0] not in text + tables
    ]
    assert not unused


@pytest.mark.parametrize("name", GOOD)
def test_working_names_source_and_limits_of_use(name: str) -> None:
    one = find(name)
    result = one(**GOOD[name])
    text = result.working()
    assert one.answers.endswith((".", "?"))
    assert one.text in text
    for key in one.source:
        assert cite(key) in text
    assert f"valid: {one.valid}" in text
    assert result.data()["result"]
    assert "<table" in result._repr_html_()


@pytest.mark.parametrize(("name", "key"), NUMBERS)
@pytest.mark.parametrize("bad", BAD, ids=repr)
def test_bad_numbers_are_refused_by_name(name: str, key: str, bad: Any) -> None:
    with pytest.raises(FormulaError, match=f"'{key}'") as caught:
        find(name)(**{**GOOD[name], key: bad})
    assert len(str(caught.value).splitlines()) == 1


@pytest.mark.parametrize(("name", "key"), NUMBERS)
@pytest.mark.parametrize("size", [-1.0, 0.0, 1e-9, 1e9, 1e30])
def test_absurd_numbers_give_an_answer_or_a_reason(name: str, key: str, size: float) -> None:
    """Never a traceback of another kind, and never a number that is not finite."""
    try:
        result = find(name)(**{**GOOD[name], key: size})
    except FormulaError:
        return
    assert all(math.isfinite(part.value) for part in result if isinstance(part.value, float))


@pytest.mark.parametrize(("name", "key"), NUMBERS)
def test_units_do_not_matter(name: str, key: str) -> None:
    """The same argument in every other unit of its kind gives the same answer."""
    one = find(name)
    declared = one.arguments[key][1].unit
    assert declared is not None
    first = one(**GOOD[name])
    others = [u for u in units() if unit(u).kind == unit(declared).kind and u not in (declared, "1", "ppm", "%")]
    for other in others:
        value = convert(GOOD[name][key], declared, other)
        if not 1e-9 < abs(value) < 1e12:
            continue
        again = one(**{**GOOD[name], key: f"{value:.15f} {other}"})
        for a, b in zip(first, again, strict=True):
            if isinstance(a.value, float):
                assert a.value == pytest.approx(b.value, rel=1e-5, abs=1e-9), other
