"""What stands in for an answer while something is not measured, not given, or refused by a formula."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import Any

__all__ = ["NotYet"]


class NotYet:
    """An answer that cannot be worked out yet. It is false, shows what is missing, and so do all its parts.

    `missing`: what is to be measured or stated first, or why a formula refused; each in words of its own.
    """

    def __init__(self, missing: tuple[str, ...]) -> None:
        self.missing = missing
        self.text = f"Not worked out yet. Still missing: {'; '.join(missing)}."
        self.html = f'<p class="todo">{escape(self.text)}</p>'

    def __bool__(self) -> bool:
        return False

    def __getattr__(self, name: str) -> NotYet:
        if name.startswith("_"):
            raise AttributeError(name)
        return self

    def __getitem__(self, key: Any) -> NotYet:
        return self

    def __iter__(self) -> Iterator[Any]:
        return iter(())

    def __repr__(self) -> str:
        return self.text

    def _repr_html_(self) -> str:
        return self.html
