"""Electrics: wire, voltage drop, fuses, charging, windings, battery, and where in a chain of joints a fault lies."""

from restonb.formulas.electrical.battery import drain, gravity_voltage, load_test, rest_voltage, specific_gravity
from restonb.formulas.electrical.charging import charging_balance, insulation, winding_balance
from restonb.formulas.electrical.fault import locate_drop
from restonb.formulas.electrical.loads import fuse, glass_fuse, lamp, load_current
from restonb.formulas.electrical.wire import awg, hot_resistance, metric_wire, voltage_drop, wire_for

__all__ = [
    "awg",
    "charging_balance",
    "drain",
    "fuse",
    "glass_fuse",
    "gravity_voltage",
    "hot_resistance",
    "insulation",
    "lamp",
    "load_current",
    "load_test",
    "locate_drop",
    "metric_wire",
    "rest_voltage",
    "specific_gravity",
    "voltage_drop",
    "winding_balance",
    "wire_for",
]
