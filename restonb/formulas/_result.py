"""What a formula answers with: what was put in, the numbers worked out, and all that these stand on."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from restonb.errors import FormulaError
from restonb.formulas import _show

if TYPE_CHECKING:
    from restonb.formulas._core import Formula

__all__ = ["Given", "Part", "Result"]


@dataclasses.dataclass(frozen=True, slots=True)
class Given:
    """One argument as it was put in: plain value in the declared unit, and its standard uncertainty if it has one."""

    name: str
    value: Any
    unit: str | None
    what: str
    typed: str = ""
    u: float | None = None
    stands_for: str = ""
    symbol: str = ""

    @property
    def label(self) -> str:
        """What it means, behind the symbol that stands for it in the formula's text: 'F, wanted preload'."""
        return _show.called(self.symbol, self.what or self.name)


@dataclasses.dataclass(frozen=True, slots=True)
class Part:
    """One number of a result, in its declared unit, with its standard uncertainty where the inputs have one."""

    name: str
    value: Any
    unit: str | None
    what: str
    u: float | None = None
    symbol: str = ""

    @property
    def label(self) -> str:
        """What it means, behind the symbol that stands for it in the formula's text: 'F, wanted preload'."""
        return _show.called(self.symbol, self.what or self.name)


class Result:
    """The answer of a formula with everything that it stands on.

    `value` is what the plain function returned; `parts` are its numbers with units. `float(result)` works where
    there is one number; the fields of a result of several parts are attributes of the result.
    """

    def __init__(self, of: Formula[..., Any], given: tuple[Given, ...], value: Any, parts: tuple[Part, ...]) -> None:
        self.formula = of
        self.given = given
        self.value = value
        self.parts = parts

    def __getattr__(self, name: str) -> Any:
        value = self.__dict__.get("value")
        if dataclasses.is_dataclass(value) and not name.startswith("_"):
            return getattr(value, name)
        raise AttributeError(f"{type(self).__name__} has no {name!r}")

    def __dir__(self) -> list[str]:
        own = [n for n in super().__dir__() if not n.startswith("__")]
        return own + [p.name for p in self.parts]

    def __getitem__(self, name: str) -> Part:
        for part in self.parts:
            if part.name == name:
                return part
        raise FormulaError(
            f"{self.formula.name} has no result '{name}'; take one of {', '.join(p.name for p in self.parts)}"
        )

    def __iter__(self) -> Iterator[Part]:
        return iter(self.parts)

    def __float__(self) -> float:
        if isinstance(self.value, (int, float)):
            return float(self.value)
        raise FormulaError(
            f"{self.formula.name} answers with several numbers; take one of {', '.join(p.name for p in self.parts)}"
        )

    @property
    def unit(self) -> str | None:
        """Unit of the number where there is one; None for a result of several parts."""
        return self.parts[0].unit if len(self.parts) == 1 else None

    @property
    def u(self) -> float | None:
        """Standard uncertainty of the number where there is one and the inputs have one."""
        return self.parts[0].u if len(self.parts) == 1 else None

    def to(self, unit: str) -> float:
        """The number in another unit of the same kind."""
        from restonb.quantity import convert

        if self.unit is None:
            float(self)
            raise FormulaError(f"{self.formula.name} has no unit")
        return float(convert(float(self), self.unit, unit))

    def texts(self, field: str) -> tuple[str, ...]:
        """The notes, steps or cautions that belong to this result."""
        own = tuple(getattr(self.value, field, ())) if dataclasses.is_dataclass(self.value) else ()
        of_tables = self.formula.remarks(**{g.name: g.value for g in self.given}) if field == "notes" else ()
        return (*own, *of_tables)

    def working(self) -> str:
        """The formula, the numbers put in, the result, the source and the limits of use, as lines of text."""
        return _show.as_text(self)

    def data(self) -> dict[str, Any]:
        """Plain numbers with units, ready for JSON."""
        return _show.as_data(self)

    def _repr_html_(self) -> str:
        return _show.as_html(self)

    def __repr__(self) -> str:
        return self.working()
