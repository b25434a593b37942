"""Basic sizes of a thread, and the area that its strength stands on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas._thread_form import stress_area as iso_stress_area
from restonb.formulas.threads._form import form_of, is_unified
from restonb.quantity import Thread

__all__ = ["BasicSizes", "basic_sizes", "stress_area"]


@dataclass(frozen=True, slots=True)
class BasicSizes:
    """Basic sizes of one thread."""

    major: Annotated[float, Out("mm", "major diameter", symbol="d")]
    pitch: Annotated[float, Out("mm", "pitch", symbol="P")]
    pitch_diameter: Annotated[float, Out("mm", "pitch (effective) diameter", symbol="d2")]
    minor: Annotated[float, Out("mm", "minor diameter of the hole", symbol="D1")]
    root: Annotated[float, Out("mm", "root diameter of the bolt", symbol="d3")]
    depth: Annotated[float, Out("mm", "depth of thread on the bolt")]
    angle: Annotated[float, Out("deg", "angle of the flanks")]
    notes: tuple[str, ...] = ()


@formula(
    text="60 deg: d2 = d - 0.6495 P, D1 = d - 1.0825 P, d3 = d - 1.2269 P; Whitworth: depth 0.640327 P; cycle: depth 0.5327 P; BA: depth 0.6 P",
    source=("iso-261: ISO 68-1 and ISO 724", "asme-b1-1", "bs-84", "bs-811", "bs-93"),
    valid="M, UN, BSW, BSF, G, BSCyc and BA threads",
    not_for="accepting a part: that takes limits, not basic sizes",
)
def basic_sizes(
    thread: Annotated[Thread, In(None, "thread, such as 'M8' or '1/2-12 BSW'")],
) -> BasicSizes:
    """Which diameters a thread has by its basic form."""
    form = form_of(thread)
    root = thread.major - form.to_root * thread.pitch
    return BasicSizes(
        thread.major,
        thread.pitch,
        thread.major - form.to_pitch * thread.pitch,
        thread.major - form.to_minor * thread.pitch,
        root,
        (thread.major - root) / 2,
        form.angle,
        (f"form: {form.name}",) + ((f"size from {thread.source}",) if thread.source else ()),
    )


@formula(
    text="metric: pi/4 ((d2 + d3)/2)^2; UN: pi/4 (D - 0.9743/n)^2; other forms: circle of the mean of effective and root diameter; d2 = pitch diameter, d3 = root diameter, D = nominal diameter, n = threads per inch",
    source=("iso-898-1: 9.1.6.1", "asme-b1-1: Appendix B", "geometry"),
    valid="M and UN threads by their standards; for BSW, BSF, cycle and BA by the same reasoning, which no standard prints",
    not_for="studs with a waisted shank or a cross hole: take the smallest section",
)
def stress_area(
    thread: Annotated[Thread, In(None, "thread, such as 'M8' or '3/8-16 UNC'")],
) -> Annotated[float, Out("mm2", "tensile stress area")]:
    """Which area of a bolt carries the pull.

    Standards print it rounded: ISO 898-1 to three figures, ASME B1.1 to 0.0001 in2.
    """
    form = form_of(thread)
    if thread.series == "M":
        return iso_stress_area(thread.major, thread.pitch)
    if is_unified(thread):
        return math.pi / 4 * (thread.major - 0.9743 * thread.pitch) ** 2
    middle = thread.major - (form.to_pitch + form.to_root) / 2 * thread.pitch
    return math.pi / 4 * middle**2
