"""Everything that an export says, gathered once from the build and the record, as of one entry.

Entries come in through `lines`, which takes out what stays at home; nothing else here reads their bodies,
except readings and runs, which hold nothing that does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from hashlib import sha256
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.errors import HandoverError, RestonbError
from restonb.handover.privacy import machine_facts, redact
from restonb.measure import Characteristic
from restonb.record import verdict_word

if TYPE_CHECKING:
    from restonb.measure import Reading
    from restonb.record import Entry, Record, Run, SheetStanding, Standing, TorqueStanding
    from restonb.stated import Build

__all__ = ["Facts", "Line", "Picture", "lines", "state_of"]

_PAGE = 2000
_RAW = "SELECT seq, at, kind, body, previous, digest FROM entry"


class Line(NamedTuple):
    """One entry as it leaves. `text` is the body as it was sealed, or '' when something was taken out of it."""

    seq: int
    at: str
    kind: str
    body: dict[str, Any]
    previous: str
    digest: str
    withheld: tuple[str, ...]
    text: str
    body_digest: str


class Picture(NamedTuple):
    """A photograph and its small copy, below the folder of the data; '' for one that is not shown."""

    line: Line
    small: str


def lines(record: Record, upto: int, include: Iterable[str], kinds: tuple[str, ...] = ()) -> Iterator[Line]:
    """The entries up to one, in order, without what stays at home."""
    import json

    wanted = frozenset(include)
    which = f" AND kind IN ({','.join('?' * len(kinds))})" if kinds else ""
    after = 0
    while rows := record.rows(
        f"{_RAW} WHERE seq > ? AND seq <= ?{which} ORDER BY seq LIMIT {_PAGE}", (after, upto, *kinds)
    ):
        for seq, at, kind, text, previous, digest in rows:
            body, withheld = redact(kind, json.loads(text), wanted)
            sealed = sha256(text.encode()).hexdigest()
            yield Line(seq, at, kind, body, previous, digest, withheld, "" if withheld else text, sealed)
        after = rows[-1][0]


def state_of(record: Record, as_of: Any = None) -> Entry:
    """The entry that an export states: the newest up to `as_of` that is not itself a note of an export.

    So one state gives one export, however often it was exported. Raises HandoverError for an empty record.
    """
    upto = record.upto(as_of)
    found = record.rows(
        "SELECT seq FROM entry WHERE kind <> 'handover' AND seq <= ? ORDER BY seq DESC LIMIT 1", (upto,)
    )
    entry = record.entry(found[0][0]) if found else None
    if entry is None:
        raise HandoverError("nothing has been entered up to then; there is nothing to hand over yet")
    return entry


@dataclass
class Facts:
    """What is known, and what of it may leave."""

    build: Build
    record: Record
    head: Entry
    include: frozenset[str]
    pictures: list[Picture] = field(default_factory=list)
    """The photographs that there are."""
    picture_faults: dict[int, str] = field(default_factory=dict)
    """Photographs that are missing, damaged or not as recorded: entry -> what is wrong."""
    _verdicts: dict[str, list[dict[str, Any]]] = field(default_factory=dict)

    @property
    def upto(self) -> int:
        return self.head.seq

    @cached_property
    def machine(self) -> dict[str, str]:
        return machine_facts(self.build.machine, self.include)

    @cached_property
    def struck(self) -> dict[int, Line]:
        """Entries that were struck out, and the entry that did it."""
        return {line.body["seq"]: line for line in self._by_kind.get("strike", ())}

    @cached_property
    def counts(self) -> Counter[str]:
        rows = self.record.rows("SELECT kind, count(*) FROM entry WHERE seq <= ? GROUP BY kind", (self.upto,))
        return Counter({str(kind): int(count) for kind, count in rows})

    @cached_property
    def first_at(self) -> str:
        return str(self.record.rows("SELECT at FROM entry WHERE seq = 1")[0][0])

    @cached_property
    def withheld(self) -> int:
        """How many entries had something taken out."""
        return sum(bool(line.withheld) for group in self._by_kind.values() for line in group)

    @cached_property
    def _by_kind(self) -> dict[str, list[Line]]:
        kinds = ("strike", "disturb", "joint", "check", "usage", "part", "work", "note", "photo")
        found: dict[str, list[Line]] = {}
        for line in lines(self.record, self.upto, self.include, kinds):
            found.setdefault(line.kind, []).append(line)
        return found

    def of(self, kind: str) -> list[Line]:
        """The entries of a kind (not readings or runs) that stand, in order."""
        return [line for line in self._by_kind.get(kind, ()) if line.seq not in self.struck]

    # -- sheets

    @cached_property
    def standing(self) -> Standing:
        from restonb.record import standing

        return standing(self.record, self.build, as_of=self.upto)

    @cached_property
    def safety_joints(self) -> frozenset[str]:
        """The joints that are about safety: marked so, or relied on by what is."""
        from restonb.record import safety_joints

        return frozenset(safety_joints(self.build, (s.sheet for s in self.standing.sheets.values() if s.safety)))

    @cached_property
    def torques(self) -> dict[str, TorqueStanding]:
        """How each joint stands against its plan."""
        from restonb.record import torque_standing

        return torque_standing(self.record, self.build, self.upto)

    @cached_property
    def runs(self) -> list[Run]:
        from restonb.record import runs

        return runs(self.record, as_of=self.upto)

    @cached_property
    def sheets(self) -> dict[str, SheetStanding | None]:
        """Each sheet with where it stands; None for one that only readings know: the spec book lost it."""
        found: dict[str, SheetStanding | None] = dict(self.standing.sheets)
        for sheet, _ in self.now:
            found.setdefault(sheet, None)
        return found

    def subsystem(self, sheet: str) -> str:
        stands = self.sheets.get(sheet)
        return (stands.subsystem if stands else "") or "other"

    @cached_property
    def now(self) -> dict[tuple[str, str], list[Reading]]:
        """The readings in force, by sheet and characteristic."""
        from restonb.record import in_force

        return _grouped(in_force(self.record, as_of=self.upto))

    @cached_property
    def as_found(self) -> dict[tuple[str, str], list[Reading]]:
        """The readings taken as found."""
        from restonb.record import in_force

        return _grouped(in_force(self.record, occasion="as found", as_of=self.upto))

    @cached_property
    def taken(self) -> dict[int, Reading]:
        """The readings in force, by entry."""
        return {reading.seq: reading for group in self.now.values() for reading in group}

    def verdicts(self, sheet: str) -> list[dict[str, Any]]:
        """A row for every position of a sheet: as filed where that result rests on the readings in force, else
        judged now. `word` is what may be said of it: its verdict, or that it is to be measured again, or in doubt.
        """
        if sheet not in self._verdicts:
            stands = self.sheets.get(sheet)
            judged = self._judged(sheet, self.now)
            found = _rows(stands, judged) if stands else [{**row, "word": "in doubt"} for row in judged]
            self._verdicts[sheet] = [_whole(row) for row in found]
        return self._verdicts[sheet]

    def verdicts_as_found(self, sheet: str) -> list[dict[str, Any]]:
        """The same for what was found before anything was done; only positions that were measured then."""
        found = (row for row in self._judged(sheet, self.as_found) if row["value"] is not None)
        return [_whole({**row, "word": verdict_word(row)}) for row in found]

    def _judged(self, sheet: str, readings: Mapping[tuple[str, str], list[Reading]]) -> list[dict[str, Any]]:
        from restonb.measure import check

        rows: list[dict[str, Any]] = []
        every, day = self.characteristics(sheet), date.fromisoformat(self.standing.on)
        given = sorted((r for (s, _), group in readings.items() if s == sheet for r in group), key=lambda r: r.seq)
        for one in every:
            try:
                rows += check(one, given, self.build.instruments, self.build.rule, base=every, today=day).as_data()
            except RestonbError as error:  # a row was changed under its readings: say so, and hide nothing
                mine = [r for r in given if r.characteristic == one.key]
                rows += [_unjudged(one, reading, str(error)) for reading in mine]
        known = {one.key for one in every}
        rows += [
            _unjudged(Characteristic(sheet, r.characteristic, r.characteristic.replace("_", " "), "", r.unit), r,
                      "the spec book does not have it")
            for r in given if r.characteristic not in known
        ]  # fmt: skip
        return rows

    def characteristics(self, sheet: str) -> tuple[Characteristic, ...]:
        return self.build.specs.sheet(sheet) if sheet in self.build.specs.sheets else ()

    # -- photographs

    @cached_property
    def photos(self) -> list[Line]:
        return self.of("photo")


def _grouped(readings: Iterable[Reading]) -> dict[tuple[str, str], list[Reading]]:
    found: dict[tuple[str, str], list[Reading]] = {}
    for reading in readings:
        found.setdefault((reading.sheet, reading.characteristic), []).append(reading)
    return found


def _rows(stands: SheetStanding, judged: Iterable[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Each row with its word. A result that is out of date is judged anew; but what a formula gave stands as it was filed."""
    current = stands.run is not None and not any(reason.state == "out of date" for reason in stands.reasons)
    kept = [row for row in stands.settled if current or (row.get("value") is not None and not row.get("seqs"))]
    for row in kept:
        key, position = _place(row)
        word = stands.row_word(key, position) if current else stands.marks.get((key, position)) or "out of date"
        yield {**row, "word": word}
    known = {row.get("characteristic") for row in kept}
    for row in judged:
        if row["characteristic"] not in known:
            yield {**row, "word": stands.row_word(*_place(row), verdict_word(row))}


def _place(row: Mapping[str, Any]) -> tuple[str, str]:
    return str(row.get("characteristic", "")), str(row.get("position", ""))


_ROW = {
    "what": "", "position": "", "value": None, "unit": "1", "U": None, "k": None, "lower": None, "upper": None,
    "wear_limit": None, "verdict": "not measured", "word": "not measured", "worn_in": None, "settle": "", "note": "", "source": "",
    "safety": False, "seq": None, "occasion": "",
}  # fmt: skip


def _whole(row: dict[str, Any]) -> dict[str, Any]:
    """The row with every key that the document asks for."""
    full = {**_ROW, **row}
    full["what"] = full["what"] or str(row.get("characteristic", "")).replace("_", " ")
    return full


def _unjudged(one: Characteristic, reading: Reading, why: str) -> dict[str, Any]:
    return {
        "sheet": one.sheet, "characteristic": one.key, "what": one.what, "position": reading.position,
        "value": reading.value, "unit": reading.unit, "verdict": "in doubt", "settle": why, "note": why,
        "seq": reading.seq, "safety": one.safety, "source": one.source, "occasion": reading.occasion,
    }  # fmt: skip
