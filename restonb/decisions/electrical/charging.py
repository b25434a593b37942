"""Battery, winding, regulator and output: what they say to do next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from restonb.bench._values import NotYet
from restonb.decisions._to_do import not_settled, still
from restonb.decisions._words import listed, undone, unjudged
from restonb.measure import Verdicts

__all__ = ["next_steps", "nominal_of", "powers", "speeds_of", "unlike", "whole"]

SURELY = (10.5, 16.0)
"""Rest voltages of a 12 V battery, from one with a dead cell to more than the top of its table, as in electrical.rest_voltage."""


def nominal_of(rest: Any, nominal: float) -> float | NotYet:
    """The nominal voltage of the battery, NotYet where its rest voltage in V is that of the other kind, 6 or 12 V."""
    other = 18.0 - nominal
    low, high = (v * other / 12 for v in SURELY)
    if isinstance(rest, NotYet) or not low <= float(rest) < high:
        return nominal
    return NotYet((
        f"{float(rest):.2f} V at rest is no {nominal:g} V battery: write nominal = {other:g} into build.toml under "
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


def powers(currents: Sequence[float], volts: Sequence[float]) -> list[float]:
    """Power in W at each speed, from A and V taken at the same speeds."""
    return [a * v for a, v in zip(currents, volts, strict=True)]


def unlike(grid: Sequence[Sequence[float]]) -> float:
    """How unlike the phases are, in % of their mean, at the speed where they are most so; one row for each phase."""
    columns = list(zip(*grid, strict=True))
    return float(max(100 * (max(c) - min(c)) * len(c) / sum(c) for c in columns))


def next_steps(
    battery: Verdicts, winding: Verdicts, earth: Verdicts, regulator: Verdicts, drain: Verdicts, balance: Any,
    phases: float | NotYet, phase_limit: float, nominal: float | NotYet = 12.0,
) -> list[str]:  # fmt: skip
    """The decision, battery first, for nothing else can be judged on a bad one.

    `balance`: the answer of electrical.charging_balance, `phases`: how unlike the phases' voltages are in %; false
    while they cannot be worked out. `phase_limit` in %. `nominal`: the answer of nominal_of.
    """
    wrong = f"{nominal.missing[0]}. The battery is not judged before that." if isinstance(nominal, NotYet) else ""
    said = [wrong or _battery(battery), _winding(winding), _earth(earth), _phases(phases, phase_limit)]
    said += [_regulator(regulator), _balance(balance), _drain(drain)]
    return [line for line in said if line]


def _battery(battery: Verdicts) -> str:
    if battery.word == "outside":
        return (
            "The battery is low or weak: charge it in good air, let it rest for a day, and measure again. If it fails the "
            "load once more, it is finished. Judge nothing else of the charging on it."
        )
    if undone(battery):
        return (
            "Measure the battery at rest, a day after charging, and under load; the rest is judged on a good battery."
        )
    if battery.word == "too close to call":
        return "The battery is too close to its limit to call: charge it, and measure again after a day."
    return unjudged(battery, "the battery's voltage") or "The battery is charged and holds up under load."


def _winding(winding: Verdicts) -> str:
    if winding.word == "outside":
        return (
            "The phases are not alike or not in their range: look at the joints of the leads first, then at the winding. A "
            "phase that reads low is shorted, one that reads high has a bad joint."
        )
    if undone(winding):
        return f"Measure the phases against each other, cold, leads subtracted{still(winding)}."
    if winding.word == "too close to call":
        return "The phases are too close to call with this meter: compare their voltages while running."
    return "The phases are alike." if winding.word == "inside" else ""


def _earth(earth: Verdicts) -> str:
    if earth.word == "outside":
        return (
            f"The winding leaks to earth at {listed(not_settled(earth))}: dry it warm for a night, clean and varnish it, and "
            "measure again. A leak that stays is a winding to be wound anew."
        )
    if undone(earth):
        return f"Measure each phase to earth, its connector off{still(earth)}."
    if earth.word == "too close to call":
        return "The insulation is too close to its limit to call: dry it, and measure again."
    return "The winding is insulated from earth." if earth.word == "inside" else ""


def _phases(phases: Any, limit: float) -> str:
    if isinstance(phases, NotYet):
        return ""
    if phases > limit:
        return (
            f"Running, the phases differ by {phases:.0f} %: one is shorted within itself, which the ohmmeter does not see, or "
            "a magnet is weak."
        )
    return f"Running, the phases give alike ({phases:.1f} % apart)."


def _regulator(regulator: Verdicts) -> str:
    if undone(regulator):
        return f"Measure at the battery with the engine running fast, lights off and on{still(regulator)}."
    if regulator.word == "inside":
        return "The regulator holds its voltage."
    if regulator.word == "no limit":
        return ""
    if regulator.word == "too close to call":
        return "The regulated voltage is too close to its limit to call."
    high = [r for r in regulator if r.verdict == "outside" and r.upper is not None and (r.value or 0) > r.upper]
    if high:
        return (
            f"It charges too high ({listed([r.position for r in high])}): stop the engine. The battery gasses and lamps burn "
            "out. Earth and sense lead of the regulator first, then the regulator."
        )
    low = listed([r.position for r in regulator if r.verdict == "outside"])
    return f"It charges too low ({low}): look at joints and earths, then rectifier and regulator; the output table tells which."


def _balance(balance: Any) -> str:
    if not balance:
        return ""
    if balance.even_at is None:
        return f"The output never carries the loads: it is {-max(balance.margins):.0f} W short at best. The battery runs down."
    if balance.least >= 0:
        return "The output carries the loads at every speed measured."
    return (
        f"The output carries the loads from about {round(balance.even_at, -1):.0f} rpm; below, the battery gives up to "
        f"{-balance.least:.0f} W. Count that against town riding."
    )


def _drain(drain: Verdicts) -> str:
    if undone(drain):
        return "Measure the current that flows with everything switched off."
    if drain.word == "inside":
        return "Nothing drains the battery at rest."
    if drain.word == "no limit":
        return ""
    return "Something drains the battery at rest: pull one fuse or lead after another until the current falls."
