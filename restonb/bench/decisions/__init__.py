"""What the numbers of a sheet say to do next, in words: one small module per template that needs one."""

from __future__ import annotations

from importlib import import_module
from types import ModuleType

__all__ = [
    "bearing_fit",
    "bore",
    "brake_check",
    "charging",
    "charted",
    "circuits",
    "clutch",
    "disc",
    "drum",
    "final_chain",
    "gearbox_end_float",
    "gearbox_mounting",
    "harness_labels",
    "hydraulics",
    "loads_and_wiring",
    "measuring_sheet",
    "outside_work",
    "parts_list",
    "primary_alignment",
    "teardown",
    "thread_repair",
    "tightening_plan",
    "time_and_cost",
    "wheels",
]


def __getattr__(name: str) -> ModuleType:
    if name in __all__:
        return import_module(f"{__name__}.{name}")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
