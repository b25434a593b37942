"""How a unit seats on its feet: which carry, how it rocks, which shims cure it, and whether tightening bends it."""

from restonb.formulas.seating._rest import Rested, rest
from restonb.formulas.seating._shims import Plan, shims

__all__ = ["Plan", "Rested", "rest", "shims"]
