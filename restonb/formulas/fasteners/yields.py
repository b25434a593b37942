"""Preload and torque at which a bolt uses a given share of its yield strength, tightening twist included."""

from __future__ import annotations

import math
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas._thread_form import pitch_diameter, root_diameter, stress_area
from restonb.formulas.checks import between, need, positive


def _preload(diameter: float, pitch: float, yield_strength: float, friction: float, share: float) -> float:
    positive(diameter=diameter, pitch=pitch, yield_strength=yield_strength)
    need(
        pitch < diameter / 2,
        f"'pitch' is {pitch:g} mm on a {diameter:g} mm thread; give the pitch in mm",
        field="pitch",
    )
    between("thread_friction", friction, 0.0, 0.5)
    between("share", share, 10, 100, "%")
    d2, d3 = pitch_diameter(diameter, pitch), root_diameter(diameter, pitch)
    d0 = (d2 + d3) / 2
    twist = 1.5 * d2 / d0 * (pitch / (math.pi * d2) + 1.155 * friction)
    return share / 100 * yield_strength * stress_area(diameter, pitch) / math.sqrt(1 + 3 * twist**2)


@formula(
    text="FM = nu Rp As / sqrt(1 + 3 (1.5 d2/d0 (P/(pi d2) + 1.155 mu))^2); As = stress area, d2 = pitch diameter, d0 = diameter of the stress area",
    source=("vdi-2230: assembly preload",),
    valid="60 degree threads, full shank, plain steel bolts",
    not_for="waisted bolts, and bolts in soft castings where the thread strips first",
)
def preload_at_yield(
    diameter: Annotated[float, In("mm", "nominal thread diameter", symbol="d")],
    pitch: Annotated[float, In("mm", "thread pitch", symbol="P")],
    yield_strength: Annotated[float, In("MPa", "Re or Rp0.2, see fasteners.strength", symbol="Rp")],
    thread_friction: Annotated[float, In("1", "friction coefficient in the thread", symbol="mu")] = 0.12,
    share: Annotated[float, In("%", "share of yield used while tightening", symbol="nu")] = 90.0,
) -> Annotated[float, Out("N", "preload", symbol="FM")]:
    """Which preload uses a share of the bolt's yield while it is being tightened."""
    return _preload(diameter, pitch, yield_strength, thread_friction, share)


@formula(
    text="MA = FM (0.16 P + 0.58 mu_t d2 + mu_h Dkm/2); FM = preload by fasteners.preload_at_yield, d2 = pitch diameter",
    source=("vdi-2230: assembly torque",),
    valid="60 degree threads; same friction in thread and under the head unless given",
    not_for="a torque specification: the maker's figure comes first",
)
def torque_at_yield(
    diameter: Annotated[float, In("mm", "nominal thread diameter", symbol="d")],
    pitch: Annotated[float, In("mm", "thread pitch", symbol="P")],
    yield_strength: Annotated[float, In("MPa", "Re or Rp0.2, see fasteners.strength")],
    bearing_diameter: Annotated[float, In("mm", "mean bearing diameter under head or nut", symbol="Dkm")],
    thread_friction: Annotated[float, In("1", "friction coefficient in the thread", symbol="mu_t")] = 0.12,
    head_friction: Annotated[
        float | None, In("1", "friction coefficient under the head; else that of the thread", symbol="mu_h")
    ] = None,
    share: Annotated[float, In("%", "share of yield used while tightening")] = 90.0,
) -> Annotated[float, Out("N m", "tightening torque", symbol="MA")]:
    """Which torque uses a share of the bolt's yield: an upper bound to check a torque figure against."""
    force = _preload(diameter, pitch, yield_strength, thread_friction, share)
    head = thread_friction if head_friction is None else head_friction
    positive(bearing_diameter=bearing_diameter)
    between("head_friction", head, 0.0, 0.5)
    # The guideline prints its tables from these rounded factors; the full ones give up to 0.3 % less.
    arm = 0.16 * pitch + 0.58 * thread_friction * pitch_diameter(diameter, pitch) + head * bearing_diameter / 2
    return force * arm / 1000
