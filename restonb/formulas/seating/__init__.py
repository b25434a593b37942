"""How a unit seats on its feet: which carry, how it rocks, which shims cure it, and whether tightening bends it."""

from restonb.formulas.seating._rest import Rested, rest
from restonb.formulas.seating._shims import Plan, shims
from restonb.formulas.seating._stack import Stack, stack
from restonb.formulas.seating._tighten import Flex, Strain, flex, strain

__all__ = ["Flex", "Plan", "Rested", "Stack", "Strain", "flex", "rest", "shims", "stack", "strain"]
