"""Formulas tried on what was measured: a reading that a formula refuses is an open point, and no reason to fail."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from restonb.bench._values import NotYet
from restonb.bench.sheet import Sheet
from restonb.errors import FormulaError

__all__ = ["tried"]


def tried(sheet: Sheet, formula: Callable[..., Any], *args: Any, **kwargs: Any) -> Any:
    """The formula's answer, or why there is none yet; where a measured value is refused, that is left open.

    Only for formulas whose arguments are measured: a parameter of the wrong kind was told of before.
    """
    try:
        return sheet.work(formula, *args, **kwargs)
    except FormulaError as refused:
        reason = str(refused).rstrip(".")
        sheet.leave_open(f"not worked out: {reason}")
        return NotYet((reason,))
