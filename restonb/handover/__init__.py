"""The record for somebody else: HTML, PDF and data that anyone can check."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from restonb.handover._sign import sign, signed_by
    from restonb.handover._verify import Checked, verify
    from restonb.handover.export import Handover, hand_over, preview
    from restonb.handover.privacy import CHOICES

__all__ = ["CHOICES", "Checked", "Handover", "hand_over", "preview", "sign", "signed_by", "verify"]

_HOMES = {
    "CHOICES": "privacy",
    "Checked": "_verify",
    "Handover": "export",
    "hand_over": "export",
    "preview": "export",
    "sign": "_sign",
    "signed_by": "_sign",
    "verify": "_verify",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return __all__
