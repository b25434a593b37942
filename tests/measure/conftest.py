"""A small invented workshop: gauges, rows of a spec book, and readings as they are typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from restonb.measure import Characteristic, Instrument, Reading, expand

GAUGES = {
    "calliper": Instrument("calliper", "calliper, 150 mm", "mm", 0.01, 0.03),
    "mic": Instrument("mic", "micrometer, 0 to 1 in", "in", 0.0001, 0.0001),
    "dial": Instrument("dial", "dial indicator", "mm", 0.01, 0.01),
    "feeler": Instrument("feeler", "feeler gauge", "mm", 0.05, 0.005),
    "meter": Instrument("meter", "multimeter", "V", 0.01, 0.05),
    "unmarked": Instrument("unmarked", "old gauge", "mm", 0.02, None),
}


@pytest.fixture
def gauges() -> Mapping[str, Instrument]:
    return GAUGES


@pytest.fixture
def row() -> Callable[..., Characteristic]:
    """A row of the spec book; what matters to a test is given by name."""

    def make(positions: str = "once", unit: str = "mm", key: str = "gap", **rest: object) -> Characteristic:
        given = {"what": key, "instrument": "calliper", "source": "invented"} | rest
        return Characteristic("gearbox", key, positions=positions, unit=unit, **given)  # type: ignore[arg-type]

    return make


@pytest.fixture
def read() -> Callable[..., list[Reading]]:
    """Readings of a row, in the order of its positions; None is a place that was not read."""

    def make(
        spec: Characteristic, *values: float | None, unit: str = "", start: int = 1, **rest: object
    ) -> list[Reading]:
        taken = zip(expand(spec.positions), values, strict=True)
        return [
            Reading(spec.sheet, spec.key, place, value, unit or spec.unit, typed=str(value), seq=start + i, **rest)  # type: ignore[arg-type]
            for i, (place, value) in enumerate(taken)
            if value is not None
        ]

    return make
