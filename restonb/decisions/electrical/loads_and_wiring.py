"""Loads, output, wire and fuses: whether the output carries the loads, and what each circuit needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from restonb.bench._look import Shown, bullets, table
from restonb.bench._values import NotYet, Values
from restonb.decisions._to_do import still
from restonb.decisions._words import listed, undone
from restonb.errors import FormulaError, QuantityError
from restonb.formulas import electrical
from restonb.formulas.electrical.wire import TABLE
from restonb.measure import Verdicts
from restonb.quantity import read

__all__ = ["Circuit", "circuits_shown", "next_steps", "pick", "plan", "spread", "watts"]

LOADS = {float(row["area_mm2"]): float(row["load_A"]) for row in TABLE if row["load_A"]}
"""Load in A usual for a wire of that size in mm2: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Circuit:
    """One circuit: its current, the wire and the fuse that it needs, and those that are fitted; None is not known."""

    name: str
    loads: str
    length: str
    amps: float | None = None
    area: float | None = None
    drop: float | None = None
    fuse: float | None = None
    colour: str = ""
    fitted_area: float | None = None
    fitted_fuse: float | None = None
    trouble: str = ""

    @property
    def faults(self) -> tuple[str, ...]:
        """What is wrong with the wire and the fuse that are fitted, in words."""
        said = [self.trouble] if self.trouble else []
        if self.fitted_area and self.area and self.fitted_area < self.area - 1e-9:
            said.append(f"its wire of {self.fitted_area:g} mm2 is too thin: {self.area:g} mm2 are needed")
        carries = LOADS.get(self.fitted_area) if self.fitted_area else None
        if self.fitted_fuse and carries and self.fitted_fuse > carries:
            said.append(f"its fuse of {self.fitted_fuse:g} A does not protect a wire for {carries:g} A")
        if self.fitted_fuse and self.amps and self.fitted_fuse < self.amps / 0.8 - 1e-9:
            said.append(f"its fuse of {self.fitted_fuse:g} A will tire: {self.amps:g} A run through it")
        return tuple(said)


def pick(currents: Values, names: Sequence[str]) -> list[float] | NotYet:
    """The currents in A of the loads of these names; NotYet where one is not measured or not known by that name."""
    unknown = [name for name in names if name not in currents]
    if unknown or not names:
        there = ", ".join(currents) or "none yet"
        return NotYet((f"loads by the names of the spec book ({listed(unknown) or 'none given'}: there is {there})",))
    gone = [name for name in names if currents[name] is None]
    return NotYet((f"{currents.of} ({', '.join(gone)})",)) if gone else [currents[n].to("A").value for n in names]  # type: ignore[union-attr]


def watts(currents: Sequence[float], volts: float) -> list[float]:
    """Power in W of currents in A at one voltage."""
    return [a * volts for a in currents]


def spread(output_u: float, load_u: float, loads: int, volts: float) -> float:
    """Expanded uncertainty in W of output less loads; one clamp read them all, so that its errors add up in full.

    `output_u`, `load_u`: standard uncertainties in A of the output and of one load; k = 2.
    """
    return 2 * volts * (output_u + loads * load_u)


def plan(
    circuits: Sequence[Sequence[str]], currents: Values, allowed_drop: float, return_wire: bool, temperature: float
) -> list[Circuit]:
    """Wire and fuse for each circuit, each given as (name, length, loads joined by ' + ', mm2 fitted, A of its fuse).

    What cannot be worked out stands in `trouble`; nothing is guessed.
    """
    return [_one([*row, "", "", "", "", ""][:5], currents, allowed_drop, return_wire, temperature) for row in circuits]


def _one(row: Sequence[str], currents: Values, allowed: float, back: bool, temperature: float) -> Circuit:
    name, length, loads, area, fuse = row
    try:
        fitted = (float(area) if area else None, float(fuse) if fuse else None)
        meters = read(length, "m").to("m").value
    except (ValueError, QuantityError) as error:
        return Circuit(name, loads, length, trouble=f"not to be read: {error}")
    amps = pick(currents, [part.strip() for part in loads.split("+")])
    if isinstance(amps, NotYet):
        return Circuit(name, loads, length, None, None, None, None, "", *fitted, f"still missing: {amps.missing[0]}")
    total = sum(amps)
    try:
        wire, protects = _wire_and_fuse(total, meters, allowed, back, temperature)
    except FormulaError as error:
        return Circuit(name, loads, length, total, None, None, None, "", *fitted, str(error))
    return Circuit(name, loads, length, total, wire.area, wire.drop, protects.rating, protects.colour, *fitted)


def _wire_and_fuse(amps: float, meters: float, allowed: float, back: bool, temperature: float) -> tuple[Any, Any]:
    """The smallest wire by drop and by load that the fuse of this current protects, and that fuse."""
    rating = electrical.fuse(amps, LOADS[max(LOADS)]).rating
    current, wire = amps, electrical.wire_for(amps, meters, allowed, back, temperature)
    if wire.load is not None and wire.load < rating:  # thick enough for the current, not for the fuse before it
        current, wire = rating, electrical.wire_for(rating, meters, allowed * rating / amps, back, temperature)
    return _Wire(wire.area, wire.drop * amps / current), electrical.fuse(amps, wire.load or LOADS[max(LOADS)])


@dataclass(frozen=True, slots=True)
class _Wire:
    area: float
    drop: float


def circuits_shown(planned: Sequence[Circuit]) -> Shown:
    """The circuits as a table: what each draws, what it needs, what is fitted, what is wrong."""
    if not planned:
        return bullets(["Circuits: write name, length and loads of each, and what is fitted now, if anything."], "todo")
    rows = [
        (
            c.name, c.loads, c.length, _number(c.amps, " A"), _number(c.area, " mm2"), _number(c.drop, " V", 2),
            f"{_number(c.fuse, ' A')}{f' ({c.colour})' if c.colour else ''}", _number(c.fitted_area, " mm2"),
            _number(c.fitted_fuse, " A"), "; ".join(c.faults),
        )
        for c in planned
    ]  # fmt: skip
    heads = (
        "circuit",
        "loads",
        "length",
        "current",
        "least wire",
        "drop",
        "fuse",
        "wire fitted",
        "fuse fitted",
        "remark",
    )
    return table(
        heads, rows, numeric=("current", "least wire", "drop", "wire fitted", "fuse fitted"), tight=("length",)
    )


def _number(value: float | None, unit: str, digits: int | None = None) -> str:
    if value is None:
        return ""
    return f"{value:.{digits}f}{unit}" if digits is not None else f"{value:.4g}{unit}"


def next_steps(
    loads: Verdicts, idle: Any, cruise: Any, planned: Sequence[Circuit], feed: Verdicts,
    idle_U: float = 0.0, cruise_U: float = 0.0,
) -> list[str]:  # fmt: skip
    """The decision: balance at idle and at cruise, then circuit by circuit, then the main feed.

    `idle` and `cruise`: answers of electrical.charging_balance, false while they cannot be worked out; `idle_U` and
    `cruise_U` the expanded uncertainties of these balances in W.
    """
    said = []
    if undone(loads):
        said.append(f"Measure the current of every load by itself{still(loads)}.")
    said += [_idle(idle, idle_U), _cruise(cruise, cruise_U), *_circuits(planned), _feed(feed)]
    return [line for line in said if line]


def _idle(balance: Any, U: float) -> str:
    if not balance:
        return "Measure loads and output, and write down what is switched on in town and on the road."
    margin = balance.margins[0]
    if abs(margin) < U:
        return f"At idle output and loads are alike within what the clamp can tell ({U:.0f} W)."
    if margin >= 0:
        return f"At idle the output carries the loads, {margin:.0f} W to spare."
    return (
        f"At idle the battery gives {-margin:.0f} W: usual for an old alternator, and no matter on the road; after long town "
        "rides charge it, or run lamps that draw less."
    )


def _cruise(balance: Any, U: float) -> str:
    if not balance:
        return ""
    margin = balance.margins[-1]
    if abs(margin) < U:
        return (
            f"At cruise it is too close to call: {margin:.0f} W, and the clamp cannot tell less than {U:.0f} W. Read the "
            "battery's voltage after an hour at night instead."
        )
    if margin >= 0:
        return f"At cruise it carries them with {margin:.0f} W to spare, which charges the battery."
    return (
        f"At cruise it is {-margin:.0f} W short: the battery runs down on every night ride. Fewer or smaller lamps of a "
        "lawful kind, or a better alternator; a larger battery only puts it off."
    )


def _circuits(planned: Sequence[Circuit]) -> list[str]:
    if not planned:
        return ["Write the circuits into build.toml, so that wire and fuse of each can be worked out."]
    bad = [f"{c.name}: {fault}." for c in planned for fault in c.faults]
    if bad:
        return bad
    needed = [f"{c.name} {c.area:g} mm2 and {c.fuse:g} A" for c in planned]
    known = all(c.fitted_area and c.fitted_fuse for c in planned)
    if known:
        return ["Every circuit has wire enough, and a fuse that protects it."]
    return [f"At least: {listed(needed)}. Write down what is fitted, so that it can be compared."]


def _feed(feed: Verdicts) -> str:
    if undone(feed):
        return "Measure the bare copper of the main feed."
    if feed.word in ("outside", "too close to call"):
        return (
            "The main feed is thinner than it should be, or too close to call: replace it, for it carries everything."
        )
    return "The main feed is as thick as it should be." if feed.word == "inside" else ""
