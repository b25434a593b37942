"""The closed list of units (`units.csv`): looking one up, and converting between two of the same kind.

A factor is exact: a fraction, and whether pi stands beside it. SI value = value x factor + offset.
The file is read on first use and imports wait until then, so that a command that shows nothing costs nothing.
"""

from __future__ import annotations

import math
import os
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple, overload

from restonb import words
from restonb.errors import QuantityError
from restonb.quantity._text import quoted, tidy

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

__all__ = [
    "Unit",
    "convert",
    "convert_difference",
    "find",
    "kinds",
    "names_of",
    "near",
    "of_kind",
    "same_kind",
    "unit",
    "unit_of_difference",
    "unit_to_show",
    "units",
]


class Unit(NamedTuple):
    """One unit of the list. SI value = value x `factor` + `offset`; `ucum` is its code for machines."""

    name: str
    kind: str
    ucum: str
    symbol: str = ""
    """As it is written for a reader: '°C' where the name, for files and code, is 'degC'."""
    aliases: tuple[str, ...] = ()
    pint: str = ""
    """The expression that the factor is checked against."""
    factor_written: str = "1"
    """As in the file, '5/9' or '2*pi': worked out where it is needed, since a command needs few of the units."""
    offset_written: str = "0"

    @property
    def factor(self) -> float:
        above, below, with_pi = _exact(self.factor_written)
        return above / below * (math.pi if with_pi else 1.0)

    @property
    def offset(self) -> float:
        above, below, _ = _exact(self.offset_written)
        return above / below


def _product(text: str) -> tuple[int, int, bool]:
    """'2*pi' or '459.67*5' as numerator, denominator and whether pi is among its terms."""
    from decimal import Decimal

    above, below, with_pi = 1, 1, False
    for term in text.split("*"):
        if term == "pi":
            with_pi = True
        else:
            n, d = Decimal(term).as_integer_ratio()
            above, below = above * n, below * d
    return above, below, with_pi


@cache
def _exact(text: str) -> tuple[int, int, bool]:
    """A factor or offset as the file writes it, without rounding: whole numbers, since to load what handles
    fractions takes longer than to read a build.
    """
    above, _, below = text.partition("/")
    n, d, with_pi = _product(above)
    over, under, _ = _product(below or "1")
    return n * under, d * over, with_pi


@cache
def units() -> Mapping[str, Unit]:
    """Every unit by its name, in the order of the file: the first of a kind is the usual one."""
    import csv

    table: dict[str, Unit] = {}
    path = os.path.join(os.path.dirname(__file__), "units.csv")
    with open(path, encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        for name, symbol, aliases, kind, factor, offset, ucum, expression in rows:
            spellings = tuple(alias for alias in aliases.split(";") if alias)
            table[name] = Unit(name, kind, ucum, symbol, spellings, expression, factor, offset)
    return table


@cache
def kinds() -> tuple[str, ...]:
    """Every kind of quantity, in the order of the file."""
    return tuple(dict.fromkeys(one.kind for one in units().values()))


def names_of(kind: str) -> tuple[str, ...]:
    """The names of the units of one kind, the usual one first."""
    return tuple(one.name for one in units().values() if one.kind == kind)


def of_kind(wanted: Unit) -> tuple[str, ...]:
    """The names of all units of a unit's kind, its own first."""
    return tuple(dict.fromkeys((wanted.name, *names_of(wanted.kind))))


def _spellings(one: Unit) -> Iterator[str]:
    yield one.name
    yield one.symbol
    yield from one.aliases


@cache
def _by_spelling() -> Mapping[str, Unit]:
    return {tidy(text): one for one in units().values() for text in _spellings(one)}


@cache
def _by_lower() -> Mapping[str, tuple[str, ...]]:
    """Spellings in lower case -> as they are written; more than one where capitals decide."""
    table: dict[str, set[str]] = {}
    for text in _by_spelling():
        table.setdefault(text.lower(), set()).add(text)
    return {low: tuple(sorted(texts)) for low, texts in table.items()}


@cache
def _lower_of_kind(kind: str | None) -> Mapping[str, str]:
    """Spellings in lower case, of one kind or of all, with the name of their unit."""
    return {
        tidy(spelling).lower(): one.name
        for one in units().values()
        if kind in (None, one.kind)
        for spelling in _spellings(one)
    }


@lru_cache(maxsize=1024)
def find(text: str) -> Unit | None:
    """The unit that a spelling means, or None. Capitals are forgiven unless they could be a prefix (m, M)."""
    tidied = tidy(text)
    known = _by_spelling()
    if tidied in known:
        return known[tidied]
    meant = {known[one].name: one for one in _by_lower().get(tidied.lower(), ())}
    if len(meant) != 1:
        return None
    (spelling,) = meant.values()
    if tidied[0] in "mM" and tidied[0] != spelling[0]:
        return None
    return known[spelling]


def near(text: str, kind: str | None = None, first: str = "", most: int = 8) -> tuple[str, ...]:
    """Names of units that the text may have meant, the likeliest first.

    If a kind is given they are of that kind, with the one named `first`; where nothing in it is near, all its units.
    """
    wanted = names_of(kind) if kind else tuple(units())
    tidied = tidy(text).lower()
    likely: dict[str, None] = {}
    by_lower = _lower_of_kind(kind)
    for match in words.near(tidied, by_lower, most):
        likely[by_lower[match]] = None
    if kind:
        own = (first,) if first else ()
        likely.update(dict.fromkeys(own if likely and own else (*own, *wanted)))
    return tuple(likely)[:most]


def unit(name: str) -> Unit:
    """The unit of that name or of one of its spellings.

    Raises QuantityError, naming near units, if there is none.
    """
    if not isinstance(name, str):
        raise QuantityError(f"a unit is text, not {type(name).__name__}: write for example 'mm'")
    found = find(name)
    if found is not None:
        return found
    guesses = near(name)
    hint = f"did you mean {' or '.join(guesses[:4])}?" if guesses else "write for example mm, in, N m or V"
    raise QuantityError(f"there is no unit {quoted(name)} in the list: {hint}")


def same_kind(a: str, b: str) -> bool:
    """Whether two units measure the same kind of thing: N m and ft-lb do, N m and J do not."""
    return unit(a).kind == unit(b).kind


def unit_to_show(kind_or_unit: str, units_to_show: Mapping[str, str]) -> str:
    """The person's unit for a kind ('length') or for whatever kind a unit has.

    `units_to_show` maps a kind, or one unit, to the unit to show; whatever it does not name keeps its own
    unit, and a kind its usual one. A unit a thousand times larger or smaller than the one to show for its kind
    keeps itself: who wants lengths in mm does not want a stopping distance in mm. Raises QuantityError for an unknown unit, or one of another kind.
    """
    if kind_or_unit in kinds():
        kind, own = kind_or_unit, names_of(kind_or_unit)[0]
    else:
        one = unit(kind_or_unit)
        kind, own = one.kind, one.name
    wanted = units_to_show.get(own, units_to_show.get(kind))
    if wanted is None:
        return own
    chosen = unit(wanted)
    if chosen.kind == kind and own not in units_to_show and kind_or_unit not in kinds():
        ratio = unit(own).factor / chosen.factor
        if not 1e-3 < ratio < 999:
            return own
    if chosen.kind != kind:
        raise QuantityError(
            f"{quoted(wanted)} is a unit of {chosen.kind}, not of {kind}: write one of {', '.join(names_of(kind))}"
        )
    return chosen.name


_DIFFERENCES = {"temperature": "temperature difference"}
"""What the difference of two values of a kind is, where it is another kind."""


def unit_of_difference(name: str) -> str:
    """The unit in which the difference of two values is written: days for dates, else the unit itself."""
    one = unit(name)
    return "d" if one.kind == "date" else one.name


class _Step(NamedTuple):
    """From one unit to another: value x num/den + shift/over, times pi where one of the two has it."""

    num: int
    den: int
    shift: int
    over: int
    pi: float


@lru_cache(maxsize=1024)
def _step(from_unit: str, to_unit: str, of_differences: bool) -> _Step:
    a, b = unit(from_unit), unit(to_unit)
    kinds_of = [_DIFFERENCES.get(one.kind, one.kind) if of_differences else one.kind for one in (a, b)]
    if kinds_of[0] != kinds_of[1]:
        raise _refuse(a, b)
    (an, ad, a_pi), (bn, bd, b_pi) = _exact(a.factor_written), _exact(b.factor_written)
    (ao, au, _), (bo, bu, _) = _exact(a.offset_written), _exact(b.offset_written)
    shift = (ao * bu - bo * au) * bd * (not of_differences)
    return _Step(an * bd, ad * bn, shift, au * bu * bn, math.pi ** (int(a_pi) - int(b_pi)))


def _refuse(a: Unit, b: Unit) -> QuantityError:
    return QuantityError(
        f"{a.name} is a unit of {a.kind} and cannot become {b.name}, a unit of {b.kind}: "
        f"write one of {', '.join(names_of(a.kind)[:8])}"
    )


@overload
def convert(values: float, from_unit: str, to_unit: str) -> float: ...
@overload
def convert(values: NDArray[Any], from_unit: str, to_unit: str) -> NDArray[Any]: ...
def convert(values: Any, from_unit: str, to_unit: str) -> Any:
    """Values (a float, or an array of any shape) in another unit of the same kind.

    A single float is taken as the decimal that it prints as and converted exactly, so that 0.3 in is 7.62 mm.
    Raises QuantityError for an unknown unit or another kind.
    """
    return _take(values, _step(from_unit, to_unit, False))


@overload
def convert_difference(values: float, from_unit: str, to_unit: str) -> float: ...
@overload
def convert_difference(values: NDArray[Any], from_unit: str, to_unit: str) -> NDArray[Any]: ...
def convert_difference(values: Any, from_unit: str, to_unit: str) -> Any:
    """Differences (uncertainties, resolutions, tolerances) in another unit: no offset, 1 degC is 1.8 degF.

    A temperature's difference may be asked for in K. Raises QuantityError as `convert` does.
    """
    return _take(values, _step(from_unit, to_unit, True))


def _take(values: Any, step: _Step) -> Any:
    num, den, shift, over, pi = step
    if not isinstance(values, int | float):
        return values * (num / den * pi) + shift / over
    value = float(values)
    if not math.isfinite(value):
        return value
    from decimal import Decimal

    n, d = Decimal(repr(value)).as_integer_ratio()
    try:
        # one division of whole numbers, so the result is the nearest float
        return (n * num * over + shift * d * den) / (d * den * over) * pi
    except OverflowError:
        return math.copysign(math.inf, value)
