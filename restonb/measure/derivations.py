"""stub"""
from __future__ import annotations
from collections.abc import Mapping, Sequence
from restonb.errors import MeasureError
from restonb.measure.model import Characteristic, Instrument, Reading
from restonb.measure.reading_budget import Measured


def derive(
    characteristic: Characteristic,
    readings: Sequence[Reading],
    instruments: Mapping[str, Instrument],
    *,
    base: Sequence[Characteristic] = (),
    expansion: float | None = None,
) -> list[tuple[str, Measured | None]]:
    raise MeasureError("worked-out rows come in the next commit")
