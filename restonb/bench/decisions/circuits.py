"""Circuits: which joint loses the voltage, which wire does not carry, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from restonb.bench._look import Shown, bullets, chip, table
from restonb.bench._values import NotYet, Values
from restonb.bench.decisions._to_do import not_settled, still
from restonb.bench.decisions._words import listed, undone
from restonb.errors import FormulaError
from restonb.formulas import electrical
from restonb.measure import Verdicts
from restonb.measure.verdict_table import value_text

__all__ = ["Side", "continuity_shown", "drops_of", "next_steps", "side", "wire_name"]


class Side(NamedTuple):
    """One side of a load: its points along the current, and what electrical.locate_drop says of it (false: not yet)."""

    points: tuple[str, ...]
    found: Any


def side(
    path: Values, last: str, current: Any, switches: Sequence[str], joint: float, switch: float, back: bool = False
) -> Side:
    """The feed of a circuit up to the point `last`, the one before the load; with `back`, the return behind the load.

    `path`: voltages to battery minus, along the current; `current` in A, or NotYet; `switches`: the points that are
    the far side of a switch, where `switch` volts may be lost; elsewhere `joint` volts.
    """
    names = list(path)
    if last not in names:
        return Side((), NotYet((f"the name of the last point before the load ('{last}' is none of the path)",)))
    cut = names.index(last) + 1
    points = names[cut:] if back else names[:cut]
    volts = path.to("V")
    if isinstance(volts, NotYet) or len(points) < 2:
        return Side(
            tuple(points), volts if isinstance(volts, NotYet) else NotYet(("two points on each side of the load",))
        )
    taken = volts[cut:] if back else volts[:cut]
    allowed = [switch if point in switches else joint for point in points[1:]]
    try:
        found = electrical.locate_drop(taken, points, float(current) if current else None, allowed)
    except FormulaError as error:
        return Side(tuple(points), NotYet((f"readings that can be ({error})",)))
    return Side(tuple(points), found)


def drops_of(*sides: Side) -> dict[str, float] | NotYet:
    """Segment -> volts lost in it, along the current, for a chart."""
    drops: dict[str, float] = {}
    for part in sides:
        if not part.found:
            return part.found if isinstance(part.found, NotYet) else NotYet(("the voltages along the circuit",))
        names = [f"{a} to {b}" for a, b in zip(part.points, part.points[1:], strict=False)]
        drops |= dict(zip(names, part.found.drops, strict=True))
    return drops


def wire_name(number: str, wires: Sequence[Sequence[str]]) -> str:
    """'wire 4 (dip switch to headlamp, blue and white)': a wire with where it goes, as far as that is written down."""
    row = next((w for w in wires if w and w[0] == number.removeprefix("wire ")), None)
    if row is None or len(row) < 3:
        return number
    colour = f", {row[3]}" if len(row) > 3 else ""
    return f"{number} ({row[1]} to {row[2]}{colour})"


def continuity_shown(continuity: Verdicts, wires: Sequence[Sequence[str]]) -> Shown:
    """Every wire with its label, where it goes, and what it read."""
    if not len(continuity):
        return bullets(["no wire to show: the spec book has no row for them yet"], "todo")
    by_number = {w[0]: w for w in wires if w}
    rows = []
    for row in continuity:
        label = row.position.removeprefix("wire ")
        what = [*by_number.get(label, [label])[1:5], "", "", "", ""][:4]
        rows.append((label, *what, value_text(row), chip(row.verdict)))
    return table(("label", "from", "to", "colour", "mm2", "end to end", "verdict"), rows, numeric=("mm2", "end to end"))


def next_steps(
    insulation: Verdicts, drops: Verdicts, feed: Side, back: Side, continuity: Verdicts,
    wires: Sequence[Sequence[str]] = (), switches: Sequence[str] = (),
) -> list[str]:  # fmt: skip
    """The decision; it names the joint, the side it is on, and what is done about it."""
    said = [_insulation(insulation)]
    if insulation.word == "outside":
        return said
    said += [_continuity(continuity, wires), *_segments(feed, back, switches), _drops(drops)]
    return [line for line in said if line]


def _insulation(insulation: Verdicts) -> str:
    if undone(insulation):
        return "Measure the insulation of the harness to the frame, battery and loads off, before the battery is connected."
    if insulation.word == "inside":
        return "The harness is insulated from the frame."
    if insulation.word == "no limit":
        return ""
    return (
        "The harness leaks to the frame: do not connect the battery. Unplug one branch after another until the reading "
        "rises; look where it is pinched, chafed or damp."
    )


def _continuity(continuity: Verdicts, wires: Sequence[Sequence[str]]) -> str:
    bad = [wire_name(place, wires) for place in not_settled(continuity)]
    if continuity.word == "outside":
        return f"Bad end to end: {listed(bad)}. Crimp its ends anew, or replace it: a corroded wire is not cured by its ends."
    if undone(continuity):
        return f"Measure every wire end to end, unplugged at both{still(continuity)}."
    if bad:
        return f"Too close to call end to end: {listed(bad)}. Subtract the leads again, or judge it by its drop under load."
    return "Every wire carries from end to end." if continuity.word == "inside" else ""


def _segments(feed: Side, back: Side, switches: Sequence[str]) -> list[str]:
    if not feed.found or not back.found:
        return ["Measure the voltages along the circuit, its load switched on: they tell which joint loses them."]
    found = []
    for part, earth in ((feed, False), (back, True)):
        names = [f"{a} to {b}" for a, b in zip(part.points, part.points[1:], strict=False)]
        for name, drop in zip(names, part.found.drops, strict=True):
            if name not in part.found.over:
                continue
            ohm = (
                f" ({1000 * part.found.resistance:.0f} milliohm)"
                if name == part.found.worst and part.found.resistance
                else ""
            )
            to = name.rpartition(" to ")[2]
            found.append(f"The joint that loses the voltage: {name}, {drop:.2f} V{ohm}. {_cure(earth, to in switches)}")
    if found:
        return found
    lost = sum(feed.found.drops) + sum(back.found.drops)
    return [f"No joint along the circuit loses more than it may; {lost:.2f} V are lost in all."]


def _cure(earth: bool, switch: bool) -> str:
    if earth:
        return (
            "It is on the earth side: take the eye off, scrape it and what it sits on to bare metal, contact grease, tighten, "
            "and measure again."
        )
    if switch:
        return "It is across a switch: clean its contacts and its plugs, and measure again before buying one."
    return (
        "It is on the feed side: part the plug, look for green, burnt or slack contacts, crimp anew, and measure again."
    )


def _drops(drops: Verdicts) -> str:
    if drops.word == "outside":
        return f"Loses more than it may under load: {listed(not_settled(drops))}."
    if undone(drops):
        return f"Measure the drop across every joint, switch and lamp with its load on{still(drops)}."
    if drops.word == "too close to call":
        return f"Too close to its limit to call: {listed(not_settled(drops))}; the remark in the table says what would settle it."
    return "Every joint, switch and lamp is within its drop under load." if drops.word == "inside" else ""
