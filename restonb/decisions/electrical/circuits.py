"""Circuits: which joint loses the voltage, which wire does not carry, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from restonb.bench._look import Shown, bullets, chip, table
from restonb.bench._values import NotYet, Values
from restonb.decisions._to_do import not_settled, still
from restonb.decisions._words import listed, undone
from restonb.errors import FormulaError
from restonb.formulas import electrical
from restonb.measure import Verdicts
from restonb.measure.verdict_table import value_text

__all__ = ["Walk", "continuity_shown", "drops_of", "lost", "next_steps", "walk", "wire_name"]


class Walk(NamedTuple):
    """A circuit walked along: its points, how many of them lie before the load, and what electrical.locate_drop says.

    `found` is false while it cannot be worked out.
    """

    points: tuple[str, ...]
    before: int
    found: Any
    amps: float | None = None

    @property
    def segments(self) -> list[tuple[str, float, bool]]:
        """Name, volts lost, and whether it lies behind the load, of every segment but the load itself."""
        if not self.found:
            return []
        names = [f"{a} to {b}" for a, b in zip(self.points, self.points[1:], strict=False)]
        lost = zip(names, self.found.drops, strict=True)
        return [(name, drop, n >= self.before) for n, (name, drop) in enumerate(lost, 1) if n != self.before]


def walk(path: Values, last: str, current: Any, switches: Sequence[str], joint: float, switch: float) -> Walk:
    """A circuit from battery plus to battery minus; `last` is the point before its load.

    `path`: voltages to battery minus, along the current; `current` in A, or NotYet; `switches`: the points that are
    the far side of a switch, where `switch` volts may be lost; elsewhere `joint` volts. What the load uses is no loss.
    """
    points = tuple(path)
    volts = path.to("V")
    if isinstance(volts, NotYet):
        return Walk(points, 0, volts)
    if last not in points[:-1]:
        return Walk(points, 0, NotYet((f"the name of the last point before the load ('{last}' is none of the path)",)))
    before = points.index(last) + 1
    allowed = [switch if point in switches else joint for point in points[1:]]
    allowed[before - 1] = volts[0]
    amps = float(current) if current else None
    try:
        found = electrical.locate_drop(volts, points, amps, allowed)
    except FormulaError as error:
        return Walk(points, before, NotYet((f"readings that can be ({error})",)))
    return Walk(points, before, found, amps)


def drops_of(path: Walk) -> dict[str, float] | NotYet:
    """Segment -> volts lost in it, along the current, for a chart; the load is left out."""
    if not path.found:
        return NotYet(path.found.missing)
    return {name: drop for name, drop, _ in path.segments}


def lost(path: Walk, behind: bool) -> float | NotYet:
    """Volts lost before the load, or behind it."""
    return sum(drop for _, drop, back in path.segments if back == behind) if path.found else NotYet(path.found.missing)


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
    insulation: Verdicts, drops: Verdicts, path: Walk, continuity: Verdicts,
    wires: Sequence[Sequence[str]] = (), switches: Sequence[str] = (),
) -> list[str]:  # fmt: skip
    """The decision; it names the joint, the side it is on, and what is done about it."""
    said = [_insulation(insulation)]
    if insulation.word == "outside":
        return said
    said += [_continuity(continuity, wires), *_segments(path, switches), _drops(drops)]
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


def _segments(path: Walk, switches: Sequence[str]) -> list[str]:
    if not path.found:
        return ["Measure the voltages along the circuit, its load switched on: they tell which joint loses them."]
    said = []
    for name, drop, back in path.segments:
        if name in path.found.over:
            ohm = f" ({1000 * drop / path.amps:.0f} milliohm)" if path.amps else ""
            cure = _cure(back, name.rpartition(" to ")[2] in switches)
            said.append(f"The joint that loses the voltage: {name}, {drop:.2f} V{ohm}. {cure}")
    if said:
        return said
    total = sum(drop for _, drop, _ in path.segments)
    return [f"No joint along the circuit loses more than it may; {total:.2f} V are lost in all."]


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
