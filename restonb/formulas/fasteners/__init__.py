"""Fasteners: torque and preload, scatter, classes and grades, tightening order, bolt length."""

from restonb.formulas.fasteners.classes import proof_load, strength
from restonb.formulas.fasteners.length import bolt_length, clearance_hole, protrusion
from restonb.formulas.fasteners.order import tightening_order
from restonb.formulas.fasteners.torque import (
    adapter_setting,
    friction_torque,
    nut_factor,
    preload,
    preload_from_friction,
    preload_scatter,
    prevailing_torque,
    torque,
    wanted_preload,
    wrench_range,
)
from restonb.formulas.fasteners.yields import preload_at_yield, torque_at_yield

__all__ = [
    "adapter_setting",
    "bolt_length",
    "clearance_hole",
    "friction_torque",
    "nut_factor",
    "preload",
    "preload_at_yield",
    "preload_from_friction",
    "preload_scatter",
    "prevailing_torque",
    "proof_load",
    "protrusion",
    "strength",
    "tightening_order",
    "torque",
    "torque_at_yield",
    "wanted_preload",
    "wrench_range",
]
