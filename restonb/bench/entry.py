"""Where readings are entered in a live notebook."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from restonb.bench.sheet import Sheet

__all__ = ["entry_grid"]


def entry_grid(sheet: Sheet, characteristic: str, occasion: str) -> Any | None:
    """The grid to type readings into; None where only a table can be shown."""
    return None
