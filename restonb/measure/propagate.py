"""Readings as numbers that carry their uncertainty, for formulas that combine several of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from restonb.errors import MeasureError
from restonb.measure.model import Characteristic, Instrument, Reading
from restonb.measure.reading_budget import Expansion, measure
from restonb.measure.rows import rows_of

__all__ = ["carried", "correlated_means"]


def carried(
    characteristic: Characteristic,
    readings: Sequence[Reading],
    instruments: Mapping[str, Instrument],
    gauges: dict[str, Any] | None = None,
    *,
    expansion: Expansion = None,
) -> dict[str, Any]:
    """What was read at each position as a number of the `uncertainties` library, in the characteristic's unit.

    Any formula of them carries the uncertainty on: `(a - b) / 2`. Pass one dictionary as `gauges` in several calls
    and the error of a gauge is one and the same in all that it read (it cancels in a difference); leave it out
    and it is taken anew for each reading. Positions without a reading are left out.
    """
    from uncertainties import ufloat

    values: dict[str, Any] = {}
    for position, _, taken in rows_of(characteristic, readings):
        if not taken:
            continue
        measured = measure(characteristic, taken, instruments, expansion)
        number: Any = measured.value
        for c in measured.budget.components:
            if c.shared and gauges is not None:
                error = gauges.setdefault(c.shared, ufloat(0.0, 1.0, tag=c.shared))
            else:
                error = ufloat(0.0, 1.0, tag=c.title)
            number = number + c.u * c.sensitivity * error
        values[position] = number
    return values


def correlated_means(columns: Iterable[Sequence[float]]) -> tuple[Any, ...]:
    """Means of quantities that were read together, n times each, as correlated numbers of the `uncertainties` library.

    JCGM 100 5.2.3 and H.2: variances and covariances of the means are those of the readings over n.
    Raises MeasureError for fewer than two readings, or columns of different length.
    """
    import numpy as np
    from uncertainties import correlated_values

    data = [list(map(float, c)) for c in columns]
    lengths = {len(c) for c in data}
    if len(lengths) != 1 or min(lengths, default=0) < 2:
        raise MeasureError("give every quantity the same number of readings, at least 2, read together")
    table = np.array(data)
    return tuple(correlated_values(table.mean(axis=1), np.atleast_2d(np.cov(table)) / table.shape[1]))
