"""Basic profile of a screw thread from its diameter and pitch, shared by threads and fasteners. Plain floats, mm."""

from __future__ import annotations

import math

__all__ = ["pitch_diameter", "root_diameter", "stress_area"]

ROOT_60 = 17 / 24 * math.sqrt(3)
"""d - d3 over the pitch for the ISO profile: 1.226869 (ISO 68-1, ISO 898-1)."""


def pitch_diameter(diameter: float, pitch: float) -> float:
    """d2 of the 60 degree profile in mm: d - 0.649519 P (ISO 724)."""
    return diameter - 3 * math.sqrt(3) / 8 * pitch


def root_diameter(diameter: float, pitch: float) -> float:
    """d3 of the 60 degree profile in mm: d - 1.226869 P (ISO 724)."""
    return diameter - ROOT_60 * pitch


def stress_area(diameter: float, pitch: float) -> float:
    """Nominal stress area in mm2: pi/4 ((d2 + d3)/2)^2 (ISO 898-1)."""
    return math.pi / 4 * ((pitch_diameter(diameter, pitch) + root_diameter(diameter, pitch)) / 2) ** 2
