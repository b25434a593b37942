"""Charts: matplotlib figures, one function per question asked. matplotlib is loaded when the first one is."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from restonb.charts._export import describe, png, svg
    from restonb.charts._look import style
    from restonb.charts.occasions import before_after
    from restonb.charts.positions import position_map
    from restonb.charts.seating import seating_map
    from restonb.charts.tolerance import tolerance_bars

__all__ = [
    "before_after",
    "describe",
    "png",
    "position_map",
    "seating_map",
    "style",
    "svg",
    "tolerance_bars",
]

_HOMES = {
    "before_after": "occasions",
    "describe": "_export",
    "png": "_export",
    "position_map": "positions",
    "seating_map": "seating",
    "style": "_look",
    "svg": "_export",
    "tolerance_bars": "tolerance",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return __all__
