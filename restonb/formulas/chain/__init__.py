"""Roller chain: length and centre distance, sprockets, wear, slack, standard sizes."""

from restonb.formulas.chain.drive import centre_distance, length, links, pitch_diameter
from restonb.formulas.chain.sizes import size
from restonb.formulas.chain.wear import elongation, elongation_limit, slack

__all__ = [
    "centre_distance",
    "elongation",
    "elongation_limit",
    "length",
    "links",
    "pitch_diameter",
    "size",
    "slack",
]
