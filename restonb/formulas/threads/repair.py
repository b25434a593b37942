"""Planning the repair of a stripped thread: drill, tap, length, depth, wall, and the steps in order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import positive
from restonb.formulas.threads.depth import CHAMFER, BlindDepth, blind_depth
from restonb.formulas.threads.insert import bush_choice, holds_per_mm, insert_hole, insert_length, is_reasoned
from restonb.formulas.threads.sizes import stress_area
from restonb.quantity import Thread, read_thread

__all__ = ["RepairPlan", "repair_plan"]

METHODS = ("wire insert", "solid bush")
EDGE = 2.0
"""Least distance from the centre of the hole to an edge, in bolt diameters: an insert maker's design page, as seen; for full
strength it wants a wall of 2 tap diameters."""
CAUTIONS = (
    "eye protection on; clamp the part; a hand-held drill finds its own way: use a guide, a drill press or a jig",
    "keep chips out of the engine, the gearbox and the oilways: grease on the drill and the tap, rags in every opening",
    "magnesium chips burn: no sparks, sharp tools, dry sand at hand, never water",
    "holes that carry brakes, steering, wheels or lifting eyes: follow the maker's manual, or have the repair done by a licensed shop",
)


@dataclass(frozen=True, slots=True)
class RepairPlan:
    """What to drill and tap, how deep, and what metal is left."""

    method: Annotated[str, Out(None, "how the thread is repaired")]
    drill: Annotated[str, Out(None, "drill")]
    drill_diameter: Annotated[float, Out("mm", "its diameter")]
    tap: Annotated[str, Out(None, "tap")]
    length: Annotated[float, Out("mm", "length of the insert or bush")]
    hole_major: Annotated[float, Out("mm", "major diameter of the new hole's thread")]
    full_depth: Annotated[float | None, Out("mm", "depth of the full bore; none for a through hole")]
    drill_mark: Annotated[float | None, Out("mm", "stop tape on the drill, from its tip")]
    tap_mark: Annotated[float | None, Out("mm", "stop tape on the tap, from its tip")]
    floor: Annotated[float | None, Out("mm", "metal left below the drill's tip")]
    wall: Annotated[float | None, Out("mm", "metal left between the new thread and the nearest edge")]
    strong_enough: Annotated[bool | None, Out(None, "whether the bolt breaks before the parent thread strips")]
    possible: Annotated[bool, Out(None, "whether depth and wall allow it")]
    parent_strips: Annotated[float, Out("N", "pull that strips the new thread in the parent metal, at that length")]
    bolt_breaks: Annotated[float, Out("N", "pull that breaks the bolt")]
    edge_wanted: Annotated[float, Out("mm", "least distance from the centre of the hole to an edge: 2 bolt diameters")]
    edge_enough: Annotated[bool | None, Out(None, "whether the hole lies that far from the nearest edge")]
    reasoned: Annotated[
        bool, Out(None, "whether the sizes of the hole come from the thread's form alone, from no printed table")
    ]
    steps: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Choice:
    """One method's answer: what is put in, and the hole for it."""

    drill: str
    diameter: float
    tap: str
    length: float
    hole: Thread
    """The thread that is tapped for a bush; the bolt's own for a wire insert, whose pitch it shares."""
    major: float
    enough: bool
    strips: float
    """Pull in N."""
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@formula(
    text="insert_hole or bush_choice, insert_length, blind_depth; wall = edge - major/2",
    source=("asme-b18-29", "asme-b94-9", "h28: appendix on thread strength", "insert-design", "practice"),
    valid="M, UNC and UNF bolts in sound metal; BSW, BSF and cycle threads by their form alone; BA with a solid bush; depths by "
    "hand tapping",
    not_for="cracked or welded bosses, and spark plug holes in place: chips fall into the cylinder",
)
def repair_plan(
    thread: Annotated[Thread, In(None, "thread of the bolt, such as 'M8'")],
    bolt_tensile: Annotated[float, In("MPa", "tensile strength of the bolt")],
    hole_tensile: Annotated[float, In("MPa", "tensile strength of the parent metal")],
    method: Annotated[str, In(None, "how to repair it", METHODS)] = "wire insert",
    depth: Annotated[float | None, In("mm", "thickness of the part at the hole")] = None,
    edge: Annotated[float | None, In("mm", "centre of the hole to the nearest edge or bore")] = None,
    length: Annotated[float | None, In("mm", "length of the insert or bush, if it is given")] = None,
    tap: Annotated[str, In(None, "which tap finishes the hole", tuple(CHAMFER))] = "plug",
    through: Annotated[bool, In(None, "whether the hole goes right through")] = False,
) -> RepairPlan:
    """How to repair a stripped thread: drill, tap, length, depth, wall left, and the steps."""
    positive(bolt_tensile=bolt_tensile, hole_tensile=hole_tensile)
    for name, value in (("depth", depth), ("edge", edge), ("length", length)):
        if value is not None:
            positive(**{name: value})
    choose = _wire if method == METHODS[0] else _bush
    choice = choose(thread, bolt_tensile, hole_tensile, length)
    blind = None if through else blind_depth.plain(choice.hole, choice.length, choice.diameter, tap, depth=depth)
    wall = None if edge is None else edge - choice.major / 2
    cautions = [
        *choice.cautions,
        *_depth_cautions(thread, choice, blind, depth, through),
        *_wall_cautions(thread, choice, edge, wall),
    ]
    blocked = (wall is not None and wall <= 0) or (depth is not None and _too_deep(choice, blind, depth))
    return RepairPlan(
        method,
        choice.drill,
        choice.diameter,
        choice.tap,
        choice.length,
        choice.major,
        blind.full if blind else None,
        blind.drill_mark if blind else None,
        blind.tap_mark if blind else None,
        blind.floor if blind else None,
        wall,
        choice.enough,
        not blocked,
        choice.strips,
        stress_area.plain(thread) * bolt_tensile,
        EDGE * thread.major,
        None if edge is None else edge >= EDGE * thread.major,
        method == METHODS[0] and is_reasoned(thread),
        _steps(thread, method, choice, blind, tap),
        (*choice.notes, *(blind.notes if blind else ())),
        (*cautions, *CAUTIONS),
    )


def _wire(thread: Thread, bolt: float, hole: float, length: float | None) -> _Choice:
    at, size = insert_hole.plain(thread), insert_length.plain(thread, bolt, hole)
    long = size.length if length is None else length
    enough = long >= size.needed
    cautions = (
        ()
        if enough
        else (
            f"{long:.1f} mm of insert strips before this bolt breaks; {size.needed:.1f} mm would hold: lower the torque to suit",
        )
    )
    notes = (*at.notes, f"the bolt's tip must pass the last coil by two pitches: {2 * thread.pitch:.1f} mm")
    return _Choice(
        at.drill,
        at.drill_diameter,
        f"insert tap for {thread.text}",
        long,
        thread,
        at.major,
        enough,
        holds_per_mm(thread, at.major, hole) * long,
        notes,
        (*at.cautions, *cautions),
    )


def _bush(thread: Thread, bolt: float, hole: float, length: float | None) -> _Choice:
    bush = bush_choice.plain(thread, "M fine" if thread.tpi is None else "UNF", bolt_tensile=bolt, hole_tensile=hole)
    outside = read_thread(bush.outside)
    needed = bush.needed or 0.0
    long = max(needed, 1.5 * thread.major) if length is None else length
    enough = long >= needed
    cautions = (
        ()
        if enough
        else (
            f"{long:.1f} mm of bush strips before this bolt breaks; {needed:.1f} mm would hold: lower the torque to suit",
        )
    )
    return _Choice(
        bush.drill, bush.drill_diameter, f"{bush.outside} tap", long, outside, outside.major, enough,
        holds_per_mm(outside, outside.major, hole) * long,
        (f"bush {bush.outside} outside, {thread.text} inside, wall {bush.wall:.2f} mm", *bush.notes), (*bush.cautions, *cautions),
    )  # fmt: skip


def _too_deep(choice: _Choice, blind: BlindDepth | None, depth: float) -> bool:
    return depth < choice.length + choice.hole.pitch if blind is None else blind.floor is not None and blind.floor <= 0


def _depth_cautions(
    thread: Thread, choice: _Choice, blind: BlindDepth | None, depth: float | None, through: bool
) -> list[str]:
    cautions = list(blind.cautions) if blind else []
    if through and depth is not None and depth < choice.length + thread.pitch:
        cautions.append(
            f"the part is {depth:g} mm thick; insert and one pitch need {choice.length + thread.pitch:.1f} mm: take a shorter one"
        )
    return cautions


def _wall_cautions(thread: Thread, choice: _Choice, edge: float | None, wall: float | None) -> list[str]:
    if edge is None or wall is None:
        return ["the distance to the nearest edge is not known: measure it before drilling"]
    if wall <= 0:
        return [f"the new hole breaks through the edge by {-wall:.1f} mm: another method, or weld and start again"]
    if edge < EDGE * thread.major:
        return [
            f"the hole's centre is {edge:g} mm from the edge; {EDGE * thread.major:g} mm (2 bolt diameters) is the least wanted"
        ]
    if wall < 2 * choice.major:
        return [f"wall of {wall:.1f} mm: for full strength {2 * choice.major:.1f} mm (2 tap diameters) is wanted"]
    return []


def _steps(thread: Thread, method: str, choice: _Choice, blind: BlindDepth | None, tap: str) -> tuple[str, ...]:
    if blind:
        how = f"to the stop tape, {blind.drill_mark:.1f} mm behind its tip"
        first = "plug tap first, then bottoming" if tap == "bottoming" else f"{tap} tap"
        tapped = f"{first}, to the stop tape {blind.tap_mark:.1f} mm behind its tip"
    else:
        how, tapped = "right through", "right through"
    steps = [
        "measure the wall and the depth, and find what lies behind the hole",
        "set the part up square to the spindle, and centre on the old hole with a rod that just fits it",
        f"drill {choice.drill} ({choice.diameter:.2f} mm) {how}",
        "countersink lightly, so that no burr lifts the face",
        f"tap with the {choice.tap}, {tapped}; back off each half turn, clear the chips",
        "blow out the chips (eyes covered), wash with solvent, dry",
    ]
    if method == METHODS[0]:
        steps += [
            f"wind in the insert, {choice.length:.1f} mm long, until it sits 1/4 to 1/2 pitch below the face",
            "break off the tang with the punch, and take it out with a magnet or grease: count it",
        ]
    else:
        steps += [
            "degrease bush and hole, high-strength threadlocker on the outside thread, screw the bush in just below the face",
            "lock it as its maker says, and leave it for the full cure before any load",
        ]
    bolt = f"run the bolt ({thread.text}) in by hand through the whole length, then tighten in stages to what the parent metal bears"
    return (*steps, bolt)
