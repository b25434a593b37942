"""Shear areas, needed engagement, and which part of a joint gives way first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import between, need, positive
from restonb.formulas.threads._form import form_of
from restonb.formulas.threads.limits import limiting_sizes
from restonb.formulas.threads.sizes import stress_area
from restonb.quantity import Thread

__all__ = [
    "Engagement",
    "ShearAreas",
    "Stripping",
    "bolt_shear_area",
    "hole_shear_area",
    "least_engagement",
    "needed_engagement",
    "shear_areas",
    "stripping",
]

SHEAR_SHARE = 0.577
"""Shear strength over tensile strength of a ductile metal (von Mises); 0.6 is also in use."""

_TAN30 = 0.57735
_HOLE = "tensile strength of the metal round the hole"
_UNKNOWN = (
    "casting of unknown metal: take a low figure, 150 MPa for aluminium and 200 MPa for grey iron (common practice)"
)
_NOT_FOR = (
    "cracked, corroded or hollow castings, fine threads in sheet, and joints that shake: prove those on a trial piece"
)


def _bolt_area(
    engagement: float, pitch: float, minor_hole_max: float, pitch_bolt_min: float, tangent: float = _TAN30
) -> float:
    need(
        pitch_bolt_min > minor_hole_max - pitch / (2 * tangent),
        "the hole's bore is so large that the bolt's thread does not reach into it; check both diameters",
    )
    return math.pi * engagement * minor_hole_max * (0.5 + tangent / pitch * (pitch_bolt_min - minor_hole_max))


def _hole_area(
    engagement: float, pitch: float, major_bolt_min: float, pitch_hole_max: float, tangent: float = _TAN30
) -> float:
    need(
        major_bolt_min > pitch_hole_max - pitch / (2 * tangent),
        "the bolt is so thin that its thread does not reach into the hole's; check both diameters",
    )
    return math.pi * engagement * major_bolt_min * (0.5 + tangent / pitch * (major_bolt_min - pitch_hole_max))


@formula(
    text="ASs = pi Le Kn (1/2 + 0.57735 (Es - Kn)/P)",
    source=("h28: appendix on thread strength", "machinery: Strength of bolts, screws and threads"),
    valid="60 degree threads; Kn largest minor diameter of the hole, Es smallest pitch diameter of the bolt",
    not_for="Whitworth and BA threads: take shear_areas, which knows their flanks",
)
def bolt_shear_area(
    engagement: Annotated[float, In("mm", "length of engagement", symbol="Le")],
    pitch: Annotated[float, In("mm", "pitch", symbol="P")],
    minor_hole_max: Annotated[float, In("mm", "largest minor diameter of the hole", symbol="Kn")],
    pitch_bolt_min: Annotated[float, In("mm", "smallest pitch diameter of the bolt", symbol="Es")],
) -> Annotated[float, Out("mm2", "shear area of the bolt's thread", symbol="ASs")]:
    """Which area shears when the bolt's thread strips."""
    positive(engagement=engagement, pitch=pitch, minor_hole_max=minor_hole_max, pitch_bolt_min=pitch_bolt_min)
    return _bolt_area(engagement, pitch, minor_hole_max, pitch_bolt_min)


@formula(
    text="ASn = pi Le Ds (1/2 + 0.57735 (Ds - En)/P)",
    source=("h28: appendix on thread strength", "machinery: Strength of bolts, screws and threads"),
    valid="60 degree threads; Ds smallest major diameter of the bolt, En largest pitch diameter of the hole",
    not_for="Whitworth and BA threads: take shear_areas, which knows their flanks",
)
def hole_shear_area(
    engagement: Annotated[float, In("mm", "length of engagement", symbol="Le")],
    pitch: Annotated[float, In("mm", "pitch", symbol="P")],
    major_bolt_min: Annotated[float, In("mm", "smallest major diameter of the bolt", symbol="Ds")],
    pitch_hole_max: Annotated[float, In("mm", "largest pitch diameter of the hole", symbol="En")],
) -> Annotated[float, Out("mm2", "shear area of the hole's thread", symbol="ASn")]:
    """Which area shears when the hole's thread strips."""
    positive(engagement=engagement, pitch=pitch, major_bolt_min=major_bolt_min, pitch_hole_max=pitch_hole_max)
    return _hole_area(engagement, pitch, major_bolt_min, pitch_hole_max)


@formula(
    text="Le = 2 At / (pi Kn (1/2 + 0.57735 (Es - Kn)/P))",
    source=("h28: appendix on thread strength", "machinery: Strength of bolts, screws and threads"),
    valid="bolt and hole of equal strength, 60 degree threads",
    not_for="a hole in softer metal than the bolt: take needed_engagement",
)
def least_engagement(
    area: Annotated[float, In("mm2", "tensile stress area of the bolt", symbol="At")],
    pitch: Annotated[float, In("mm", "pitch", symbol="P")],
    minor_hole_max: Annotated[float, In("mm", "largest minor diameter of the hole", symbol="Kn")],
    pitch_bolt_min: Annotated[float, In("mm", "smallest pitch diameter of the bolt", symbol="Es")],
) -> Annotated[float, Out("mm", "least length of engagement", symbol="Le")]:
    """How much engagement lets the bolt break before its own thread strips.

    The area that shears is taken as twice the stress area: shear strength as half the tensile strength.
    """
    positive(area=area, pitch=pitch, minor_hole_max=minor_hole_max, pitch_bolt_min=pitch_bolt_min)
    return 2 * area / _bolt_area(1.0, pitch, minor_hole_max, pitch_bolt_min)


@dataclass(frozen=True, slots=True)
class ShearAreas:
    """Shear areas of both threads at a length of engagement."""

    bolt: Annotated[float, Out("mm2", "shear area of the bolt's thread", symbol="ASs")]
    hole: Annotated[float, Out("mm2", "shear area of the hole's thread", symbol="ASn")]
    stress_area: Annotated[float, Out("mm2", "tensile stress area of the bolt")]
    notes: tuple[str, ...] = ()


def _areas(thread: Thread, engagement: float) -> ShearAreas:
    form, pitch = form_of(thread), thread.pitch
    if thread.series in ("M", "UNC", "UNF", "UN"):
        at = limiting_sizes.plain(thread)
        note = f"at the loosest limits of {at.fit}"
        kn, es, ds, en = at.hole_minor_max, at.bolt_pitch_min, at.bolt_major_min, at.hole_pitch_max
    else:
        note = "at the basic sizes, since limits are not at hand: a worn or loose pair is weaker by a fifth or more"
        kn, es = thread.major - form.to_minor * pitch, thread.major - form.to_pitch * pitch
        ds, en = thread.major, es
    return ShearAreas(
        _bolt_area(engagement, pitch, kn, es, form.tangent),
        _hole_area(engagement, pitch, ds, en, form.tangent),
        stress_area.plain(thread),
        (note,),
    )


@formula(
    text="ASs = pi Le Kn (1/2 + tan(a/2) (Es - Kn)/P); ASn = pi Le Ds (1/2 + tan(a/2) (Ds - En)/P); a = angle of the flanks, P = pitch, Kn = largest minor diameter of the hole, En = its largest pitch diameter, Es = smallest pitch diameter of the bolt, Ds = its smallest major diameter",
    source=("h28: appendix on thread strength", "iso-965", "asme-b1-1"),
    valid="engagement of at least one pitch; M 6g/6H and UN 2A/2B at their limits, other forms at basic sizes",
    not_for=_NOT_FOR,
)
def shear_areas(
    thread: Annotated[Thread, In(None, "thread, such as 'M8' or '5/16-18 UNC'")],
    engagement: Annotated[float, In("mm", "length of full thread engaged", symbol="Le")],
) -> ShearAreas:
    """Which areas of bolt and hole thread hold a joint."""
    _need_a_turn(thread, engagement)
    return _areas(thread, engagement)


def _need_a_turn(thread: Thread, engagement: float) -> None:
    positive(engagement=engagement)
    need(
        engagement >= thread.pitch,
        f"'engagement' is {engagement:g} mm, less than one pitch ({thread.pitch:g} mm); nothing can be said",
        field="engagement",
    )


@dataclass(frozen=True, slots=True)
class Engagement:
    """Needed length of engagement."""

    needed: Annotated[float, Out("mm", "engagement at which the bolt breaks before either thread strips")]
    equal: Annotated[float, Out("mm", "engagement for a hole as strong as the bolt", symbol="Le")]
    ratio: Annotated[
        float,
        Out("1", "strength of the bolt's thread over that of the hole's; above 1 the hole is the weaker", symbol="J"),
    ]
    diameters: Annotated[float, Out("1", "needed engagement over the thread diameter")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="Le = 2 At / ASs(1 mm); J = (ASs Rm bolt) / (ASn Rm hole); needed = Le max(1, J); At = stress area of the bolt, ASs, ASn = shear areas of the thread of bolt and hole, Rm = tensile strength",
    source=("h28: appendix on thread strength", "machinery: Strength of bolts, screws and threads", "practice"),
    valid="ductile metals; M 6g/6H and UN 2A/2B at their limits, other forms at basic sizes",
    not_for=_NOT_FOR,
)
def needed_engagement(
    thread: Annotated[Thread, In(None, "thread, such as 'M8'")],
    bolt_tensile: Annotated[float, In("MPa", "tensile strength of the bolt", symbol="Rm bolt")],
    hole_tensile: Annotated[float, In("MPa", _HOLE, symbol="Rm hole")],
) -> Engagement:
    """How deep a bolt must screw in so that it breaks before a thread strips."""
    positive(bolt_tensile=bolt_tensile, hole_tensile=hole_tensile)
    area = _areas(thread, 1.0)
    equal = 2 * area.stress_area / area.bolt
    ratio = area.bolt * bolt_tensile / (area.hole * hole_tensile)
    needed = equal * max(1.0, ratio)
    rules = "rules of thumb (common practice): 1 D in steel, 1.5 D in cast iron, 2 D in aluminium castings"
    cautions = (
        []
        if needed <= 3 * thread.major
        else ["more than 3 D helps little, since the first turns carry most: choose an insert or a weaker bolt"]
    )
    if ratio > 1:
        cautions.append("the hole is the weaker: it strips first, and the thread in the casting is what is lost")
    return Engagement(needed, equal, ratio, needed / thread.major, (*area.notes, rules, _UNKNOWN), tuple(cautions))


@dataclass(frozen=True, slots=True)
class Stripping:
    """What gives way first, and at which pull."""

    first: Annotated[str, Out(None, "what gives way first")]
    at: Annotated[float, Out("N", "pull at which it does")]
    bolt_breaks: Annotated[float, Out("N", "pull that breaks the bolt")]
    bolt_strips: Annotated[float, Out("N", "pull that strips the bolt's thread")]
    hole_strips: Annotated[float, Out("N", "pull that strips the hole's thread")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="bolt breaks: At Rm; threads strip: 0.577 Rm ASs and 0.577 Rm ASn; At = stress area of the bolt, Rm = tensile strength of the bolt or of the hole, ASs, ASn = shear areas of the thread of bolt and hole",
    source=("h28: appendix on thread strength", "machinery: Strength of bolts, screws and threads", "practice"),
    valid="steady pull, ductile metals, cold; M 6g/6H and UN 2A/2B at their limits, other forms at basic sizes",
    not_for=_NOT_FOR,
)
def stripping(
    thread: Annotated[Thread, In(None, "thread, such as 'M8'")],
    engagement: Annotated[float, In("mm", "length of full thread engaged")],
    bolt_tensile: Annotated[float, In("MPa", "tensile strength of the bolt", symbol="Rm")],
    hole_tensile: Annotated[float, In("MPa", _HOLE, symbol="Rm")],
    shear_share: Annotated[float, In("1", "shear strength over tensile strength")] = SHEAR_SHARE,
) -> Stripping:
    """Which part gives way first: the bolt, its thread, or the thread in the hole."""
    positive(bolt_tensile=bolt_tensile, hole_tensile=hole_tensile)
    between("shear_share", shear_share, 0.5, 0.7)
    _need_a_turn(thread, engagement)
    area = _areas(thread, engagement)
    breaks = area.stress_area * bolt_tensile
    bolt, hole = shear_share * bolt_tensile * area.bolt, shear_share * hole_tensile * area.hole
    at, first = min((breaks, "the bolt breaks"), (bolt, "the bolt's thread strips"), (hole, "the hole's thread strips"))
    cautions = (
        ()
        if first == "the bolt breaks"
        else ("a broken bolt shows itself, a stripping thread does not: engage more thread, or fit an insert",)
    )
    return Stripping(first, at, breaks, bolt, hole, (*area.notes, _UNKNOWN), cautions)
