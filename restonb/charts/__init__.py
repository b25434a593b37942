"""Charts: matplotlib figures, one function per question asked. matplotlib is loaded when the first one is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from restonb._face import face

if TYPE_CHECKING:
    from restonb.charts._export import describe as describe
    from restonb.charts._export import png as png
    from restonb.charts._export import svg as svg
    from restonb.charts._look import style as style
    from restonb.charts._paired import named as named
    from restonb.charts._paired import paired as paired
    from restonb.charts.bolts import bolt_pattern as bolt_pattern
    from restonb.charts.budget import budget_bars as budget_bars
    from restonb.charts.budget import stack_contributions as stack_contributions
    from restonb.charts.electrical import balance_bars as balance_bars
    from restonb.charts.electrical import voltage_drop as voltage_drop
    from restonb.charts.history import reading_history as reading_history
    from restonb.charts.joints import joint_tree as joint_tree
    from restonb.charts.occasions import before_after as before_after
    from restonb.charts.positions import position_map as position_map
    from restonb.charts.runout import runout_polar as runout_polar
    from restonb.charts.seating import seating_map as seating_map
    from restonb.charts.section import thread_section as thread_section
    from restonb.charts.tolerance import tolerance_bars as tolerance_bars
    from restonb.charts.wear import wear_trend as wear_trend

_HOMES = {
    "_export": "describe png svg",
    "_look": "style",
    "_paired": "named paired",
    "bolts": "bolt_pattern",
    "budget": "budget_bars stack_contributions",
    "electrical": "balance_bars voltage_drop",
    "history": "reading_history",
    "joints": "joint_tree",
    "occasions": "before_after",
    "positions": "position_map",
    "runout": "runout_polar",
    "seating": "seating_map",
    "section": "thread_section",
    "tolerance": "tolerance_bars",
    "wear": "wear_trend",
}
"""Module -> what it gives to other rooms. After a change: python tests/structure/faces.py"""

__all__, __getattr__, __dir__ = face(__name__, _HOMES)
