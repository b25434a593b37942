"""A quantity: a value with its unit, what was typed, and the resolution that the typing shows."""

from __future__ import annotations

import math
import re
from typing import NoReturn

from restonb.errors import QuantityError
from restonb.quantity import _units
from restonb.quantity._numbers import LONGEST, Number, leading_number
from restonb.quantity._text import quoted, tidy
from restonb.quantity._write import write

__all__ = ["Quantity", "read"]


class Quantity:
    """A value in a unit of the closed list. Compare values after `.to(unit)`; equality is of what is stored.

    `typed` is the text as a person typed it, empty if nobody did. `resolution` is one step of the last
    decimal (0.01 for '0.25 mm'), in `unit`; None where it is not known. A fraction has none: '3/8' names a
    size, and says nothing of how finely it was measured.
    Raises QuantityError for an unknown unit or a value that is not finite.
    """

    __match_args__ = __slots__ = ("value", "unit", "typed", "resolution")
    value: float
    unit: str
    typed: str
    resolution: float | None

    def __init__(self, value: float, unit: str, typed: str = "", resolution: float | None = None) -> None:
        if isinstance(value, bool) or not math.isfinite(value):
            raise QuantityError(f"{value} is not a measured number: write the value, or leave it out")
        if resolution is not None and not 0 < resolution < math.inf:
            raise QuantityError(f"a resolution of {resolution} is not possible: write a number above 0")
        keep = object.__setattr__  # by hand: to load what writes such classes takes longer than to read a build
        keep(self, "value", float(value))
        keep(self, "unit", _units.unit(unit).name)
        keep(self, "typed", typed)
        keep(self, "resolution", resolution)

    def _parts(self) -> tuple[float, str, str, float | None]:
        return self.value, self.unit, self.typed, self.resolution

    def __eq__(self, other: object) -> bool:
        return self._parts() == other._parts() if isinstance(other, Quantity) else NotImplemented

    def __hash__(self) -> int:
        return hash(self._parts())

    def __repr__(self) -> str:
        return f"Quantity({', '.join(map(repr, self._parts()))})"

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise AttributeError(f"a quantity cannot be changed: make another, with its own {name}")

    def __reduce__(self) -> tuple[type[Quantity], tuple[float, str, str, float | None]]:
        return Quantity, self._parts()

    @property
    def kind(self) -> str:
        """What is measured: 'length', 'torque', 'energy' ..."""
        return _units.unit(self.unit).kind

    @property
    def ucum(self) -> str:
        """The unit's UCUM code, for machines."""
        return _units.unit(self.unit).ucum

    def to(self, unit: str) -> Quantity:
        """The same quantity in another unit of its kind; `typed` stays. Raises QuantityError otherwise."""
        if unit == self.unit:
            return self
        step = self.resolution
        return Quantity(
            _units.convert(self.value, self.unit, unit),
            unit,
            self.typed,
            None if step is None else _units.convert_difference(step, self.unit, unit),
        )

    def write(self, u: float | None = None) -> str:
        """The quantity as a reader should see it, with the digits that its uncertainty `u` deserves."""
        return write(self.value, self.unit, u, self.resolution)

    def __str__(self) -> str:
        return self.write()


_THREAD = r"(?a)^[0-9]+/[0-9]+-[0-9]+|^M[0-9]|UN[CF]|BS[WFC]"
_SECOND_NUMBER = r"(?a)[^/0-9^*]\s*[0-9]+(?:[./][0-9]+)?\s*[A-Za-z\"'%°]"
_METRIC_LENGTHS = ("mm", "um", "cm", "m", "km")


def read(text: str, unit: str | None = None) -> Quantity:
    """The quantity that a person typed, in the unit that they typed.

    `unit` is the one wanted: a bare number takes it, and a unit of another kind is refused. A bare fraction
    is not taken as metric, because it means inches. Raises QuantityError, whose message says what to write.
    """
    if not isinstance(text, str):
        raise QuantityError(f"a quantity is text, not {type(text).__name__}: write for example '0.25 mm'")
    wanted = None if unit is None else _units.unit(unit)
    example = _example(wanted)
    if len(text) > LONGEST:
        raise QuantityError(
            f"{quoted(text)} is {len(text)} characters long: write one number with its unit, for example '{example}'"
        )
    if wanted is not None and wanted.kind == "date":
        from restonb.quantity._dates import read_date

        middle, span = read_date(text)
        return Quantity(middle, wanted.name, text.strip(), span)
    tidied = tidy(text)
    number, rest = leading_number(tidied, example)
    typed = text.strip()
    if not rest:
        return Quantity(number.value, _bare(number, wanted, tidied, example).name, typed, number.step)
    found = None if rest[0].isdigit() and not rest.startswith("1/") else _units.find(rest)
    if found is None:
        raise QuantityError(_unknown(tidied, rest, wanted, example))
    if found.kind == "date":
        raise QuantityError(
            f"{quoted(tidied)} is not a date: a date of making is read where its row has the unit date, as 2019-06"
        )
    if wanted is not None and found.kind != wanted.kind:
        raise QuantityError(_wrong_kind(tidied, found, wanted))
    return Quantity(number.value, found.name, typed, number.step)


def _example(wanted: _units.Unit | None) -> str:
    if wanted is None:
        return "0.25 mm"
    return f"0.25 {wanted.name}" if wanted.name != "1" else "0.25"


def _bare(number: Number, wanted: _units.Unit | None, text: str, example: str) -> _units.Unit:
    if wanted is None:
        raise QuantityError(f"{quoted(text)} has no unit: write it after the number, like '{example}'")
    if number.is_fraction and wanted.name in _METRIC_LENGTHS:
        raise QuantityError(
            f"{quoted(text)} is a fraction without a unit where {wanted.name} is wanted: "
            f"write '{text} in' if it is inches, or '{number.value:g} {wanted.name}'"
        )
    return wanted


def _unknown(text: str, rest: str, wanted: _units.Unit | None, example: str) -> str:
    if re.search(_THREAD, text):
        return f"{quoted(text)} is a thread, not one number: write it where a thread is asked for"
    if rest[0] in "-/+x×*" or re.search(_SECOND_NUMBER, " " + rest) or _begins_with_unit(rest):
        return f"{quoted(text)} has more than one number or unit: write one of each, like '{example}'"
    if wanted is not None:
        likely = ", ".join(_units.near(rest, wanted.kind, wanted.name))
        return f"{quoted(rest)} is not a unit of {wanted.kind}: write one of {likely}"
    guesses = " or ".join(_units.near(rest)[:4])
    hint = f"did you mean {guesses}?" if guesses else f"write for example '{example}'"
    return f"there is no unit {quoted(rest)} in the list: {hint}"


def _begins_with_unit(rest: str) -> bool:
    words = rest.split()
    return any(_units.find(" ".join(words[:n])) for n in range(1, len(words)))


def _wrong_kind(text: str, found: _units.Unit, wanted: _units.Unit) -> str:
    return (
        f"{quoted(text)} is {found.kind}, where {wanted.kind} is wanted: "
        f"write it in {', '.join(_units.of_kind(wanted)[:8])}"
    )
