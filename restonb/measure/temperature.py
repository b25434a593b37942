"""Lengths at the reference temperature of 20 degC (ISO 1), and what an unknown expansion leaves open.

All of it holds for a part and a gauge that have each one temperature throughout: let them lie for an hour first
(common practice). The expansion of common materials: `restonb.quantity.material("aluminium").expansion`.
"""

from __future__ import annotations

from restonb.errors import MeasureError

__all__ = ["REFERENCE", "STEEL", "length_at_20", "unknown_expansion"]

REFERENCE = 20.0
"""degC, ISO 1."""

STEEL = 11.5e-6
"""1/K: gauges and plain carbon steel (handbook means 11 to 12), as in the table of `restonb.quantity.materials`."""

_LEAST, _MOST = 8.6e-6, 26.0e-6
"""Metals of a motorcycle lie between titanium and magnesium alloy."""


def length_at_20(
    indicated: float, part: float, expansion: float, gauge: float = REFERENCE, gauge_expansion: float = STEEL
) -> float:
    """Length at 20 degC from the length indicated: L20 = L (1 + a_g (T_g - 20)) / (1 + a_p (T_p - 20)), ISO 1.

    `part` and `gauge` are temperatures in degC, expansions in 1/K; the length in any unit. A gauge that is itself
    at 20 degC shows the true length at the part's temperature. Handbook means hold from -40 to 250 degC only:
    beyond, MeasureError.
    """
    for what, celsius in (("part", part), ("gauge", gauge)):
        if not -40.0 <= celsius <= 250.0:
            raise MeasureError(f"{what} at {celsius:g} degC; measure it between -40 and 250 degC, best at 20")
    for coefficient in (expansion, gauge_expansion):
        if not 0.0 <= coefficient < 1e-3:
            raise MeasureError(f"an expansion of {coefficient:g} per K; steel is 11.5e-6, aluminium 23.5e-6")
    return indicated * (1 + gauge_expansion * (gauge - REFERENCE)) / (1 + expansion * (part - REFERENCE))


def unknown_expansion(length: float, celsius: float, gauge_expansion: float = STEEL) -> float:
    """By how much, either way, a length may be off at 20 degC if all that is known of the part is that it is metal."""
    widest = max(abs(a - gauge_expansion) for a in (_LEAST, _MOST))
    return abs(length * (celsius - REFERENCE)) * widest
