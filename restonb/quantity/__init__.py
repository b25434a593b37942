"""Shop quantities: read what a person types, write what a person reads."""

import sys
from types import ModuleType

from restonb.quantity._dates import days_of, read_date, span_of, write_date
from restonb.quantity._drills import DRILL_SETS, Drill, read_drill, standard_drills
from restonb.quantity._materials import Material, material, materials
from restonb.quantity._quantity import Quantity, read
from restonb.quantity._threads import Thread, read_thread, standard_threads
from restonb.quantity._units import (
    Unit,
    convert,
    convert_difference,
    kinds,
    names_of,
    same_kind,
    unit,
    unit_of_difference,
    unit_to_show,
    units,
)
from restonb.quantity._write import write, write_number
from restonb.quantity.bridge import as_pint, from_pint
from restonb.quantity.digits import result_number, result_text, uncertainty_of

__all__ = [
    "DRILL_SETS",
    "Drill",
    "Material",
    "Quantity",
    "Thread",
    "Unit",
    "as_pint",
    "convert",
    "convert_difference",
    "days_of",
    "from_pint",
    "kinds",
    "material",
    "materials",
    "names_of",
    "read",
    "read_date",
    "read_drill",
    "read_thread",
    "result_number",
    "result_text",
    "same_kind",
    "span_of",
    "standard_drills",
    "standard_threads",
    "uncertainty_of",
    "unit",
    "unit_of_difference",
    "unit_to_show",
    "units",
    "write",
    "write_date",
    "write_number",
]


class _Room(ModuleType):
    """This room, which answers when it is called: `restonb.quantity("10 thou")` reads a quantity, as `read` does."""

    def __call__(self, text: str, unit: str | None = None) -> Quantity:
        return read(text, unit)


sys.modules[__name__].__class__ = _Room  # the one way in which a package can be called (Python reference, 3.3.2.1)
