"""Which readings belong to which row of a table: the newest at every position, repeats together."""

from __future__ import annotations

from collections.abc import Sequence

from restonb.errors import PositionError
from restonb.measure.model import Characteristic, Reading
from restonb.measure.positions import expand, parts_of, repeats_in

__all__ = ["rows_of"]


def rows_of(characteristic: Characteristic, readings: Sequence[Reading]) -> list[tuple[str, int, tuple[Reading, ...]]]:
    """Position, how many readings it asks for, and those there are; repeats stand in one row, 'mean of n'.

    Readings of other characteristics are left alone. Raises PositionError for a position that there is not.
    """
    newest: dict[str, Reading] = {}
    names = expand(characteristic.positions)
    for reading in readings:
        if (reading.sheet, reading.characteristic) != (characteristic.sheet, characteristic.key):
            continue
        if reading.position not in names:
            raise PositionError(
                f"{characteristic.key} has no position '{reading.position}' (entry {reading.seq});"
                f" strike it, or add the position to '{characteristic.positions}'"
            )
        newest[reading.position] = reading
    at = repeats_in(characteristic.positions)
    if at is None:
        return [(name, 1, (newest[name],) if name in newest else ()) for name in names]
    places: dict[tuple[str, ...], list[str]] = {}
    for parts in parts_of(characteristic.positions):
        places.setdefault(parts[:at] + parts[at + 1 :], []).append(" / ".join(parts))
    return [
        (
            " / ".join((*place, f"mean of {len(repeats)}")),
            len(repeats),
            tuple(newest[name] for name in repeats if name in newest),
        )
        for place, repeats in places.items()
    ]
