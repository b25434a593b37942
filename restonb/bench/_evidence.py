"""The readings that a sheet may stand on: those in force, less those that a disturbed joint has spoiled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from restonb.measure.model import Characteristic, Reading
from restonb.measure.positions import derived
from restonb.record import Record, disturbances, in_force, readings
from restonb.record.meters import totals
from restonb.record.views import unstruck
from restonb.stated import Build

__all__ = ["Evidence", "Spoiled"]


@dataclass(frozen=True, slots=True)
class Spoiled:
    """Why a reading counts no longer: the joint, the entry that disturbed it, the chain that leads to it."""

    joint: str
    seq: int
    on: str
    chain: tuple[str, ...]

    def __str__(self) -> str:
        by = f" (it relies on {', which rests on '.join(self.chain)})" if len(self.chain) > 1 else ""
        return f"measure again: {self.joint} was disturbed on {self.on}{by}"


class Evidence:
    """Readings of one sheet as of one entry of the record (None: as it stands now)."""

    def __init__(self, build: Build, record: Record, sheet: str, as_of: int | None) -> None:
        self.build, self.record, self.sheet, self.as_of = build, record, sheet, as_of

    def all(self, characteristic: str) -> list[Reading]:
        return readings(self.record, self.sheet, characteristic, as_of=self.as_of)

    def in_force(self, characteristic: str | None = None, occasion: str | None = None) -> list[Reading]:
        return in_force(self.record, self.sheet, characteristic, occasion, as_of=self.as_of)

    def first_occasion(self, row: Characteristic) -> str:
        """That of its first reading, or of what it is worked out from; 'as found' where there is none."""
        asked = derived(row.positions)
        taken = [r for key in (asked.of if asked else (row.key,)) for r in self.all(key)]
        return min(taken, key=lambda r: r.seq).occasion if taken else "as found"

    def usage(self, unit: str) -> list[tuple[int, float]]:
        """Entry and what the odometer or the hour meter showed, in that unit, oldest first; other kinds are left out.

        One that was fitted later counts on from the last of the one before.
        """
        return totals(unstruck(self.record, "usage", self.as_of), unit)

    def disturbed(self) -> list[Spoiled]:
        """Every disturbance of a joint that the sheet relies on, directly or through others."""
        when = disturbances(self.record, self.as_of)
        found = []
        for joint, chain in self.build.joints.relied_on(self.sheet).items():
            entry = self.record.entry(when[joint]) if joint in when else None
            if entry is not None:
                found.append(Spoiled(joint, entry.seq, entry.at[:10], chain))
        return found

    def standing(
        self, characteristic: str | None = None, occasion: str | None = None
    ) -> tuple[list[Reading], dict[tuple[str, str], tuple[Reading, Spoiled]]]:
        """The readings that count, and those that do not any more, by characteristic and position, with why.

        Asked for one occasion, all of it counts: that is what was found then, whatever happened since.
        """
        found = self.in_force(characteristic, occasion)
        if occasion is not None:
            return found, {}
        return split(found, self.disturbed())


def split(
    found: Sequence[Reading], causes: Sequence[Spoiled]
) -> tuple[list[Reading], dict[tuple[str, str], tuple[Reading, Spoiled]]]:
    """Readings taken after the last disturbance, and those before one."""
    good, spoiled = [], {}
    for reading in found:
        cause = max((c for c in causes if reading.seq < c.seq), key=lambda c: c.seq, default=None)
        if cause is None:
            good.append(reading)
        else:
            spoiled[reading.characteristic, reading.position] = (reading, cause)
    return good, spoiled
