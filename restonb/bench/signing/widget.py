"""The widget of a sign-off: the same messages and the same look as the entry grid."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import anywidget

from restonb.bench.signing.desk import SignDesk
from restonb.bench.signing.shown import joint_shown

if TYPE_CHECKING:
    from restonb.bench.sheet import Sheet

__all__ = ["SignOff"]

_SCRIPTS = ("grid/parts.js", "grid/queue.js", "signing/pattern.js", "signing/signing.js")
_STYLES = ("grid/grid.css", "signing/signing.css")


class SignOff(anywidget.AnyWidget):
    """A joint tightened in stages and signed off. Shown as a pattern and a table where there is no kernel."""

    def __init__(self, sheet: Sheet, joint: str) -> None:
        self._desk = SignDesk(sheet, joint)
        self._esm, self._css = _joined(_SCRIPTS), _joined(_STYLES)
        super().__init__()
        self.on_msg(self._hear)

    def _hear(self, _widget: Any, message: Any, buffers: list[Any]) -> None:
        self.send(self._desk.answer(message, buffers))

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        bundle = super()._repr_mimebundle_(**kwargs)
        data, metadata = bundle if isinstance(bundle, tuple) else (bundle, {})
        return {**(data or {}), **joint_shown(self._desk.sheet, self._desk.joint.key)._repr_mimebundle_()}, metadata

    def __repr__(self) -> str:
        return f"sign-off of {self._desk.joint.key}"


@lru_cache(maxsize=4)
def _joined(names: tuple[str, ...]) -> str:
    folder = files("restonb.bench")
    return "\n".join(folder.joinpath(name).read_text(encoding="utf-8") for name in names)
