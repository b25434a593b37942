"""A build opened for reading: what its record and its files add up to, as pandas tables."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

    from restonb.record import Record
    from restonb.stated import Build

__all__ = ["Machine"]


class Machine:
    """One build, read only. Every table is worked out afresh from the record as it is, or as it was on `as_of`.

    Tables have one row per thing and a column `unit` where a row holds a number: rows of one table may have different
    units. `table.attrs` says which columns are in that unit, and names the build.

    Parameters
    ----------
    build : Build
        The build folder, opened.
    record : Record
        Its record.
    as_of : str, optional
        A date such as '2026-03-14': only entries up to the end of that day are seen.

    Examples
    --------
    >>> machine = restonb.open("my-build")                            # doctest: +SKIP
    >>> machine.verdicts("disc")[["characteristic", "position", "verdict"]]    # doctest: +SKIP
    """

    def __init__(self, build: Build, record: Record, as_of: str | None = None) -> None:
        self.build, self.record, self.as_of = build, record, as_of

    def readings(self, sheet: str | None = None, characteristic: str | None = None) -> pd.DataFrame:
        """Every reading that is not struck, in the order of entry.

        Parameters
        ----------
        sheet, characteristic : str, optional
            Only those of this sheet, or of this characteristic.

        Returns
        -------
        pandas.DataFrame
            One row per reading: `seq` (number of its entry), `at` (ISO 8601), `sheet`, `characteristic`, `position`,
            `occasion`, `value` and `resolution` (in `unit`), `typed` (as a person typed it), `instrument`,
            `temperature` (of the part, degC), `note`.

        Raises
        ------
        RecordError
            Where the record cannot be read.
        """
        from restonb.measure import Reading
        from restonb.record import readings

        found = readings(self.record, sheet, characteristic, as_of=self.as_of)
        columns = [
            "seq", "at", "sheet", "characteristic", "position", "occasion", "value", "unit", "typed", "resolution",
            "instrument", "temperature", "note",
        ]  # fmt: skip
        assert set(columns) == set(Reading._fields)
        return self._frame([r._asdict() for r in found], columns, in_unit=("value", "resolution"))

    def verdicts(self, sheet: str | None = None) -> pd.DataFrame:
        """Every row of the spec book, judged now from the readings in force.

        Parameters
        ----------
        sheet : str, optional
            Only the rows of this sheet.

        Returns
        -------
        pandas.DataFrame
            One row per characteristic and position: `verdict` (inside, outside, too close to call, not measured, no limit),
            `side`, `doubt`, `value`, `u` (standard uncertainty), `U` (expanded, about 95 %), `k`, limits `lower`, `upper`,
            `wear_limit`, all in `unit`; `worn_in` in %, `p_conform`, `source` of the limits, `safety`, `note`.

        Raises
        ------
        MeasureError, PositionError
            Where a row was changed so that its readings no longer fit it.
        """
        from restonb.bench import Sheet
        from restonb.measure import Verdict, Verdicts

        names = dict.fromkeys(row.sheet for row in self.build.specs if sheet in (None, row.sheet))
        rows: list[Verdict] = []
        for name in names:
            rows += Sheet(name, self.build, self.record, self.record.upto(self.as_of)).check()
        table = Verdicts(tuple(rows)).frame()
        return self._with_units(table, in_unit=("value", "u", "U", "lower", "upper", "wear_limit"))

    def joints(self) -> pd.DataFrame:
        """Every joint with the state it is in.

        Returns
        -------
        pandas.DataFrame
            One row per joint: `joint`, `what`, `state` ('' where none was entered), `seq` and `at` of that entry, `why`,
            `label`, `waiting`, `until`, `disturbed` (the newest entry that disturbed it, 0 for never), `rests_on`, `safety`.
        """
        from restonb.record import joint_states

        stated = self.build.joints.joints
        rows = []
        for key, state in joint_states(self.record, self.build.joints, self.as_of).items():
            joint = stated.get(key)
            rows.append(
                {
                    **{k: v for k, v in state._asdict().items() if k != "fasteners"},
                    "what": joint.what if joint else "",
                    "rests_on": ", ".join(joint.rests_on) if joint else "",
                    "safety": bool(joint and joint.safety),
                }
            )
        columns = [
            "joint",
            "what",
            "state",
            "seq",
            "at",
            "why",
            "label",
            "waiting",
            "until",
            "disturbed",
            "rests_on",
            "safety",
        ]
        return self._frame(rows, columns)

    def runs(self, sheet: str | None = None) -> pd.DataFrame:
        """Every run that was filed, good and failed, in order.

        Returns
        -------
        pandas.DataFrame
            One row per run: `seq`, `at`, `sheet`, `subsystem`, `template`, `state` ('good' or 'failed'), `reason`, `folder`
            below the build, `seconds`, and the number of verdict rows of each word.
        """
        from collections import Counter

        from restonb.measure import WORDS
        from restonb.record import runs

        rows = []
        for run in runs(self.record, sheet, self.as_of):
            counts = Counter(str(row.get("verdict", "")) for row in run.verdicts)
            kept = ("seq", "at", "sheet", "subsystem", "template", "state", "reason", "folder", "seconds")
            rows.append({name: getattr(run, name) for name in kept} | {word: counts[word] for word in WORDS})
        columns = ["seq", "at", "sheet", "subsystem", "template", "state", "reason", "folder", "seconds", *WORDS]
        return self._frame(rows, columns)

    def standing(self) -> pd.DataFrame:
        """Where every sheet stands, with what keeps it from being settled: what `restonb status` says.

        Returns
        -------
        pandas.DataFrame
            One row per sheet: `sheet`, `subsystem`, `word` (one of restonb.record.STANDINGS), `state` (whether the filed
            result is current), `safety`, `run` (entry of its newest good run), `left` (how many things keep it open), `why`
            (these, in words). `attrs['ready']` says whether nothing marked safety is open; it is a statement about the
            record, never a certificate.
        """
        from restonb.record import standing

        found = standing(self.record, self.build, self.as_of)
        rows = [
            {
                "sheet": s.sheet,
                "subsystem": s.subsystem,
                "word": s.word,
                "state": s.state,
                "safety": s.safety,
                "run": s.run.seq if s.run else None,
                "left": len(s.left),
                "why": "; ".join(left.text for left in s.left),
            }
            for s in found.sheets.values()
        ]
        table = self._frame(rows, ["sheet", "subsystem", "word", "state", "safety", "run", "left", "why"])
        table.attrs["ready"] = found.gate.ready
        return table

    def close(self) -> None:
        """Let go of the record."""
        self.record.close()

    def __enter__(self) -> Machine:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __repr__(self) -> str:
        return f"{self.build.name}: {self.build.folder.name}" + (f", as of {self.as_of}" if self.as_of else "")

    def _frame(self, rows: list[dict[str, Any]], columns: list[str], in_unit: tuple[str, ...] = ()) -> pd.DataFrame:
        import pandas as pd

        return self._with_units(pd.DataFrame(rows, columns=columns), in_unit)

    def _with_units(self, table: pd.DataFrame, in_unit: tuple[str, ...]) -> pd.DataFrame:
        table.attrs |= {"build": self.build.name, "as_of": self.as_of or "", "in_unit": list(in_unit)}
        return table


def open_machine(folder: str | Path, as_of: str | None = None) -> Machine:
    """The build in `folder`, opened for reading; see `restonb.open`."""
    from restonb.record import Record
    from restonb.stated import Build

    build = Build.open(Path(folder))
    return Machine(build, Record.open(build), as_of)
