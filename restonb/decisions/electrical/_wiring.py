"""One circuit: the wire and the fuse that it needs by current, length and load, and what is wrong with those that are fitted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from restonb.decisions.steps import Amount, Step, not_known, stop, to_do
from restonb.formulas import electrical
from restonb.formulas.electrical.wire import TABLE

__all__ = ["LOADS", "Circuit", "circuit_steps", "circuit_table", "fitted_of", "wire_and_fuse"]

LOADS = {float(row["area_mm2"]): float(row["load_A"]) for row in TABLE if row["load_A"]}
"""Load in A usual for a wire of that size in mm2: common practice, no source."""
SIZES = [float(row["area_mm2"]) for row in TABLE]
"""Sizes in mm2 of IEC 60228."""


class Circuit(NamedTuple):
    """One circuit: its current, the wire and the fuse that it needs, and those that are fitted; None is not known.

    Areas in mm2, currents and fuses in A, drops in V. `fitted_fuse` 0 is a circuit without a fuse. `allowed`: what its wire may
    lose; `fitted_drop`: what the fitted one loses.
    """

    name: str
    loads: str
    length: str
    amps: float | None = None
    amps_u: float = 0.0
    area: float | None = None
    drop: float | None = None
    fuse: float | None = None
    colour: str = ""
    fitted_area: float | None = None
    fitted_fuse: float | None = None
    fitted_drop: float | None = None
    allowed: float = 0.3
    trouble: str = ""

    @property
    def load(self) -> float | None:
        """Load in A usual for the least wire, by which its fuse is chosen."""
        return None if self.area is None else LOADS[max(area for area in LOADS if area <= self.area)]

    @property
    def size(self) -> float | None:
        """The size in mm2 that the fitted wire is judged as: the next one of the table that is not thicker."""
        return size_of(self.fitted_area)

    @property
    def carries(self) -> float | None:
        """Load in A usual for the fitted wire; above the largest size that has one, that of this size."""
        size = self.size
        return None if size is None else LOADS[max(area for area in LOADS if area <= size)]


def size_of(area: float | None) -> float | None:
    """The size of IEC 60228 in mm2 that is not thicker than this; None where even the thinnest is."""
    return None if area is None else max((size for size in SIZES if size <= area + 1e-9), default=None)


def fitted_of(area: str, fuse: str) -> tuple[float | None, float | None]:
    """Area in mm2 and fuse in A as written; None where nothing is, 0 for 'none' as the fuse.

    Raises ValueError for what is not a number, or below 0.
    """
    read_area = float(area) if area.strip() else None
    read_fuse = 0.0 if fuse.strip().casefold() == "none" else float(fuse) if fuse.strip() else None
    if read_area is not None and not 0 < read_area < math.inf:
        raise ValueError(f"a wire of {area} mm2; write its area, such as 1.5")
    if read_fuse is not None and not 0 <= read_fuse < math.inf:
        raise ValueError(f"a fuse of {fuse} A; write its rating, or none")
    return read_area, read_fuse


def wire_and_fuse(circuit: Circuit, meters: float, allowed: float, back: bool, temperature: float) -> Circuit:
    """The circuit with the smallest wire by drop and by load that the fuse of its current protects, and with that fuse.

    `meters`: one-way length; `allowed`: V that its wire may lose; `back`: whether the return is a wire too; `temperature` of
    the wire in degC. Raises FormulaError where no wire or no fuse serves.
    """
    amps = circuit.amps or 0.0
    if circuit.size is not None and amps:
        hot = electrical.hot_resistance(electrical.metric_wire(circuit.size), temperature)
        circuit = circuit._replace(fitted_drop=float(electrical.voltage_drop(amps, float(hot), meters, back)))
    rating = electrical.fuse(amps, LOADS[max(LOADS)]).rating
    current, wire = amps, electrical.wire_for(amps, meters, allowed, back, temperature)
    if wire.load is not None and wire.load < rating:  # thick enough for the current, not for the fuse before it
        current, wire = rating, electrical.wire_for(rating, meters, allowed * rating / amps, back, temperature)
    protects = electrical.fuse(amps, wire.load or LOADS[max(LOADS)])
    return circuit._replace(
        area=wire.area, drop=wire.drop * amps / current, fuse=protects.rating, colour=protects.colour
    )


def circuit_steps(circuit: Circuit) -> list[Step]:
    """What is wrong with one circuit, and what is not known of it; nothing where wire and fuse serve."""
    named: dict[str, Any] = {"circuit": circuit.name}
    steps = _fuse_steps(circuit)
    if circuit.trouble:
        return [*steps, to_do("circuit.unknown", "{Circuit}: {why}.", **named, why=circuit.trouble)]
    if circuit.fitted_area is not None and circuit.size is None:
        steps.append(to_do(
            "circuit.thin", "{Circuit}: a wire of {fitted} is thinner than any that belongs in a machine; fit at least {area}.",
            **named, fitted=_mm2(circuit.fitted_area), area=_mm2(circuit.area or 0.0),
        ))  # fmt: skip
    steps += _wire_steps(circuit)
    if circuit.fitted_area is None or circuit.fitted_fuse is None:
        what = (
            "wire and fuse"
            if circuit.fitted_area is circuit.fitted_fuse
            else "wire"
            if circuit.fitted_area is None
            else "fuse"
        )
        says = f"{{Circuit}} needs at least {{area}} and a fuse of {{fuse}}. Write down which {what} is fitted, so that it can be compared."
        steps.append(
            to_do("circuit.fitted", says, **named, area=_mm2(circuit.area or 0.0), fuse=_amps(circuit.fuse or 0.0))
        )
    return steps


def _fuse_steps(circuit: Circuit) -> list[Step]:
    fuse, carries, amps = circuit.fitted_fuse, circuit.carries, circuit.amps
    named: dict[str, Any] = {"circuit": circuit.name}
    if fuse is None:
        return []
    if fuse == 0:
        return [stop("circuit.no_fuse", (
            "{Circuit} has no fuse: a short sets its wire on fire. Fit one at the battery end of the wire before the battery "
            "goes on."
        ), **named)]  # fmt: skip
    steps = []
    if carries is not None and fuse > carries + 1e-9:
        steps.append(stop("circuit.fuse_above_wire", (
            "{Circuit}: its fuse of {fuse} does not protect a wire for {carries}; on a short the wire goes first, and burns. Fit a "
            "smaller fuse, or a thicker wire."
        ), **named, fuse=_amps(fuse), carries=_amps(carries)))  # fmt: skip
    if amps and fuse < amps / 0.8 - 1e-9:
        steps.append(to_do("circuit.fuse_small", (
            "{Circuit}: its fuse of {fuse} will tire, since {amps} run through it. Fit the next size up that the wire can carry."
        ), **named, fuse=_amps(fuse), amps=Amount(amps, "A")))  # fmt: skip
    return steps


def _wire_steps(circuit: Circuit) -> list[Step]:
    carries, amps, drop = circuit.carries, circuit.amps, circuit.fitted_drop
    if carries is None or not amps or drop is None or circuit.fitted_area is None:
        return []
    values: dict[str, Any] = {
        "circuit": circuit.name, "fitted": _mm2(circuit.fitted_area), "length": circuit.length,
        "area": _mm2(circuit.area or 0.0), "allowed": Amount(circuit.allowed, "V"), "drop": Amount(drop, "V"),
    }  # fmt: skip
    steps = []
    if amps > carries:
        steps.append(stop("circuit.wire_overloaded", (
            "{Circuit}: {amps} is too much for its wire of {fitted}, which usually carries {carries}: it runs hot. Fit at "
            "least {area}."
        ), **values, amps=Amount(amps, "A"), carries=_amps(carries)))  # fmt: skip
    most = drop * (amps + 2 * circuit.amps_u) / amps
    if drop > circuit.allowed + 1e-12:
        steps.append(to_do("circuit.drop", (
            "{Circuit}: {length} of {fitted} loses {drop}, and {allowed} is the most allowed. Fit at least {area}, or run it a "
            "shorter way."
        ), **values))  # fmt: skip
    elif most > circuit.allowed + 1e-12:
        steps.append(not_known("circuit.drop_close", (
            "{Circuit}: {length} of {fitted} loses {drop}; with this clamp that is too close to {allowed} to call. Measure the drop "
            "itself, with its load on."
        ), **values))  # fmt: skip
    return steps


def circuit_table(planned: Sequence[Circuit]) -> list[tuple[str, ...]]:
    """Circuit, loads, length, current, least wire, drop in it, fuse, wire fitted, drop in it, fuse fitted: a row for each."""
    return [
        (
            c.name, c.loads, c.length, _text(c.amps, " A"), _text(c.area, " mm2"), _text(c.drop, " V", 2),
            f"{_text(c.fuse, ' A')}{f' ({c.colour})' if c.colour else ''}", _text(c.fitted_area, " mm2"),
            _text(c.fitted_drop, " V", 2), "none" if c.fitted_fuse == 0 else _text(c.fitted_fuse, " A"),
        )
        for c in planned
    ]  # fmt: skip


def _text(value: float | None, unit: str, digits: int | None = None) -> str:
    if value is None:
        return ""
    return f"{value:.{digits}f}{unit}" if digits is not None else f"{value:.4g}{unit}"


def _mm2(area: float) -> Amount:
    return Amount(area, "mm2")


def _amps(rating: float) -> Amount:
    return Amount(rating, "A")
