"""The widget: the page on one side, the desk on the other, messages between them, and no state of its own."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import anywidget

from restonb.bench.grid.desk import Desk
from restonb.measure import Characteristic

if TYPE_CHECKING:
    from restonb.bench.sheet import Sheet

__all__ = ["EntryGrid"]

_SCRIPTS = ("parts.js", "queue.js", "plan.js", "head.js", "field.js", "grid.js")


class EntryGrid(anywidget.AnyWidget):
    """Fields to type readings into, where they lie on the part. Shown as a table where there is no kernel."""

    def __init__(self, sheet: Sheet, row: Characteristic, occasion: str) -> None:
        self._desk = Desk(sheet, row, occasion)
        self._esm, self._css = script(), style()
        super().__init__()
        self.on_msg(self._hear)

    def _hear(self, _widget: Any, message: Any, buffers: list[Any]) -> None:
        self.send(self._desk.answer(message, buffers))

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        """The widget, and beside it the readings as they stand now, for whoever reads the notebook without a kernel."""
        from restonb.bench import _tables

        desk, bundle = self._desk, super()._repr_mimebundle_(**kwargs)
        data, metadata = bundle if isinstance(bundle, tuple) else (bundle, {})
        found, spoiled = desk.sheet.evidence.standing(desk.row.key)
        shown = _tables.measured(desk.row, found, spoiled, desk.sheet.build)
        return {**(data or {}), **shown._repr_mimebundle_()}, metadata

    def __repr__(self) -> str:
        return f"entry grid of {self._desk.row.key}"


@lru_cache(maxsize=1)
def script() -> str:
    """The files of the page, one after another: a widget is one module, and nothing needs building."""
    folder = files("restonb.bench.grid")
    return "\n".join(folder.joinpath(name).read_text(encoding="utf-8") for name in _SCRIPTS)


@lru_cache(maxsize=1)
def style() -> str:
    return files("restonb.bench.grid").joinpath("grid.css").read_text(encoding="utf-8")
