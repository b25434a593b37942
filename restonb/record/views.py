"""What the entries add up to, as of any date: readings, filed runs, the state that each joint is in."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.measure import Reading
from restonb.record._journal import AsOf, Entry, Record, body_of, entry

if TYPE_CHECKING:
    from restonb.stated import JointMap

__all__ = [
    "JointState",
    "Run",
    "disturbances",
    "in_force",
    "joint_states",
    "newest",
    "readings",
    "runs",
    "struck",
]

# A partial index serves only a query that repeats its condition, so "kind <> 'reading'" stands in each.
_STRIKES = "SELECT strikes FROM said WHERE kind <> 'reading' AND kind = 'strike' AND seq <= :upto"
UNSTRUCK = f"seq <= :upto AND seq NOT IN ({_STRIKES})"
_SELECT = "SELECT seq, at, kind, body, previous, digest FROM said"


_NOTHING: Mapping[str, Any] = MappingProxyType({})


class Run(NamedTuple):
    """A template executed and filed. `filed` is what its sheet said; `spec` the digests of its rows."""

    seq: int
    at: str
    template: str
    sheet: str
    subsystem: str
    state: str
    reason: str = ""
    cell: int | None = None
    parameters: Mapping[str, Any] = _NOTHING
    template_digest: str = ""
    head: Mapping[str, Any] = _NOTHING
    folder: str = ""
    filed: Mapping[str, Any] = _NOTHING
    spec: Mapping[str, str] = _NOTHING
    versions: Mapping[str, str] = _NOTHING
    seconds: float = 0.0
    basis: Mapping[str, Any] = _NOTHING
    """What it took from files that people edit; empty in what was filed before that was kept."""
    files: Mapping[str, str] = _NOTHING
    """File name -> its SHA-256; empty in what was filed before that was kept."""

    @property
    def good(self) -> bool:
        return self.state == "good"

    @property
    def saw(self) -> int:
        """The number of the newest entry that the run could see."""
        seq = self.head.get("seq")
        return seq if isinstance(seq, int) else self.seq - 1

    @property
    def verdicts(self) -> list[dict[str, Any]]:
        return list(self.filed.get("verdicts") or ())

    @property
    def used(self) -> tuple[int, ...]:
        """The numbers of the readings that it used."""
        listed = self.filed.get("readings") or ()
        rows = (v.get("seq") for v in self.verdicts)
        return tuple(sorted({s for s in (*listed, *rows) if isinstance(s, int) and s > 0}))


class JointState(NamedTuple):
    """The state a joint is in, since which entry, and what was said. `state` is '' where nothing was."""

    joint: str
    state: str = ""
    seq: int = 0
    at: str = ""
    why: str = ""
    label: str = ""
    waiting: str = ""
    until: str | None = None
    fasteners: tuple[Mapping[str, Any], ...] = ()
    disturbed: int = 0
    """The newest entry that disturbed it; 0 is 'never'."""

    @property
    def closed(self) -> bool:
        return self.state in ("tightened", "final")


def readings(
    record: Record,
    sheet: str | None = None,
    characteristic: str | None = None,
    occasion: str | None = None,
    as_of: AsOf = None,
) -> list[Reading]:
    """Every reading that is not struck, in the order of entry."""
    where, values = _which(sheet, characteristic, occasion)
    rows = record.rows(
        f"SELECT seq, at, body FROM said WHERE kind = 'reading'{where} AND {UNSTRUCK} ORDER BY seq",
        {**values, "upto": record.upto(as_of)},
    )
    return [_reading(*row) for row in rows]


def in_force(
    record: Record,
    sheet: str | None = None,
    characteristic: str | None = None,
    occasion: str | None = None,
    as_of: AsOf = None,
) -> list[Reading]:
    """The newest reading at each position that is not struck, in the order of entry.

    With an occasion: the newest of that occasion.
    """
    where, values = _which(sheet, characteristic, occasion)
    rows = record.rows(
        "SELECT seq, at, body FROM said WHERE seq IN (SELECT max(seq) FROM said WHERE kind = 'reading'"
        f"{where} AND {UNSTRUCK} GROUP BY sheet, characteristic, position) ORDER BY seq",
        {**values, "upto": record.upto(as_of)},
    )
    return [_reading(*row) for row in rows]


def runs(record: Record, sheet: str | None = None, as_of: AsOf = None) -> list[Run]:
    """The runs that were filed, good and failed, in order."""
    where = " AND sheet = :sheet" if sheet is not None else ""
    rows = record.rows(
        f"{_SELECT} WHERE kind <> 'reading' AND kind = 'run'{where} AND seq <= :upto ORDER BY seq",
        {"sheet": sheet, "upto": record.upto(as_of)},
    )
    return [run_of(entry(row)) for row in rows]


def newest(record: Record, state: str, as_of: AsOf = None) -> dict[str, Run]:
    """The newest run of each sheet that is in that state ('good' or 'failed')."""
    rows = record.rows(
        f"{_SELECT} WHERE seq IN (SELECT max(seq) FROM said WHERE kind <> 'reading' AND kind = 'run'"
        " AND state = :state AND seq <= :upto GROUP BY sheet) ORDER BY seq",
        {"state": state, "upto": record.upto(as_of)},
    )
    return {run.sheet: run for run in (run_of(entry(row)) for row in rows)}


def joint_states(record: Record, joints: JointMap | None = None, as_of: AsOf = None) -> dict[str, JointState]:
    """The state of every joint of `joints`, and of every other that the record names.

    A joint that was loosened is 'temporary' until it is tightened again; one removed or replaced is 'apart'.
    """
    upto = record.upto(as_of)
    rows = record.rows(
        f"{_SELECT} WHERE seq IN (SELECT max(seq) FROM said WHERE kind <> 'reading'"
        f" AND kind IN ('joint', 'disturb') AND {UNSTRUCK} GROUP BY joint) ORDER BY seq",
        {"upto": upto},
    )
    disturbed = disturbances(record, upto)
    states = {key: JointState(key) for key in (joints.joints if joints is not None else ())}
    for row in rows:
        found = entry(row)
        states[found.body["joint"]] = _joint_state(found, disturbed.get(found.body["joint"], 0))
    return states


def disturbances(record: Record, as_of: AsOf = None) -> dict[str, int]:
    """The newest entry that disturbed each joint.

    A joint entry that says a less closed state than before disturbs too: nothing gets from tightened to
    dry-fitted without being loosened.
    """
    rows = record.rows(
        f"""
        WITH step AS (
          SELECT seq, joint, kind, CASE
            WHEN kind = 'disturb' THEN 0
            WHEN state = 'final' THEN 3 WHEN state = 'tightened' THEN 2 WHEN state = 'apart' THEN 0 ELSE 1
          END AS closed
          FROM said WHERE kind <> 'reading' AND kind IN ('joint', 'disturb') AND {UNSTRUCK}
        ), turn AS (
          SELECT *, lag(closed) OVER (PARTITION BY joint ORDER BY seq) AS before FROM step
        )
        SELECT joint, max(seq) FROM turn WHERE kind = 'disturb' OR closed < before GROUP BY joint
        """,
        {"upto": record.upto(as_of)},
    )
    return dict(rows)


def struck(record: Record, as_of: AsOf = None) -> dict[int, int]:
    """Which entries are struck, and by which entry (the first that did)."""
    rows = record.rows(
        "SELECT strikes, min(seq) FROM said WHERE kind <> 'reading' AND kind = 'strike' AND seq <= :upto"
        " GROUP BY strikes",
        {"upto": record.upto(as_of)},
    )
    return dict(rows)


def unstruck(record: Record, kind: str, as_of: AsOf = None) -> list[Entry]:
    """The entries of one kind (not readings) that are not struck, in order."""
    rows = record.rows(
        f"{_SELECT} WHERE kind <> 'reading' AND kind = :kind AND {UNSTRUCK} ORDER BY seq",
        {"kind": kind, "upto": record.upto(as_of)},
    )
    return [entry(row) for row in rows]


def run_of(entry: Entry) -> Run:
    """A Run from its entry."""
    body = entry.body
    return Run(seq=entry.seq, at=entry.at, **{**body, "filed": body["filed"] or {}})


def _which(sheet: str | None, characteristic: str | None, occasion: str | None) -> tuple[str, dict[str, Any]]:
    where, values = "", {}
    for name, value in (("sheet", sheet), ("characteristic", characteristic)):
        if value is not None:
            where += f" AND {name} = :{name}"
            values[name] = value
    if occasion is not None:
        where += " AND json_extract(body, '$.occasion') = :occasion"
        values["occasion"] = occasion
    return where, values


def _reading(seq: int, at: str, text: str) -> Reading:
    body = body_of(seq, text)
    resolution, temperature = body["resolution"], body["temperature"]
    return Reading(
        sheet=body["sheet"],
        characteristic=body["characteristic"],
        position=body["position"],
        value=float(body["value"]),
        unit=body["unit"],
        typed=body["typed"],
        resolution=None if resolution is None else float(resolution),
        instrument=body["instrument"],
        occasion=body["occasion"],
        temperature=None if temperature is None else float(temperature),
        at=at,
        seq=seq,
        note=body["note"],
    )


def _joint_state(found: Entry, disturbed: int) -> JointState:
    body = found.body
    if found.kind == "disturb":
        state = "temporary" if body["what"] == "loosened" else "apart"
        return JointState(body["joint"], state, found.seq, found.at, body["why"], disturbed=disturbed)
    return JointState(
        body["joint"],
        body["state"],
        found.seq,
        found.at,
        body["why"],
        body["label"],
        body["waiting"],
        body["until"],
        tuple(body["fasteners"]),
        disturbed,
    )
