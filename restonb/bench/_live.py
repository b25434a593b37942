"""A widget in a notebook, and what stands in for it when the notebook is opened without the kernel that it had."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from importlib.resources import files
from typing import Any

from restonb.bench._look import Shown

__all__ = ["Several", "both", "joined", "show_live"]

_NOTE = "As it was when this sheet was last run. Run > Run All Cells brings the fields back, with what is in force now."
_HIDE = (
    "<style>.jp-OutputArea:has(.restonb-standin) > .jp-OutputArea-child"
    ":has(> .jupyter-widgets):not(:has(.restonb-grid)):not(:has(.restonb-standin)) { display: none; }</style>"
)
"""Instead of the table, JupyterLab shows an error where a widget was whose kernel is gone."""


class Several:
    """Fields and tables one below the other, each shown as it shows itself."""

    def __init__(self, parts: Sequence[Any]) -> None:
        self.parts = tuple(parts)

    def _ipython_display_(self) -> None:
        from IPython import display as ipython

        show: Any = ipython.display
        for part in self.parts:
            show(part)

    def __repr__(self) -> str:
        return "\n".join(map(repr, self.parts))


def both(bundle: Any, shown: Shown) -> tuple[dict[str, Any], dict[str, Any]]:
    """The MIME bundle of a widget with the same as a table, for whoever cannot show the widget."""
    data, metadata = bundle if isinstance(bundle, tuple) else (bundle, {})
    return {**(data or {}), **shown._repr_mimebundle_()}, metadata


def show_live(bundle: Any, shown: Shown) -> None:
    """Show the table, and then the widget, whose style hides the table for as long as it is there."""
    from IPython import display as ipython

    display: Any = ipython.display
    note = Shown(
        f'<div class="restonb-standin">{_HIDE}<p class="todo">{_NOTE}</p>{shown.html}</div>', f"{_NOTE}\n{shown.text}"
    )
    data, metadata = bundle if isinstance(bundle, tuple) else (bundle, {})
    display(note._repr_mimebundle_(), raw=True)
    display(data or {}, metadata=metadata, raw=True)


@lru_cache(maxsize=8)
def joined(*names: str) -> str:
    """The files of a page, one after another: a widget is one module, and nothing needs building."""
    folder = files("restonb.bench")
    return "\n".join(folder.joinpath(name).read_text(encoding="utf-8") for name in names)
