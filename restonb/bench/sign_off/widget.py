"""The widget of a sign-off: the same messages and the same look as the entry grid."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import anywidget

from restonb.bench._live import both, joined, show_live
from restonb.bench.sign_off.desk import SignDesk
from restonb.bench.sign_off.shown import joint_shown

if TYPE_CHECKING:
    from restonb.bench.basis import Basis

__all__ = ["SignOff"]

SCRIPT = ("readings_grid/parts.js", "readings_grid/queue.js", "sign_off/pattern.js", "sign_off/sign_off.js")
STYLE = ("readings_grid/readings_grid.css", "sign_off/sign_off.css")


class SignOff(anywidget.AnyWidget):
    """A joint tightened in stages and signed off. Shown as a pattern and a table where there is no kernel."""

    def __init__(self, sheet: Basis, joint: str) -> None:
        self._desk = SignDesk(sheet, joint)
        self._esm, self._css = joined(*SCRIPT), joined(*STYLE)
        super().__init__()
        self.on_msg(self._hear)

    def _hear(self, _widget: Any, message: Any, buffers: list[Any]) -> None:
        self.send(self._desk.answer(message, buffers))

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return both(super()._repr_mimebundle_(**kwargs), joint_shown(self._desk.sheet, self._desk.joint.key))

    def _ipython_display_(self) -> None:
        show_live(super()._repr_mimebundle_(), joint_shown(self._desk.sheet, self._desk.joint.key))

    def __repr__(self) -> str:
        return f"sign-off of {self._desk.joint.key}"
