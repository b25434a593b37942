"""Battery, winding, regulator and output: what they say to do next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from restonb.decisions.electrical._polarity import doubtful_input, parted, reversed_leads
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, stop, to_do, worst_state
from restonb.errors import FormulaError
from restonb.measure import Verdicts

__all__ = [
    "CLOSING",
    "Carried",
    "Checks",
    "Running",
    "carried",
    "flowing",
    "margin_u",
    "next_steps",
    "nominal_of",
    "powers",
    "speeds_of",
    "unlike",
    "whole",
]

CLOSING = (
    "The battery holds up, the winding is sound, the regulator keeps its voltage, the output carries the loads, and nothing "
    "drains the battery at rest."
)

SURELY = (10.5, 16.0)
"""Rest voltages of a 12 V battery, from one with a dead cell to more than the top of its table, as in electrical.rest_voltage."""


class Carried(NamedTuple):
    """What the output leaves over, in W, from one speed in rpm upwards at its least, and its standard uncertainty."""

    rpm: float
    margin: float
    u: float

    @property
    def watts(self) -> Amount:
        """What is left over, to be judged."""
        return Amount(self.margin, "W", self.u)


class Checks(NamedTuple):
    """The verdicts of the sheet, row by row."""

    battery: Verdicts
    phase: Verdicts
    spread: Verdicts
    earth: Verdicts
    regulator: Verdicts
    phase_voltage: Verdicts
    phase_difference: Verdicts
    output: Verdicts
    output_margin: Verdicts
    drain: Verdicts


class Running(NamedTuple):
    """What is worked out from the readings; each is false while it cannot be.

    `nominal`: the answer of nominal_of; `load_test`: that of electrical.load_test; `balance`: that of
    electrical.charging_balance; `carried`: that of carried.
    """

    nominal: float | NotYet
    load_test: Any
    balance: Any
    carried: Carried | NotYet


def nominal_of(rest: Any, nominal: float) -> float | NotYet:
    """The nominal voltage of the battery, NotYet where its rest voltage in V is that of the other kind, 6 or 12 V."""
    other = 18.0 - nominal
    low, high = (v * other / 12 for v in SURELY)
    if isinstance(rest, NotYet) or not low <= float(rest) < high:
        return nominal
    return NotYet((
        f"{float(rest):.2f} V at rest does not fit a {nominal:g} V battery: write nominal = {other:g} into build.toml under "
        "[parameters.charging], or measure again",
    ))  # fmt: skip


def whole(percent: float) -> int:
    """To whole per cent: tables of the charge differ by more than that."""
    return round(float(percent))


def speeds_of(positions: Iterable[str]) -> list[float] | NotYet:
    """Speeds in rpm from positions named after them ('1500 rpm'); NotYet where one is not, or they do not rise."""
    found = []
    for position in positions:
        number, _, unit = position.partition(" ")
        if unit != "rpm" or not number.isdigit():
            return NotYet(("positions of the output named after speeds, such as '1500 rpm'",))
        found.append(float(number))
    if not found or sorted(set(found)) != found:
        return NotYet(("the output at rising speeds",))
    return found


def flowing(current: Any) -> Any:
    """The current, where it can be told from nothing; NotYet where the meter cannot, or where its leads are swapped."""
    if isinstance(current, NotYet):
        return current
    least = 2 * float(getattr(current, "std_dev", 0.0))
    return current if float(current) > least else NotYet(("a current that this meter can tell from nothing",))


def powers(currents: Sequence[float], volts: Sequence[float]) -> list[float]:
    """Power in W at each speed, from A and V taken at the same speeds."""
    return [a * v for a, v in zip(currents, volts, strict=True)]


def unlike(grid: Sequence[Sequence[float]], u: float) -> Amount:
    """How unlike the phases are, in % of their mean, at the speed where they are most so; one row for each phase.

    `u`: standard uncertainty of one voltage in the unit of the grid; two of them are compared, by one meter.
    Raises FormulaError where they give nothing: then there is no mean to compare with.
    """
    columns = _at_each_speed(grid)
    most = max(100 * (max(c) - min(c)) / mean for c, mean in columns)
    return Amount(most, "%", max(100 * 2**0.5 * u / mean for _, mean in columns))


def _at_each_speed(grid: Sequence[Sequence[float]]) -> list[tuple[tuple[float, ...], float]]:
    columns = [(c, sum(c) / len(c)) for c in zip(*grid, strict=True)]
    if not columns or min(mean for _, mean in columns) <= 0:
        raise FormulaError("a running alternator gives voltage on its phases; look for a broken lead or a lost magnet")
    return columns


def margin_u(volts: float, output_u: float, loads_u: float) -> float:
    """Standard uncertainty in W of output less loads, both in A by one clamp, so that its errors add up in full."""
    return volts * (output_u + loads_u)


def carried(balance: Any, speeds: Sequence[float], rpm: float, u: float) -> Carried | NotYet:
    """What is left over from `rpm` upwards at its least; NotYet where the output was not measured as far down or up as that.

    `balance`: the answer of electrical.charging_balance at these speeds in rpm; `u`: standard uncertainty of a margin in W.
    """
    points = list(zip(speeds, balance.margins, strict=True))
    if not speeds[0] <= rpm <= speeds[-1]:
        return NotYet((f"the output measured at {rpm:g} rpm, or on both sides of it",))
    n1, m1 = next(point for point in points if point[0] >= rpm)
    n0, m0 = max((point for point in points if point[0] <= rpm), default=(n1, m1))
    at = m1 if n1 == n0 else m0 + (m1 - m0) * (rpm - n0) / (n1 - n0)
    return Carried(rpm, min([at, *(m for n, m in points if n >= rpm)]), u)


def next_steps(checks: Checks, running: Running) -> list[Step]:
    """The decision, battery first: what is measured running relies on a good one."""
    battery = _battery(checks.battery, running)
    steps = [
        *battery,
        *_winding(checks.phase, checks.spread),
        *_earth(checks.earth),
        *_phases(checks.phase_voltage, checks.phase_difference),
    ]
    regulator = _regulator(checks.regulator)
    if worst_state(battery) == "settled":
        steps += [*regulator, *_balance(checks, running)]
    else:
        steps += [step for step in regulator if step.state == "stop"]
        steps.append(not_known("running.battery_first", (
            "What is measured at the battery while it runs relies on a good battery: regulator and output are judged once the "
            "battery is known to be good."
        ), [*checks.regulator, *checks.output]))  # fmt: skip
    return [*steps, *_drain(checks.drain)]


def _battery(battery: Verdicts, running: Running) -> list[Step]:
    turned, battery = reversed_leads(
        battery, "battery", "the battery",
        "The battery reads below 0 ({at}). Look at the leads of the meter first. If these are right, the battery was charged "
        "the wrong way round: connect nothing to it, and replace it.",
    )  # fmt: skip
    if turned:
        return turned
    if isinstance(running.nominal, NotYet):
        why = running.nominal.missing[0]
        return [stop("battery.other_voltage", "{Why}. The battery is not judged until then.", battery, False, why=why)]
    steps = judged(
        battery, "battery", "the battery's voltage",
        measure="Measure the battery at rest, a day after charging, and under load; the rest is judged on a good battery.",
        inside="The battery is charged and holds up under load.",
        below="The battery is low or weak ({at}): charge it in good air, let it rest for a day, and measure again. If it fails "
        "the load once more, it is finished. Judge nothing else of the charging on it.",
        above="The battery reads more than a battery at rest does ({at}): it was charged lately. Switch a lamp on for a minute, "
        "let it rest, and measure again.",
        close="The battery is too close to its limit to call: charge it, and measure again after a day.",
    )  # fmt: skip
    if running.load_test and not running.load_test.passes:
        least = running.load_test.least
        steps.append(to_do(
            "battery.load_test", "Under load the battery falls below the {least} that the load test asks for at its "
            "temperature: charge it and try once more; if it fails again, it is finished.", battery,
            least=Amount(float(least), "V"),
        ))  # fmt: skip
        steps = [step for step in steps if step.state != "settled"]
    return steps


def _winding(phase: Verdicts, spread: Verdicts) -> list[Step]:
    turned, phase = reversed_leads(
        phase, "winding", "the winding",
        "A phase reads below 0 ({at}): the leads were taken off twice, or the zero of the meter has moved. Measure again.",
    )  # fmt: skip
    if turned:
        return turned
    each = judged(
        phase, "winding", "the resistance of the phases",
        measure="Measure the phases against each other, cold, leads subtracted (still to do: {at}).",
        inside="The phases have the right resistance.",
        below="A phase reads too low ({at}): look for leads that touch, then for turns that are shorted.",
        above="A phase reads too high ({at}): look at the joints of its leads first, then for a break in the winding.",
        close="The phases are too close to call with this meter ({at}): compare their voltages while running.",
    )  # fmt: skip
    if (
        worst_state(each) != "settled" and spread.word == "not measured"
    ):  # worked out from the phases, which are asked for
        return each
    return each + judged(
        spread, "winding.spread", "the spread of the phases",
        measure="Measure the phases that are left; how far they differ is worked out from all of them.",
        inside="The phases are alike.",
        above="The phases are not alike: look at the joints of the leads first. Then, a phase that reads lower than the others is "
        "shorted; one that reads higher has a bad joint.",
        close="Whether the phases are alike is too close to call with this meter: compare their voltages while running.",
    )  # fmt: skip


def _earth(earth: Verdicts) -> list[Step]:
    return judged(
        earth, "earth", "the insulation of the winding",
        measure="Measure each phase to earth, its connector off (still to do: {at}).",
        inside="The winding is insulated from earth.",
        below="The winding leaks to earth at {at}: dry it in the warm for a night, clean and varnish it, and measure again. If it "
        "still leaks, it must be rewound.",
        close="The insulation is too close to its limit to call ({at}): dry it, and measure again.",
    )  # fmt: skip


def _phases(rows: Verdicts, difference: Verdicts) -> list[Step]:
    if wrong := doubtful_input(rows, "phases", "the voltage of the phases"):
        return wrong
    return judged(
        difference, "phases", "the difference between the phases",
        measure="Compare the voltages of the phases while it runs.",
        inside="With the engine running, the phases give the same.",
        above="With the engine running, the phases are not alike: one is shorted within itself, which the ohmmeter does not see, or a magnet is "
        "weak.",
        close="With the engine running, the phases are too close to call with this meter: measure at a higher speed.",
    )  # fmt: skip


def _regulator(regulator: Verdicts) -> list[Step]:
    turned, regulator = reversed_leads(regulator, "regulator", "the voltage at the battery")
    high, rest = parted(regulator, lambda r: r.side == "above")
    steps = list(turned)
    if len(high):
        steps.append(stop("regulator.high", (
            "It charges too high ({at}): stop the engine. The battery boils and lamps burn out. Look at the earth and the sense "
            "lead of the regulator first, then at the regulator."
        ), high))  # fmt: skip
    if steps and not len(rest):
        return steps
    return steps + [step for step in judged(
        rest, "regulator", "the regulated voltage",
        measure="Measure at the battery with the engine running fast, lights off and on (still to do: {at}).",
        inside="The regulator holds its voltage.",
        below="It charges too low ({at}): look at joints and earths, then at rectifier and regulator; the output table tells "
        "which.",
        close="The regulated voltage is too close to its limit to call ({at}).",
    ) if not steps or step.state != "settled"]  # fmt: skip


def _balance(checks: Checks, running: Running) -> list[Step]:
    balance, at = running.balance, running.carried
    if wrong := doubtful_input(checks.output, "output", "the current"):
        return wrong
    if not balance:
        gone = "; ".join(balance.missing)
        return [
            to_do("output.measure", "Measure the output by speed, and the loads. Still missing: {gone}.", gone=gone)
        ]
    if balance.even_at is None:
        return [to_do("output.short", (
            "The output never carries the loads: even at its best it is {short} short, so the battery runs down. Compare the "
            "phases; if they are alike, switch on less, or fit lamps that draw less."
        ), checks.output_margin, short=Amount(-max(balance.margins), "W"))]  # fmt: skip
    even, gives = Amount(round(float(balance.even_at), -1), "rpm"), Amount(max(0.0, -balance.least), "W")
    if isinstance(at, NotYet):
        gone = "; ".join(at.missing)
        says = (
            "The output carries the loads from about {even}; below that the battery gives up to {gives}. Whether that is good "
            "enough is not decided. Still missing: {gone}."
        )
        return [not_known("output.from", says, checks.output_margin, even=even, gives=gives, gone=gone)]
    below = "; below that the battery gives up to {gives}" if balance.least < 0 else ""
    return judged(
        checks.output_margin, "output", "what the output leaves over",
        measure="Measure the output by speed, and the loads.",
        inside=f"From {{asked}} upwards the output carries the loads, with {{margin}} to spare{below}.",
        below="The output carries the loads only from about {even}, and you ask for {asked}: below that, the battery runs down. Switch "
        "on less there, or fit lamps that draw less.",
        close="Whether the output carries the loads at {asked} is too close to call with this clamp. Read the voltage of the "
        "battery after an hour with everything switched on instead.",
        even=even, gives=gives, asked=Amount(at.rpm, "rpm"), margin=at.watts,
    )  # fmt: skip


def _drain(drain: Verdicts) -> list[Step]:
    turned, left = reversed_leads(
        drain, "drain", "the drain",
        "The drain reads below 0: the leads of the meter are swapped, or something charges the battery. Turn the leads round and "
        "measure again; nothing is concluded from such a reading.",
    )  # fmt: skip
    if turned and not len(left):
        return turned
    return turned + judged(
        left, "drain", "the drain at rest",
        measure="Measure the current that flows with everything switched off.",
        inside="The drain at rest is within its limit.",
        above="Something drains the battery at rest: pull one fuse or lead after another until the current falls.",
        close="The drain is too close to its limit to call: measure it on a finer range.",
    )  # fmt: skip
