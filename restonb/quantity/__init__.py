"""Shop quantities: read what a person types, write what a person reads."""

from restonb.quantity._quantity import Quantity, read
from restonb.quantity._units import (
    Unit,
    convert,
    convert_difference,
    kinds,
    names_of,
    same_kind,
    shown,
    unit,
    units,
)
from restonb.quantity._write import write, write_number

__all__ = [
    "Quantity",
    "Unit",
    "convert",
    "convert_difference",
    "kinds",
    "names_of",
    "read",
    "same_kind",
    "shown",
    "unit",
    "units",
    "write",
    "write_number",
]
