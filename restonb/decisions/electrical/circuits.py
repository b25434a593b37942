"""Circuits: which joint loses the voltage, which wire does not carry, and what to do about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple, Protocol

from restonb.decisions.electrical._polarity import doubtful_input, reason_of, reversed_leads
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, to_do
from restonb.errors import FormulaError, QuantityError
from restonb.formulas import electrical
from restonb.measure import Verdict, Verdicts, value_text
from restonb.quantity import read

__all__ = [
    "CLOSING",
    "Checks",
    "Walk",
    "drops_of",
    "excess_of",
    "lost",
    "next_steps",
    "walk",
    "wire_name",
    "wire_table",
]

CLOSING = "Harness, wires, joints, switches and lamps are as they should be. Try every lamp and the horn once more before the road."


class Path(Protocol):
    """Voltages by point, in the order of the current."""

    def __iter__(self) -> Iterator[str]: ...

    def to(self, unit: str) -> list[float] | NotYet: ...


class Checks(NamedTuple):
    """The verdicts of the sheet."""

    insulation: Verdicts
    drops: Verdicts
    path: Verdicts
    path_excess: Verdicts
    continuity: Verdicts


class Walk(NamedTuple):
    """A circuit walked along: its points, how many of them lie before the load, and what electrical.locate_drop says.

    `found` is false while it cannot be worked out.
    """

    points: tuple[str, ...]
    before: int
    found: Any
    amps: float | None = None
    allowed: tuple[float, ...] = ()

    @property
    def segments(self) -> list[tuple[str, float, bool]]:
        """Name, volts lost, and whether it lies behind the load, of every segment but the load itself."""
        if not self.found:
            return []
        names = [f"{a} to {b}" for a, b in zip(self.points, self.points[1:], strict=False)]
        lost = zip(names, self.found.drops, strict=True)
        return [(name, drop, n >= self.before) for n, (name, drop) in enumerate(lost, 1) if n != self.before]


def walk(path: Path, last: str, current: Any, switches: Sequence[str], joint: float, switch: float) -> Walk:
    """A circuit from battery plus to battery minus; `last` is the point before its load.

    `path`: voltages to battery minus, along the current; `current` in A, or NotYet; `switches`: the points that are
    the far side of a switch, where `switch` volts may be lost; elsewhere `joint` volts. What the load uses is not a loss.
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
    amps = None if isinstance(current, NotYet) else float(current)
    try:
        found = electrical.locate_drop(volts, points, amps, allowed)
    except FormulaError as error:
        return Walk(points, before, NotYet((f"readings that can be ({reason_of(error)})",)))
    return Walk(points, before, found, amps, tuple(allowed))


def excess_of(path: Walk) -> dict[str, Amount] | NotYet:
    """Segment -> what it loses in V above what it may, below 0 where it loses less; the load is left out."""
    if not path.found:
        return NotYet(path.found.missing)
    if path.amps is None:
        return NotYet(("the current: without one, a broken joint looks good up to the break",))
    may = [limit for n, limit in enumerate(path.allowed, 1) if n != path.before]
    return {name: Amount(drop - limit, "V") for (name, drop, _), limit in zip(path.segments, may, strict=True)}


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
    colour = f", {row[3]}" if len(row) > 3 and row[3] else ""
    return f"{number} ({row[1]} to {row[2]}{colour})"


def wire_table(continuity: Verdicts, wires: Sequence[Sequence[str]]) -> list[tuple[str, ...]]:
    """Label, from, to, colour, mm2, length, resistance of its copper, what it reads, and the verdict: a row for every wire."""
    by_number = {w[0]: w for w in wires if w}
    rows = []
    for row in continuity:
        label = row.position.removeprefix("wire ")
        what = [*by_number.get(label, [label])[1:6], "", "", "", "", ""][:5]
        copper = _copper(row.position, wires)
        rows.append((label, *what, f"{copper:.3f} ohm" if isinstance(copper, float) else "", value_text(row), row.word))
    return rows


def next_steps(
    checks: Checks, path: Walk, wires: Sequence[Sequence[str]] = (), switches: Sequence[str] = (), ends: float = 0.02,
) -> list[Step]:  # fmt: skip
    """The decision; it names the joint, the side it is on, and what is done about it.

    `ends`: what the two ends of one wire may add to its copper, in ohm.
    """
    first = _insulation(checks.insulation)
    if first[0].state == "stop":
        return first
    steps = [*first, *_continuity(checks.continuity, wires), *_copper_steps(checks.continuity, wires, ends)]
    return [*steps, *_segments(checks, path, switches), *_drops(checks.drops)]


def _insulation(insulation: Verdicts) -> list[Step]:
    return judged(
        insulation, "insulation", "the insulation of the harness",
        measure="Measure the insulation of the harness to the frame, battery and loads off, before the battery is connected.",
        inside="The harness is insulated from the frame.",
        below="The harness leaks to the frame: do not connect the battery. Unplug one branch after another until the reading "
        "rises; then look where that branch is pinched, chafed or damp.",
        close="The insulation of the harness is too close to its limit to call: dry the harness, and measure again before the "
        "battery is connected.",
        stops=True,
    )  # fmt: skip


def _continuity(continuity: Verdicts, wires: Sequence[Sequence[str]]) -> list[Step]:
    turned, left = reversed_leads(
        continuity, "wires", "the wires",
        "Below 0 end to end: {wires}. The leads were taken off twice, or the zero of the meter has moved: measure again.",
    )  # fmt: skip
    if turned and not len(left):
        return _with_names(turned, wires)
    return _with_names(turned + judged(
        left, "wires", "the resistance of the wires",
        measure="Measure every wire end to end, unplugged at both (still to do: {at}).",
        inside="Every wire measured carries from end to end.",
        above="Bad from end to end: {wires}. Crimp new ends on, or replace the wire: where the copper itself has gone green, new "
        "ends do not help.",
        close="Too close to call from end to end: {wires}. Subtract the leads again, or judge it by its drop under load.",
    ), wires)  # fmt: skip


def _with_names(steps: Sequence[Step], wires: Sequence[Sequence[str]]) -> list[Step]:
    """The steps with the names of the wires that they speak of, as `{wires}`."""
    return [s._replace(values={**s.values, "wires": [wire_name(at, wires) for _, at in s.about]}) for s in steps]


def _copper(position: str, wires: Sequence[Sequence[str]]) -> float | NotYet | None:
    """Resistance in ohm of the copper of that wire by its length and area; None where one of them is not written down."""
    row = next((w for w in wires if w and w[0] == position.removeprefix("wire ")), ())
    area, length = [*row[4:6], "", ""][:2]
    if not area or not length:
        return None
    try:
        return float(electrical.metric_wire(read(area, "mm2").to("mm2").value)) * read(length, "m").to("m").value / 1000
    except (FormulaError, QuantityError) as error:
        return NotYet((reason_of(error) if isinstance(error, FormulaError) else str(error),))


def _copper_steps(continuity: Verdicts, wires: Sequence[Sequence[str]], ends: float) -> list[Step]:
    """Wires that read more than their copper and two good ends, and those of which that cannot be said."""
    steps: list[Step] = []
    bare: list[Verdict] = []
    for row in continuity:
        if row.word != "inside" or row.value is None:
            continue  # that is said already
        name, copper = wire_name(row.position, wires), _copper(row.position, wires)
        if copper is None:
            bare.append(row)
        elif isinstance(copper, NotYet):
            why = copper.missing[0]
            steps.append(
                not_known("wire.size", "{Wire} cannot be judged by its size: {why}.", [row], wire=name, why=why)
            )
        elif row.value - (row.U or 0.0) > copper + ends:
            steps.append(to_do(
                "wire.ends", "{Wire} reads {reads}, and its copper has only {copper}: the rest sits in its ends, or strands are "
                "broken. Crimp new ends on, or replace the wire.", [row], wire=name,
                reads=Amount(row.value, row.unit), copper=Amount(copper, "ohm"),
            ))  # fmt: skip
    if bare:
        names = [wire_name(row.position, wires) for row in bare]
        steps.append(not_known(
            "wire.length", "One limit for all says little of a short or a thick wire: write length and area of {wires} into "
            "build.toml, so that each is judged by its own copper.", bare, wires=names,
        ))  # fmt: skip
    if not steps and continuity.word == "inside":
        steps.append(settled("wire.copper", "No wire reads more than its copper and two good ends.", continuity))
    return steps


def _segments(checks: Checks, path: Walk, switches: Sequence[str]) -> list[Step]:
    if wrong := doubtful_input(checks.path, "path", "the reading along the circuit"):
        return wrong
    if not path.found:
        return [to_do("path.measure", (
            "Measure the voltages along the circuit, its load switched on: they tell which joint loses them. Still missing: "
            "{gone}."
        ), gone="; ".join(path.found.missing))]  # fmt: skip
    steps = []
    outside = {row.position: row for row in checks.path_excess if row.word == "outside"}
    for name, drop, back in path.segments:
        if name in path.found.over:
            finding, cure = _cure(back, name.rpartition(" to ")[2] in switches)
            ohm: dict[str, Any] = {"ohm": Amount(drop / path.amps, "ohm")} if path.amps else {}
            says = f"This joint loses the voltage: {{joint}}, {{volts}}{' ({ohm})' if ohm else ''}. {cure}"
            row = [outside[name]] if name in outside else []
            steps.append(to_do(finding, says, row, joint=name, volts=Amount(drop, "V"), **ohm))
    if steps:
        return steps
    total = Amount(sum(drop for _, drop, _ in path.segments), "V")
    return judged(
        checks.path_excess, "path", "what the joints of the circuit lose",
        measure="Measure the current along the circuit too: without one, a broken joint looks good up to the break.",
        inside="No joint along the circuit loses more than it may; together they lose {total}.",
        total=total,
    )  # fmt: skip


def _cure(earth: bool, switch: bool) -> tuple[str, str]:
    """The finding, and what is done about it."""
    if earth:
        return "path.earth", (
            "It is on the earth side: take the eye off, scrape it and what it sits on to bare metal, smear it with contact "
            "grease, tighten it, and measure again."
        )
    if switch:
        return "path.switch", (
            "It is across a switch: clean its contacts and its plugs, and measure again before you buy a new one."
        )
    return "path.feed", (
        "It is on the feed side: part the plug, look for green, burnt or slack contacts, crimp new ones on, and measure again."
    )


def _drops(drops: Verdicts) -> list[Step]:
    turned, left = reversed_leads(drops, "drops", "the drop")
    if turned and not len(left):
        return turned
    found = judged(
        left, "drops", "the drop under load",
        measure="Measure the drop across every joint, switch and lamp with its load on (still to do: {at}).",
        inside="Every joint, switch and lamp is within its drop under load.",
        above="This loses more than it may under load: {at}. Clean and tighten the joints on the way there, one after another, "
        "and measure again.",
        close="The drop is too close to its limit to call at {at}; the remark in the table says what would settle it.",
    )  # fmt: skip
    return turned + [step for step in found if not turned or step.state != "settled"]
