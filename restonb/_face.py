"""The face of a room: what it offers, by one table, and nothing of it loaded before it is asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any

__all__ = ["face"]


def face(room: str, homes: Mapping[str, str]) -> tuple[list[str], Callable[[str], Any], Callable[[], list[str]]]:
    """`__all__`, `__getattr__` and `__dir__` of a room.

    `homes`: module of the room -> the names that it gives to others, separated by spaces. Whoever checks types reads the
    imports under TYPE_CHECKING instead; `python tests/structure/faces.py` writes them from the table.
    """
    home_of = {name: module for module, names in homes.items() for name in names.split()}
    names = sorted(home_of)

    def attribute(name: str) -> Any:
        if name not in home_of:
            raise AttributeError(f"module {room!r} has no attribute {name!r}")
        return getattr(import_module(f"{room}.{home_of[name]}"), name)

    return names, attribute, lambda: names
