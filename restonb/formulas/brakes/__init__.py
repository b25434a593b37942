"""Brakes: hydraulics, discs, drums, stopping and the trial on the road, hold test and fluid."""

from restonb.formulas.brakes.disc import run_out, thickness_variation
from restonb.formulas.brakes.drum import drum_oversize, out_of_round
from restonb.formulas.brakes.fluid import fluid_grade, hold_test
from restonb.formulas.brakes.hydraulics import (
    clamp_force,
    hydraulic_ratio,
    lever_travel,
    line_pressure,
    master_bore_change,
)
from restonb.formulas.brakes.stopping import brake_torque, deceleration, stopping_distance, weight_transfer
from restonb.formulas.brakes.trial import corrected_distance

__all__ = [
    "brake_torque",
    "clamp_force",
    "corrected_distance",
    "deceleration",
    "drum_oversize",
    "fluid_grade",
    "hold_test",
    "hydraulic_ratio",
    "lever_travel",
    "line_pressure",
    "master_bore_change",
    "out_of_round",
    "run_out",
    "stopping_distance",
    "thickness_variation",
    "weight_transfer",
]
