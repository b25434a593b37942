"""Wire thread inserts and solid bushes: the hole they need, and which length or size is strong enough."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows
from restonb.formulas.checks import between, need, positive
from restonb.formulas.threads._form import Form, form_of, is_unified, spoken
from restonb.formulas.threads.sizes import stress_area
from restonb.formulas.threads.stripping import SHEAR_SHARE
from restonb.quantity import Drill, Thread, standard_drills, standard_threads

__all__ = ["BushChoice", "InsertHole", "InsertLength", "bush_choice", "insert_hole", "insert_length"]

LENGTHS = (1.0, 1.5, 2.0, 2.5, 3.0)
"""Lengths of wire thread inserts, in nominal diameters."""

_OVER = 0.02
"""How far a drill for an insert must lie above the geometric minor diameter, mm; and at most a fifth of the pitch."""


@dataclass(frozen=True, slots=True)
class InsertHole:
    """The hole for a wire thread insert."""

    major: Annotated[float, Out("mm", "major diameter of the hole's thread, least")]
    pitch_diameter: Annotated[float, Out("mm", "pitch diameter of the hole's thread, least")]
    minor: Annotated[float, Out("mm", "minor diameter, least: the smallest drill")]
    drill: Annotated[str, Out(None, "drill to take")]
    drill_diameter: Annotated[float, Out("mm", "its diameter")]
    tap_major: Annotated[str | None, Out(None, "major diameter of the insert tap as printed")]
    tap_pitch: Annotated[str | None, Out(None, "pitch diameter of the insert tap as printed")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


BRITISH = ("BSW", "BSF", "BSCyc")
"""Series for which wire thread inserts are sold and of which no printed table is at hand: their geometry is reasoned."""

REASONED = (
    "sizes for this British thread are worked out from its form, since no printed table is at hand: the sheet that comes with the "
    "insert's tap comes first"
)


def is_reasoned(thread: Thread) -> bool:
    """Whether the sizes of inserts for this thread come from its form alone."""
    return thread.series in BRITISH


def _need_inserts(thread: Thread) -> None:
    if thread.series != "M" and not is_unified(thread) and not is_reasoned(thread):
        raise FormulaError(
            f"the geometry of inserts for {thread.series} threads is not at hand; follow the sheet that comes with the insert's tap, "
            "or take a solid bush"
        )


def _major(thread: Thread) -> float:
    """Least major diameter of the thread that an insert sits in: the bolt's thread, larger by one wire on each side.

    The pitch line of that hole lies as far outside the bolt's diameter as the bolt's own lies inside it.
    """
    return thread.major + 2 * form_of(thread).to_pitch * thread.pitch


def _minor(thread: Thread) -> float:
    form = form_of(thread)
    return _major(thread) - form.to_minor * thread.pitch


def _drill(thread: Thread) -> Drill:
    least = _minor(thread)
    sets = ("metric",) if thread.tpi is None else ("number", "letter", "fraction", "metric")
    box = sorted((d for name in sets for d in standard_drills(name)), key=lambda d: d.diameter)
    for drill in box:
        if least + _OVER <= drill.diameter <= least + max(0.2, 0.2 * thread.pitch):
            return drill
    return _to_order(least + _OVER)


def _to_order(least: float) -> Drill:
    """A size that the usual boxes do not hold: the next 0.1 mm up."""
    tenths = math.ceil(least * 10 - 1e-9)
    return Drill(f"{tenths / 10:g} mm", tenths / 10)


@formula(
    text="major = D + 1.299038 P, pitch diameter = D + 0.649519 P, minor = D + 0.216506 P; British forms: D + 2 x their thread depth to the pitch line, by the same reasoning; D = nominal diameter of the bolt, P = pitch",
    source=("geometry", "asme-b94-9: insert taps", "asme-b18-29", "machinery: Tables 25 and 26a"),
    valid="M, UNC and UNF; printed taps are larger than the geometry by 0.04 to 0.10 mm, which is their allowance; BSW, BSF and "
    "cycle threads by reasoning alone",
    not_for="thread forming taps; an insert hole cut with an ordinary tap of the next size, which never fits",
)
def insert_hole(
    thread: Annotated[Thread, In(None, "thread of the bolt, such as 'M8'")],
) -> InsertHole:
    """Which hole a wire thread insert needs: drill, and tap of the insert's own size."""
    _need_inserts(thread)
    drill = _drill(thread)
    printed = next((row for row in rows(__package__, "insert_taps.csv") if row["thread"] == thread.text), None)
    sold = next((row for row in rows(__package__, "insert_drills.csv") if row["thread"] == thread.text), None)
    notes = [f"least drill {spoken(_minor(thread), thread)}"]
    if sold:
        notes.append(f"commonly sold: {sold['drills']} ({sold['source']}, {sold['standing']})")
    if printed:
        notes.append(f"printed tap sizes from {printed['source']}")
    return InsertHole(
        _major(thread),
        thread.major + form_of(thread).to_pitch * thread.pitch,
        _minor(thread),
        drill.label,
        drill.diameter,
        _range(printed, "major"),
        _range(printed, "pitch"),
        tuple(notes),
        (
            "take the drill and the tap of the insert's own set; an ordinary tap is smaller and the insert will not start",
            *((REASONED,) if is_reasoned(thread) else ()),
        ),
    )


def _range(row: dict[str, str] | None, what: str) -> str | None:
    if row is None or not row[f"{what}_min"]:
        return None
    return (
        f"{row[f'{what}_min']} to {row[f'{what}_max']} {row['unit']}"
        if row[f"{what}_max"]
        else f"at least {row[f'{what}_min']} {row['unit']}"
    )


@dataclass(frozen=True, slots=True)
class InsertLength:
    """The shortest insert that lets the bolt break first."""

    length: Annotated[float, Out("mm", "nominal length of the insert")]
    diameters: Annotated[float, Out("1", "that length in nominal diameters")]
    needed: Annotated[float, Out("mm", "length at which the parent thread holds as much as the bolt")]
    bolt_breaks: Annotated[float, Out("N", "pull that breaks the bolt")]
    parent_strips: Annotated[float, Out("N", "pull that strips the insert's thread in the parent metal")]
    strong_enough: Annotated[bool, Out(None, "whether the bolt breaks before the parent thread strips")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def _parent_area(diameter: float, form: Form, share: float) -> float:
    """Shear area per mm of the parent thread outside a part of this major diameter; `share` allows for tolerances."""
    return math.pi * diameter * (0.5 + form.tangent * form.to_pitch) * share


def holds_per_mm(thread: Thread, diameter: float, hole_tensile: float, share: float = 0.8) -> float:
    """Pull in N per mm of length that strips a thread of this form and major diameter in the parent metal."""
    return SHEAR_SHARE * hole_tensile * _parent_area(diameter, form_of(thread), share)


@formula(
    text="needed = At Rm bolt / (0.577 Rm hole x pi (D + 1.299 P) 0.875 x share); At = stress area of the bolt, Rm = tensile strength, D = nominal diameter of the bolt, P = pitch",
    source=("h28: appendix on thread strength", "geometry", "practice"),
    valid="M, UNC and UNF, and BSW, BSF and cycle threads by their own form; inserts of 1, 1.5, 2, 2.5 or 3 D in ductile metal",
    not_for="cracked or oil-soaked porous castings, thin walls, and joints that a maker's manual rules",
)
def insert_length(
    thread: Annotated[Thread, In(None, "thread of the bolt, such as 'M8'")],
    bolt_tensile: Annotated[float, In("MPa", "tensile strength of the bolt", symbol="Rm bolt")],
    hole_tensile: Annotated[float, In("MPa", "tensile strength of the parent metal", symbol="Rm hole")],
    share: Annotated[float, In("1", "share of the basic shear area that tolerances leave")] = 0.8,
) -> InsertLength:
    """Which insert is long enough that the bolt breaks before the insert pulls out."""
    _need_inserts(thread)
    positive(bolt_tensile=bolt_tensile, hole_tensile=hole_tensile)
    between("share", share, 0.5, 1.0)
    breaks = stress_area.plain(thread) * bolt_tensile
    per_mm = holds_per_mm(thread, _major(thread), hole_tensile, share)
    needed = breaks / per_mm
    diameters = next((n for n in LENGTHS if n * thread.major >= needed), LENGTHS[-1])
    length = diameters * thread.major
    enough = length >= needed
    cautions = (
        ()
        if enough
        else ("even the longest insert strips before this bolt breaks: hold the torque to what the parent metal bears",)
    )
    notes = (
        f"material at least {length + thread.pitch:.1f} mm thick (insert + 1 pitch); the bolt must engage the whole insert",
    )
    return InsertLength(length, diameters, needed, breaks, per_mm * length, enough, notes, cautions)


@dataclass(frozen=True, slots=True)
class BushChoice:
    """A threaded bush: its outside thread, and what wall it leaves."""

    outside: Annotated[str, Out(None, "outside thread of the bush")]
    wall: Annotated[float, Out("mm", "wall between the bolt's thread and the root of the outside thread")]
    drill: Annotated[str, Out(None, "drill before tapping for the bush")]
    drill_diameter: Annotated[float, Out("mm", "its diameter")]
    needed: Annotated[float | None, Out("mm", "length at which the parent thread holds as much as the bolt")]
    others: Annotated[tuple[str, ...], Out(None, "next larger outside threads")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="smallest outside thread with (d3 - D)/2 at or above the least wall; needed = At Rm bolt / (0.577 Rm hole ASn); d3 = root diameter of the outside thread, D = nominal diameter of the bolt, At = its stress area, Rm = tensile strength, ASn = shear area of the hole's thread for 1 mm",
    source=("iso-261", "asme-b1-1", "h28: appendix on thread strength", "practice"),
    valid="M, UNC and UNF outside threads of the tables",
    not_for="bushes whose maker gives the sizes: those come first",
)
def bush_choice(
    thread: Annotated[Thread, In(None, "thread of the bolt, such as 'M8'")],
    outside: Annotated[str, In(None, "series of the outside thread", ("M fine", "M coarse", "UNF", "UNC"))] = "M fine",
    least_wall: Annotated[float, In("mm", "least wall of the bush")] = 1.0,
    bolt_tensile: Annotated[float | None, In("MPa", "tensile strength of the bolt", symbol="Rm bolt")] = None,
    hole_tensile: Annotated[float | None, In("MPa", "tensile strength of the parent metal", symbol="Rm hole")] = None,
) -> BushChoice:
    """Which outside thread a solid bush needs for a bolt."""
    positive(least_wall=least_wall)
    fitting = [one for one in _outside(outside) if _wall(thread, one) >= least_wall]
    if not fitting:
        raise FormulaError(
            f"no {outside} thread of the tables leaves {least_wall:g} mm of wall round {thread.text}; name another series"
        )
    chosen = fitting[0]
    minor = chosen.major - form_of(chosen).to_minor * chosen.pitch
    sets = ("metric",) if chosen.tpi is None else ("number", "letter", "fraction")
    box = sorted((d for name in sets for d in standard_drills(name)), key=lambda d: d.diameter)
    drill = next((d for d in box if d.diameter >= minor - 0.02 * chosen.pitch), None) or _to_order(minor)
    need((bolt_tensile is None) == (hole_tensile is None), "give both 'bolt_tensile' and 'hole_tensile', or neither")
    needed = None
    if bolt_tensile is not None and hole_tensile is not None:
        positive(bolt_tensile=bolt_tensile, hole_tensile=hole_tensile)
        needed = stress_area.plain(thread) * bolt_tensile / holds_per_mm(chosen, chosen.major, hole_tensile)
    return BushChoice(
        chosen.text,
        _wall(thread, chosen),
        drill.label,
        drill.diameter,
        needed,
        tuple(one.text for one in fitting[1:4]),
        ("lock the bush with a high-strength threadlocker, or by the means that its maker gives",),
        ("a bush takes away more metal than a wire insert: measure the wall that is left first",),
    )


def _outside(series: str) -> list[Thread]:
    if not series.startswith("M "):
        return sorted(standard_threads(series), key=lambda one: one.major)
    by_size: dict[float, list[Thread]] = {}
    for one in standard_threads("M"):
        by_size.setdefault(one.major, []).append(one)
    # the first pitch of a size is the coarse one; the second is the usual fine one
    chosen = [ones[0] if series == "M coarse" else ones[min(1, len(ones) - 1)] for ones in by_size.values()]
    return sorted(chosen, key=lambda one: one.major)


def _wall(thread: Thread, outside: Thread) -> float:
    return (outside.major - form_of(outside).to_root * outside.pitch - thread.major) / 2
