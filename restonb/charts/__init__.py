"""Charts: matplotlib figures, one function per question asked. matplotlib is loaded when the first one is."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from restonb.charts._export import describe, png, svg
    from restonb.charts._look import style
    from restonb.charts._paired import named, paired
    from restonb.charts.bolts import bolt_pattern
    from restonb.charts.budget import budget_bars, stack_contributions
    from restonb.charts.electrical import balance_bars, voltage_drop
    from restonb.charts.history import reading_history
    from restonb.charts.joints import joint_tree
    from restonb.charts.occasions import before_after
    from restonb.charts.positions import position_map
    from restonb.charts.runout import runout_polar
    from restonb.charts.seating import seating_map
    from restonb.charts.section import thread_section
    from restonb.charts.tolerance import tolerance_bars
    from restonb.charts.wear import wear_trend

__all__ = [
    "balance_bars",
    "before_after",
    "bolt_pattern",
    "budget_bars",
    "describe",
    "joint_tree",
    "named",
    "paired",
    "png",
    "position_map",
    "reading_history",
    "runout_polar",
    "seating_map",
    "stack_contributions",
    "style",
    "svg",
    "thread_section",
    "tolerance_bars",
    "voltage_drop",
    "wear_trend",
]

_HOMES = {
    "balance_bars": "electrical",
    "before_after": "occasions",
    "bolt_pattern": "bolts",
    "budget_bars": "budget",
    "describe": "_export",
    "joint_tree": "joints",
    "named": "_paired",
    "paired": "_paired",
    "png": "_export",
    "position_map": "positions",
    "reading_history": "history",
    "runout_polar": "runout",
    "seating_map": "seating",
    "stack_contributions": "budget",
    "style": "_look",
    "svg": "_export",
    "thread_section": "section",
    "tolerance_bars": "tolerance",
    "voltage_drop": "electrical",
    "wear_trend": "wear",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return __all__
