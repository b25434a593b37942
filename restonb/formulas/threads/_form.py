"""Basic forms: which share of the pitch each series cuts from the major diameter. Plain floats, mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from restonb.errors import FormulaError
from restonb.quantity import Thread

__all__ = ["INCH", "Form", "form_of", "is_unified", "spoken"]

INCH = 25.4


@dataclass(frozen=True, slots=True)
class Form:
    """Diameters over the pitch: pitch diameter, minor diameter of the hole, root diameter of the bolt."""

    name: str
    angle: float
    to_pitch: float
    to_minor: float
    to_root: float

    @property
    def tangent(self) -> float:
        """Of half the thread angle: 0.57735 for 60 degrees."""
        return math.tan(math.radians(self.angle / 2))


_ROOT3 = math.sqrt(3)
_ISO = Form("60 degrees, ISO 68-1 and Unified", 60.0, 3 / 8 * _ROOT3, 5 / 8 * _ROOT3, 17 / 24 * _ROOT3)
_WHITWORTH = Form("55 degrees, Whitworth", 55.0, 0.640327, 2 * 0.640327, 2 * 0.640327)
_CYCLE = Form("60 degrees, British Standard Cycle", 60.0, 0.5327, 2 * 0.5327, 2 * 0.5327)
_BA = Form("47.5 degrees, British Association", 47.5, 0.6, 1.2, 1.2)
_FORMS = {
    "M": _ISO, "UNC": _ISO, "UNF": _ISO, "UN": _ISO,
    "BSW": _WHITWORTH, "BSF": _WHITWORTH, "G": _WHITWORTH, "BSCyc": _CYCLE, "BA": _BA,
}  # fmt: skip


def form_of(thread: Thread) -> Form:
    """The basic form of a thread; FormulaError for a size on which it leaves nothing."""
    form = _FORMS[thread.series]
    if thread.major <= form.to_root * thread.pitch:
        raise FormulaError(f"{thread.text}: a pitch of {thread.pitch:g} mm leaves no core; check the size")
    return form


def is_unified(thread: Thread) -> bool:
    return thread.series in ("UNC", "UNF", "UN")


def spoken(mm: float, thread: Thread) -> str:
    """A length as the thread's own people say it: inches for an inch thread, else mm."""
    return f"{mm / INCH:.4f} in" if thread.tpi is not None else f"{mm:.3f} mm"
