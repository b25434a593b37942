"""The readings that a sheet may stand on: those in force, less those that a disturbed joint has spoiled."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

from restonb.measure import Characteristic, Reading, derived
from restonb.record import (
    Disturbance,
    Entry,
    Record,
    checks_of,
    disturbances,
    disturbances_under,
    in_force,
    is_repeated,
    readings,
    split_spoiled,
    unstruck,
    usage_totals,
)
from restonb.stated import Build

__all__ = ["SheetEvidence", "Spoiled", "split_spoiled"]

Spoiled: TypeAlias = Disturbance
"""Why a reading no longer counts."""


class SheetEvidence:
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
        return usage_totals(unstruck(self.record, "usage", self.as_of), unit)

    def disturbed(self) -> list[Disturbance]:
        """Every disturbance of a joint that the sheet relies on, directly or through others."""
        when = disturbances(self.record, self.as_of)
        causes = {joint: entry for joint, seq in when.items() if (entry := self.record.entry(seq))}
        return disturbances_under(self.build.joints, self.sheet, causes)

    def checks(self) -> Mapping[str, list[Entry]]:
        """The checks of each gauge, oldest first."""
        return checks_of(self.record, self.as_of)

    def standing(
        self, characteristic: str | None = None, occasion: str | None = None
    ) -> tuple[list[Reading], dict[tuple[str, str], tuple[Reading, Disturbance]]]:
        """The readings that count, and those that do not any more, by characteristic and position, with why.

        Asked for one occasion, all of it counts: that is what was found then, whatever happened since.
        """
        found = self.in_force(characteristic, occasion)
        if occasion is not None:
            return found, {}
        rows = (row for row in self.build.specs if row.sheet == self.sheet)
        return split_spoiled(
            found, self.disturbed(), {row.key: row.positions for row in rows if is_repeated(row.positions)}
        )
