"""The widget: the page on one side, the desk on the other, messages between them, and no state of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import anywidget

from restonb.bench import _tables
from restonb.bench._live import both, joined, show_live
from restonb.bench._look import Shown
from restonb.bench.readings_grid.desk import Desk
from restonb.measure import Characteristic

if TYPE_CHECKING:
    from restonb.bench.basis import Basis

__all__ = ["EntryGrid"]

SCRIPT = tuple(f"readings_grid/{name}.js" for name in ("parts", "queue", "plan", "head", "field", "readings_grid"))
STYLE = ("readings_grid/readings_grid.css",)


class EntryGrid(anywidget.AnyWidget):
    """Fields to type readings into, where they lie on the part. Shown as a table where there is no kernel."""

    def __init__(self, sheet: Basis, row: Characteristic, occasion: str, only: bool = False) -> None:
        self._desk = Desk(sheet, row, occasion, only)
        self._esm, self._css = joined(*SCRIPT), joined(*STYLE)
        super().__init__()
        self.on_msg(self._hear)

    def _hear(self, _widget: Any, message: Any, buffers: list[Any]) -> None:
        self.send(self._desk.answer(message, buffers))

    def _table(self) -> Shown:
        sheet, row = self._desk.sheet, self._desk.row
        found, spoiled = sheet.evidence.standing(row.key, self._desk.asked if self._desk.only else None)
        return _tables.measured(row, found, spoiled, sheet.build, self._desk.asked)

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return both(super()._repr_mimebundle_(**kwargs), self._table())

    def _ipython_display_(self) -> None:
        show_live(super()._repr_mimebundle_(), self._table())

    def __repr__(self) -> str:
        return f"entry grid of {self._desk.row.key}"
