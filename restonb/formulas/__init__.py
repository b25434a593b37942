"""Engineering calculations, each tied to a published source. Pure: no files, no clock, no state."""

from __future__ import annotations

from importlib import import_module
from types import ModuleType
from typing import Any

FAMILIES = (
    "alignment",
    "belts",
    "brakes",
    "chain",
    "chassis",
    "clutch",
    "electrical",
    "engine",
    "fasteners",
    "fits",
    "gearing",
    "seating",
    "stackup",
    "threads",
)
"""Every family: a module or folder of this name in this room."""

__all__ = ["FAMILIES", *FAMILIES]


def __getattr__(name: str) -> ModuleType:
    if name in FAMILIES:
        return import_module(f"{__name__}.{name}")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[Any]:
    return sorted(__all__)
