"""Limits and fits: holes, shafts, bearing seats, press fits cold and hot, and what to do with a loose one."""

from restonb.formulas.fits._clearance import Clearance, bearing_clearance
from restonb.formulas.fits._limits import Fit, Limits, bearing_seat, fit, limits
from restonb.formulas.fits._press import (
    Assembly,
    Seat,
    assembly_temperature,
    effective_interference,
    interference,
    press_force,
    press_pressure,
    seat_condition,
    when_running,
)

__all__ = [
    "Assembly",
    "Clearance",
    "Fit",
    "Limits",
    "Seat",
    "assembly_temperature",
    "bearing_clearance",
    "bearing_seat",
    "effective_interference",
    "fit",
    "interference",
    "limits",
    "press_force",
    "press_pressure",
    "seat_condition",
    "when_running",
]
