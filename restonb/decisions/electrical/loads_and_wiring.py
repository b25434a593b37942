"""Loads, output, wire and fuses: whether the output carries the loads, and what each circuit needs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple, Protocol

from restonb.decisions.electrical._polarity import doubtful_input, reason_of
from restonb.decisions.electrical._wiring import Circuit, circuit_steps, circuit_table, fitted_of, wire_and_fuse
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, to_do, worst_state
from restonb.errors import FormulaError, QuantityError
from restonb.measure import Verdicts
from restonb.quantity import Quantity, read
from restonb.words import listed

__all__ = [
    "CLOSING",
    "Checks",
    "Circuit",
    "at_cruise",
    "circuit_table",
    "next_steps",
    "pick",
    "plan",
    "spread",
    "watts",
]

CLOSING = (
    "The output carries the loads on the road, and every circuit has wire enough and a fuse that protects it. These loads hold "
    "for single wires in free air; in a bundle or near the exhaust take a size more."
)


class Checks(NamedTuple):
    """The verdicts of the sheet."""

    loads: Verdicts
    output: Verdicts
    margin: Verdicts
    feed: Verdicts


class Currents(Protocol):
    """Currents by load, None where one is not measured; `of` names them in messages."""

    of: str

    def __iter__(self) -> Iterator[str]: ...

    def __getitem__(self, name: str, /) -> Quantity | None: ...


def pick(currents: Currents, names: Sequence[str]) -> list[float] | NotYet:
    """The currents in A of the loads of these names; NotYet where one is not measured or not known by that name."""
    there = list(currents)
    unknown = [name for name in names if name not in there]
    if unknown or not names:
        known = ", ".join(there) or "none yet"
        return NotYet((f"loads by the names of the spec book ({listed(unknown) or 'none given'}: there is {known})",))
    found = {name: currents[name] for name in names}
    gone = [name for name, amps in found.items() if amps is None]
    if gone:
        return NotYet((f"{currents.of} ({', '.join(gone)})",))
    return [amps.to("A").value for amps in found.values() if amps is not None]


def watts(currents: Sequence[float], volts: float) -> list[float]:
    """Power in W of currents in A at one voltage."""
    return [a * volts for a in currents]


def spread(output_u: float, load_u: float, loads: int, volts: float) -> float:
    """Expanded uncertainty in W of output less loads; one clamp read them all, so that its errors add up in full.

    `output_u`, `load_u`: standard uncertainties in A of the output and of one load; k = 2.
    """
    return 2 * volts * (output_u + loads * load_u)


def plan(
    circuits: Sequence[Sequence[str]], currents: Currents, allowed_drop: float, return_wire: bool, temperature: float,
    load_u: float = 0.0,
) -> list[Circuit]:  # fmt: skip
    """Wire and fuse for each circuit, each given as (name, length, loads joined by ' + ', mm2 fitted, A of its fuse).

    `load_u`: standard uncertainty of one current in A. What cannot be worked out stands in `trouble`; nothing is guessed.
    """
    given = (allowed_drop, return_wire, temperature)
    return [_one([*row, "", "", "", "", ""][:5], currents, given, load_u) for row in circuits]


def _one(row: Sequence[str], currents: Currents, given: tuple[float, bool, float], load_u: float) -> Circuit:
    name, length, loads, area, fuse = row
    circuit = Circuit(name, loads, length, allowed=given[0])
    try:
        fitted = fitted_of(area, fuse)
        meters = read(length, "m").to("m").value
    except (ValueError, QuantityError) as error:
        return circuit._replace(trouble=f"cannot be read: {error}")
    circuit = circuit._replace(fitted_area=fitted[0], fitted_fuse=fitted[1])
    names = [part.strip() for part in loads.split("+")]
    amps = pick(currents, names)
    if isinstance(amps, NotYet):
        return circuit._replace(trouble=f"still missing: {amps.missing[0]}")
    if sum(amps) <= 0:
        return circuit._replace(trouble="its current reads 0 or less: measure it again, with the load on")
    circuit = circuit._replace(amps=sum(amps), amps_u=load_u * len(names))
    try:
        return wire_and_fuse(circuit, meters, *given)
    except FormulaError as error:
        return circuit._replace(trouble=reason_of(error))


def next_steps(
    checks: Checks, idle: Any, cruise: Any, planned: Sequence[Circuit], idle_U: float = 0.0, cruise_U: float = 0.0,
) -> list[Step]:  # fmt: skip
    """The decision: balance on the road and in town, then circuit by circuit, then the main feed.

    `idle` and `cruise`: answers of electrical.charging_balance, false while they cannot be worked out; `idle_U` and
    `cruise_U` the expanded uncertainties of these balances in W.
    """
    loads = checks.loads
    wrong = doubtful_input(loads, "loads", "the current of the loads")
    if not len(loads) or any(row.word == "not measured" for row in loads):
        gone = [row for row in loads if row.word == "not measured"]
        wrong.append(to_do("loads.measure", "Measure the current of every load by itself (still to do: {at}).", gone))
    wrong_output = doubtful_input(checks.output, "output", "the current of the alternator")
    steps = [*wrong, *wrong_output]
    if not any(step.state != "to do" or not step.finding.endswith(".measure") for step in steps):
        road = _cruise(checks.margin, cruise, cruise_U)
        steps += [*road, *_idle(idle, idle_U, worst_state(road) == "settled")]
    return [*steps, *_circuits(planned, bool(wrong)), *_feed(checks.feed)]


def _cruise(rows: Verdicts, balance: Any, U: float) -> list[Step]:
    if not balance:
        return [to_do("cruise.measure", (
            "Measure loads and output, and write down what is switched on at night on the road. Still missing: {gone}."
        ), gone="; ".join(balance.missing))]  # fmt: skip
    margin = balance.margins[-1]
    return judged(
        rows, "cruise", "the balance at cruise",
        measure="Measure loads and output, and write down what is switched on at night on the road.",
        inside="At cruise the output carries the loads with {margin} to spare, which charges the battery.",
        below="At cruise the output is {short} short: the battery runs down on every night ride. Fit fewer or smaller lamps of a "
        "lawful kind, or a better alternator; a larger battery only puts it off.",
        close="At cruise it is too close to call: {margin}, and the clamp cannot read finer than {tell}. Read the voltage of the "
        "battery after an hour at night instead.",
        margin=Amount(margin, "W", U / 2), short=Amount(-margin, "W", U / 2), tell=Amount(U, "W"),
    )  # fmt: skip


def at_cruise(balance: Any, U: float) -> Amount | NotYet:
    """Output less loads at the highest speed in W, to be judged; `U`: its expanded uncertainty in W."""
    return Amount(float(balance.margins[-1]), "W", U / 2) if balance else NotYet(balance.missing)


def _idle(balance: Any, U: float, road: bool) -> list[Step]:
    """`road`: whether the output is known to carry the loads at cruise; without that nothing makes up for a loss in town."""
    if not balance:
        return [to_do("idle.measure", (
            "Measure loads and output, and write down what is switched on in town. Still missing: {gone}."
        ), gone="; ".join(balance.missing))]  # fmt: skip
    margin = balance.margins[0]
    if margin >= U:
        spare = Amount(margin, "W", U / 2)
        return [settled("idle.carries", "At idle the output carries the loads, with {spare} to spare.", spare=spare)]
    gives, tell = Amount(-margin, "W", U / 2), Amount(U, "W")
    if margin > -U:
        says = "At idle output and loads are alike, as far as the clamp can tell ({tell})"
        if road:
            return [settled("idle.even", f"{says}; the road charges the battery.", tell=tell)]
        return [not_known("idle.even", f"{says}.", tell=tell)]
    says = "At idle the battery gives {gives}, which is usual for an old alternator"
    if road:
        return [settled("idle.short", (
            f"{says}; the road makes up for it. After long rides in town charge it, or fit lamps that draw less."
        ), gives=gives)]  # fmt: skip
    return [to_do("idle.short", f"{says}, and nothing shows yet that the road makes up for it.", gives=gives)]


def _circuits(planned: Sequence[Circuit], unsure: bool) -> list[Step]:
    """`unsure`: whether a current that they are worked out from cannot be relied on."""
    if not planned:
        return [
            to_do(
                "circuits.write", "Write the circuits into build.toml, so that wire and fuse of each can be worked out."
            )
        ]
    steps = [step for circuit in planned for step in circuit_steps(circuit)]
    if steps or unsure:
        return steps
    says = "Every circuit has wire enough, and a fuse that protects it: {names}."
    return [settled("circuits.good", says, names=[circuit.name for circuit in planned])]


def _feed(feed: Verdicts) -> list[Step]:
    return judged(
        feed, "feed", "the copper of the main feed",
        measure="Measure the bare copper of the main feed.",
        inside="The main feed is as thick as it should be.",
        below="The main feed is too thin: replace it, for it carries everything.",
        above="The main feed is thicker than the spec book has it: check that it is the wire that belongs there.",
        close="The main feed is too close to its limit to call: count the strands and measure one of them, or fit a thicker one.",
    )  # fmt: skip
