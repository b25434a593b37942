"""Readings handed to a formula, and what stands in for an answer while something is not measured."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from restonb.decisions import NotYet
from restonb.quantity import Quantity, write
from restonb.words import clock_degrees

__all__ = ["Known", "NotYet", "Values"]


@dataclass(frozen=True, slots=True)
class Known:
    """One number with its standard uncertainty, as a formula takes it."""

    nominal_value: float
    std_dev: float
    unit: str

    def __float__(self) -> float:
        return self.nominal_value

    def __str__(self) -> str:
        return write(self.nominal_value, self.unit, 2 * self.std_dev or None)


class Values(Mapping[str, Quantity | None]):
    """Position -> the value in force there, None where nothing is measured. `of` names them in messages."""

    def __init__(self, of: str, values: Mapping[str, Quantity | None], why: str = "") -> None:
        self.of = of
        self.why = why
        self._values = dict(values)

    def __getitem__(self, position: str) -> Quantity | None:
        return self._values[position]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    @property
    def missing(self) -> tuple[str, ...]:
        """What is to be measured first, in words; empty where all is there."""
        if self.why:
            return (self.why,)
        gone = [position for position, value in self._values.items() if value is None]
        if not gone:
            return ()
        return (self.of if gone == ["once"] else f"{self.of} ({', '.join(gone)})",)

    def to(self, unit: str) -> list[float] | NotYet:
        """The numbers in that unit, in the order of the positions; NotYet while one is missing."""
        if self.missing:
            return NotYet(self.missing)
        return [value.to(unit).value for value in self._values.values() if value is not None]

    def quantities(self, unit: str) -> list[Quantity] | NotYet:
        """The same with their unit, for a formula that takes any."""
        numbers = self.to(unit)
        return numbers if isinstance(numbers, NotYet) else [Quantity(number, unit) for number in numbers]

    def grid(self, unit: str) -> list[list[float]] | NotYet:
        """The numbers of a grid of positions, one list for each name before the ' / '."""
        numbers = self.to(unit)
        if isinstance(numbers, NotYet):
            return numbers
        rows: dict[str, list[float]] = {}
        for position, number in zip(self._values, numbers, strict=True):
            rows.setdefault(position.partition(" / ")[0], []).append(number)
        return list(rows.values())

    def degrees(self) -> list[float] | NotYet:
        """Degrees clockwise from 12:00 of positions named as on a clock; NotYet where they are not."""
        angles = [clock_degrees(position) for position in self._values]
        known = [angle for angle in angles if angle is not None]
        if not known or len(known) < len(angles):
            return NotYet((f"{self.of}, at positions round a clock such as 'clock 8'",))
        return known

    def known(self, unit: str) -> dict[str, float | None]:
        """Position -> number in that unit, None where nothing is measured: for a chart."""
        return {p: None if v is None else v.to(unit).value for p, v in self._values.items()}

    def __repr__(self) -> str:
        return "\n".join(f"{p}: {'not measured' if v is None else v.write()}" for p, v in self._values.items())

    def _repr_html_(self) -> str:
        from restonb.bench._look import chip, styled, table

        rows = [(p, chip("not measured") if v is None else v.write()) for p, v in self._values.items()]
        return styled(table(("position", self.of), rows, numeric=(self.of,)).html)

    def _ipython_key_completions_(self) -> list[str]:
        return list(self._values)
