"""Engineering calculations, each tied to a published source. Pure: no files, no clock, no state."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from restonb.formulas._core import Formula as Formula
    from restonb.formulas._core import Result as Result

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

__all__ = ["FAMILIES", "Formula", "Result", *FAMILIES]


def __getattr__(name: str) -> Any:
    if name in FAMILIES:
        return import_module(f"{__name__}.{name}")
    if name in ("Formula", "Result"):
        return getattr(import_module(f"{__name__}._core"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[Any]:
    return sorted(__all__)
