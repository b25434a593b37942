"""The box at the top of a sheet: shown by an early cell, and filled in by the last one."""

from __future__ import annotations

from restonb.bench._look import Shown

__all__ = ["Top"]


class Top:
    """One output that a later cell replaces; where there is no notebook, it is shown as it stands."""

    def __init__(self, sheet: str) -> None:
        self._id = f"restonb-{sheet}-summary"
        self._live = False

    def show(self, shown: Shown) -> Shown | None:
        """The output to be replaced later; None where a notebook has shown it already."""
        from IPython.core.getipython import get_ipython

        if get_ipython() is None:
            return shown
        from IPython.display import display

        display(shown, display_id=self._id)  # type: ignore[no-untyped-call]
        self._live = True
        return None

    def update(self, shown: Shown) -> bool:
        """Put this in its place; False where there is no such place: no early cell has shown the box."""
        if self._live:
            from IPython.display import update_display

            update_display(shown, display_id=self._id)  # type: ignore[no-untyped-call]
        return self._live
