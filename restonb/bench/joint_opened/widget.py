"""The widget: a small panel below the joints of a sheet, with the same messages and the same look as the entry grid."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import anywidget

from restonb.bench._live import both, joined, show_live
from restonb.bench._look import Shown
from restonb.bench.joint_opened.desk import OpeningDesk

if TYPE_CHECKING:
    from restonb.bench.basis import Basis

__all__ = ["Opening"]

SCRIPT = ("readings_grid/parts.js", "readings_grid/queue.js", "joint_opened/joint_opened.js")
STYLE = ("readings_grid/readings_grid.css", "joint_opened/joint_opened.css")
_ELSEWHERE = "A joint that was opened is entered with: restonb disturb JOINT --why REASON"


class Opening(anywidget.AnyWidget):
    """Says that a joint of this sheet was opened. Shown as the command that does the same where there is no kernel."""

    def __init__(self, sheet: Basis) -> None:
        self._desk = OpeningDesk(sheet)
        self._esm, self._css = joined(*SCRIPT), joined(*STYLE)
        super().__init__()
        self.on_msg(self._hear)

    def _hear(self, _widget: Any, message: Any, buffers: list[Any]) -> None:
        self.send(self._desk.answer(message, buffers))

    def _shown(self) -> Shown:
        return Shown(f'<p class="small">{_ELSEWHERE}</p>', _ELSEWHERE)

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return both(super()._repr_mimebundle_(**kwargs), self._shown())

    def _ipython_display_(self) -> None:
        show_live(super()._repr_mimebundle_(), self._shown())

    def __repr__(self) -> str:
        return f"joints of {self._desk.sheet.key} that can be opened"
