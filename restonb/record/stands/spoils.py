"""The one rule for what a disturbed joint spoils, and what a failed check puts in doubt: for notebook and command alike."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from restonb.measure import Reading, repeats_in
from restonb.record._journal import Entry

if TYPE_CHECKING:
    from restonb.stated import JointMap

__all__ = [
    "Disturbance",
    "Doubt",
    "disturbances_under",
    "doubt_of",
    "is_repeated",
    "one_place",
    "replaced",
    "split_spoiled",
    "spoiled_by",
]

Place = tuple[str, str]
"""A characteristic and a position."""


class Disturbance(NamedTuple):
    """A joint that a sheet relies on, and the entry that disturbed it last."""

    joint: str
    seq: int
    on: str
    what: str
    """What was done to it: 'axle was loosened'."""
    chain: tuple[str, ...]
    """From the joint that the sheet relies on, to this one."""

    @property
    def because(self) -> str:
        """': it relies on gearbox, which rests on engine'; '' where the sheet relies on the joint itself."""
        return f": it relies on {', which rests on '.join(self.chain)}" if len(self.chain) > 1 else ""

    def __str__(self) -> str:
        by = f" (it relies on {', which rests on '.join(self.chain)})" if len(self.chain) > 1 else ""
        return f"measure again: {self.joint} was disturbed on {self.on}{by}"


class Doubt(NamedTuple):
    """A gauge that failed its check, as far as that bears on a reading taken with it."""

    instrument: str
    seq: int
    on: str
    since: str
    """What its last good check before that says."""

    def __str__(self) -> str:
        return f"{self.instrument} failed its check on {self.on} (entry {self.seq}; {self.since})"


def disturbances_under(joints: JointMap, sheet: str, causes: Mapping[str, Entry]) -> list[Disturbance]:
    """Every disturbance of a joint that the sheet relies on, directly or through others.

    `causes`: joint -> the newest entry that disturbed it.
    """
    return [
        Disturbance(joint, causes[joint].seq, causes[joint].at[:10], _what_happened(causes[joint]), chain)
        for joint, chain in joints.relied_on(sheet).items()
        if joint in causes
    ]


def spoiled_by(reading: Reading, disturbances: Iterable[Disturbance]) -> Disturbance | None:
    """The newest disturbance after that reading; None where it still counts."""
    return max((d for d in disturbances if reading.seq < d.seq), key=lambda d: d.seq, default=None)


def split_spoiled(
    found: Sequence[Reading], disturbances: Sequence[Disturbance], patterns: Mapping[str, str] | None = None
) -> tuple[list[Reading], dict[Place, tuple[Reading, Disturbance]]]:
    """The readings that count, and by place those that do not any more, with why.

    `patterns`: characteristic -> its positions, so that a place that is read several times counts as one place.
    """
    good, spoiled = [], {}
    for reading in found:
        cause = spoiled_by(reading, disturbances)
        if cause is None:
            good.append(reading)
        else:
            spoiled[reading.characteristic, reading.position] = (reading, cause)
    gone = replaced([reading for reading, _ in spoiled.values()], good, patterns or {})
    return good, {place: was for place, was in spoiled.items() if was[0].seq not in gone}


def replaced(spoiled: Iterable[Reading], good: Iterable[Reading], patterns: Mapping[str, str]) -> set[int]:
    """Spoiled readings of a repeated place that was read again: fewer times than before is measured all the same."""
    again = {(r.characteristic, one_place(patterns.get(r.characteristic, ""), r.position)) for r in good}
    return {
        r.seq
        for r in spoiled
        if is_repeated(pattern := patterns.get(r.characteristic, ""))
        and (r.characteristic, one_place(pattern, r.position)) in again
    }


def is_repeated(pattern: str) -> bool:
    """Whether it asks for several readings at one place."""
    return "repeat" in pattern and repeats_in(pattern) is not None


def one_place(pattern: str, position: str) -> str:
    """The position without the number of its repeat: 'axis A' of '2 / axis A', '' of '2', 'foot 1' as it stands.

    It is the same of a verdict's position: 'axis A / mean of 3', 'mean of 3'.
    """
    if not is_repeated(pattern):
        return position
    parts = position.split(" / ")
    at = next((i for i, part in enumerate(parts) if part.startswith("mean of ")), repeats_in(pattern) or 0)
    return " / ".join(parts[:at] + parts[at + 1 :])


def doubt_of(reading: Reading, checks: Mapping[str, Sequence[Entry]]) -> Doubt | None:
    """The check next after a reading, or the one last before it, found its gauge bad; None where nothing speaks against it.

    `checks`: instrument -> its checks, oldest first.
    """
    mine = checks.get(reading.instrument or "", ())
    after = bisect(mine, reading.seq, key=lambda check: check.seq)
    bad = next((check for check in mine[max(0, after - 1) : after + 1] if not check.body["good"]), None)
    if bad is None:
        return None
    passed = [check for check in mine if check.body["good"] and check.seq < bad.seq]
    since = f"its last good check was on {passed[-1].at[:10]}" if passed else "no earlier good check is recorded"
    return Doubt(bad.body["instrument"], bad.seq, bad.at[:10], since)


def _what_happened(cause: Entry) -> str:
    joint = cause.body["joint"]
    if cause.kind == "disturb":
        return f"{joint} was {cause.body['what']}"
    return f"{joint} went back to {cause.body['state']}"
