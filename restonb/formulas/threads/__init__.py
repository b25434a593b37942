"""Threads: sizes and limits, tap drills, identification, stripping, and repair with an insert or a bush."""

from restonb.formulas.threads.depth import blind_depth
from restonb.formulas.threads.drilling import drill_for_percent, tap_drill, thread_percent
from restonb.formulas.threads.identify import identify, look_alikes
from restonb.formulas.threads.insert import bush_choice, insert_hole, insert_length
from restonb.formulas.threads.limits import limiting_sizes
from restonb.formulas.threads.repair import repair_plan
from restonb.formulas.threads.sizes import basic_sizes, stress_area
from restonb.formulas.threads.stripping import (
    bolt_shear_area,
    hole_shear_area,
    least_engagement,
    needed_engagement,
    shear_areas,
    stripping,
)

__all__ = [
    "basic_sizes",
    "blind_depth",
    "bolt_shear_area",
    "bush_choice",
    "drill_for_percent",
    "hole_shear_area",
    "identify",
    "insert_hole",
    "insert_length",
    "least_engagement",
    "limiting_sizes",
    "look_alikes",
    "needed_engagement",
    "repair_plan",
    "shear_areas",
    "stress_area",
    "stripping",
    "tap_drill",
    "thread_percent",
]
