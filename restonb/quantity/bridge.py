"""The only place that knows pint: for people who go on calculating with it in a notebook of their own."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from restonb.errors import QuantityError
from restonb.quantity import _units
from restonb.quantity._quantity import Quantity

if TYPE_CHECKING:
    import pint

__all__ = ["as_pint", "from_pint"]


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def as_pint(quantity: Quantity) -> pint.Quantity[Any]:
    """The quantity for pint. Its unit is built from our own list, so pint never reads what a person typed."""
    registry = _registry()
    return registry.Quantity(quantity.value, registry.parse_units(_units.unit(quantity.unit).pint))


def from_pint(value: pint.Quantity[Any], unit: str) -> Quantity:
    """A pint quantity in a unit of our list. pint cannot tell torque from energy, so the unit must be named.

    Raises QuantityError if the dimensions differ or the value is not a single number.
    """
    import pint

    one = _units.unit(unit)
    try:
        magnitude = value.to(one.pint).magnitude
        return Quantity(float(magnitude), one.name)
    except pint.DimensionalityError as error:
        raise QuantityError(f"this value cannot become {one.name}: {error}; name a fitting unit") from None
    except (TypeError, ValueError):
        raise QuantityError("only one number can become a quantity: take one element of the array") from None
