"""The good case of one template, as its file states it, and the build that is made from it."""

from __future__ import annotations

import csv
import io
import json
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from restonb import record as room
from restonb.errors import RestonbError
from restonb.measure import expand
from restonb.measure.positions import derived
from restonb.record import Record
from restonb.record._typed import reading_body
from restonb.stated import Build
from restonb.stated.instruments import INSTRUMENT_COLUMNS
from restonb.stated.specs import SPEC_COLUMNS, SPEC_OPTIONAL

__all__ = [
    "CASES",
    "DAY",
    "Case",
    "Variant",
    "begin",
    "cases",
    "enter",
    "enter_case",
    "gauge_for",
    "takes",
    "toml",
    "without",
    "write",
]

CASES = Path(__file__).parents[1] / "cases"
DAY = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
"""When everything is entered and run: no test depends on the day on which it is run."""

Place = tuple[str, str]
Typed = str | Mapping[str, str]

_KEYS = {
    "template", "sheet", "rows", "gauges", "joints", "build", "optional", "readings", "readings_of", "parameters",
    "before", "after", "bad", "good",
}  # fmt: skip
_VARIANT = {"name", "parameters", "out", "no_row", "readings", "before", "after", "finding"}


@dataclass(frozen=True)
class Variant:
    """The good case with something otherwise. `finding` is how the finding that it leads to begins, '' for any."""

    name: str
    case: Case
    finding: str = ""


@dataclass(frozen=True)
class Case:
    """Everything that is stated and entered. Rows and gauges are cells by column; readings by occasion and characteristic."""

    template: str
    sheet: str
    rows: tuple[Mapping[str, str], ...]
    gauges: tuple[Mapping[str, str], ...]
    readings: Mapping[str, Mapping[str, Typed]]
    parameters: Mapping[str, Any]
    joints: str = ""
    build: str = ""
    optional: frozenset[str] = frozenset()
    before: tuple[Mapping[str, Any], ...] = ()
    after: tuple[Mapping[str, Any], ...] = ()
    bad: tuple[Variant, ...] = ()
    good: tuple[Variant, ...] = ()
    typed: Mapping[Place, str | None] = field(default_factory=dict)
    """Over the readings of the sheet, on the occasion that each has: another text, or None for 'not measured'."""

    @classmethod
    def read(cls, path: Path) -> Case:
        """The case of a file. Raises ValueError on a key that there is not."""
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        if unknown := data.keys() - _KEYS:
            raise ValueError(f"{path.name}: unknown {sorted(unknown)}; README.md says what there is")
        template = data["template"]
        case = cls(
            template,
            data.get("sheet", template.rpartition("/")[2]),
            tuple(_table(data.get("rows", ""))),
            tuple(_table(data.get("gauges", ""))),
            _occasions(data),
            data.get("parameters", {}),
            data.get("joints", ""),
            data.get("build", ""),
            frozenset(data.get("optional", ())),
            tuple(data.get("before", ())),
            tuple(data.get("after", ())),
        )
        told = {word: tuple(_variant(case, one, path.name) for one in data.get(word, ())) for word in ("bad", "good")}
        return replace(case, **told)

    @property
    def own(self) -> tuple[str, ...]:
        """The characteristics of the sheet."""
        return tuple(row["characteristic"] for row in self.rows if row.get("sheet", self.sheet) == self.sheet)

    @property
    def serves(self) -> bool:
        """Whether the template serves this sheet, which has none of its own."""
        return self.sheet != self.template.rpartition("/")[2]

    @property
    def needed(self) -> tuple[str, ...]:
        """The parameters that the case states, that the template has no default for, and that cannot be left out."""
        from restonb.log import templates

        [template] = [one for one in templates() if one.name == self.template]
        empty = {one.name for one in template.parameters if one.default in (None, "", [])}
        return tuple(name for name in self.parameters if name in empty and name not in self.optional | {"sheet"})


def cases() -> dict[str, Path]:
    """The template of each case, and its file."""
    found = {path.stem.replace("_", "/", 1): path for path in sorted(CASES.glob("*.toml"))}
    for template, path in found.items():
        stated = tomllib.loads(path.read_text(encoding="utf-8"))["template"]
        assert stated == template, f"{path.name} is the case of {stated}: name it {stated.replace('/', '_')}.toml"
    return found


# -- other than good


def without(
    case: Case, characteristics: Iterable[str] = (), limits: Iterable[str] = (), parameters: Iterable[str] = ()
) -> Case:
    """The case without those rows (and what is worked out from them), those limits, those parameters."""
    gone, unlimited, left_out = set(characteristics), set(limits), set(parameters)
    for row in case.rows:
        asked = derived(row["positions"])
        if asked and gone & set(asked.of):
            gone.add(row["characteristic"])
    rows = []
    for row in case.rows:
        mine = row.get("sheet", case.sheet) == case.sheet
        if mine and row["characteristic"] in gone:
            continue
        if mine and row["characteristic"] in unlimited:
            row = {**row, "lower": "", "upper": "", "wear_limit": ""}
        rows.append(row)
    readings = {on: {key: value for key, value in of.items() if key not in gone} for on, of in case.readings.items()}
    left = {name: value for name, value in case.parameters.items() if name not in left_out}
    return replace(case, rows=tuple(rows), readings=readings, parameters=left)


def _variant(case: Case, told: Mapping[str, Any], file: str) -> Variant:
    if unknown := told.keys() - _VARIANT:
        raise ValueError(f"{file}, {told.get('name')}: unknown {sorted(unknown)}")
    other = without(case, told.get("no_row", ()), parameters=told.get("out", ()))
    typed: dict[Place, str | None] = {}
    for key, said in told.get("readings", {}).items():
        at = said if isinstance(said, Mapping) else dict.fromkeys(_positions(case, key), said)
        typed |= {(key, position): text or None for position, text in at.items()}
    other = replace(
        other,
        parameters={**other.parameters, **told.get("parameters", {})},
        before=(*case.before, *told.get("before", ())),
        after=(*case.after, *told.get("after", ())),
        typed=typed,
    )
    return Variant(told["name"], other, told.get("finding", ""))


def _positions(case: Case, key: str) -> tuple[str, ...]:
    return next(expand(row["positions"]) for row in case.rows if row["characteristic"] == key)


def _occasions(data: Mapping[str, Any]) -> dict[str, dict[str, Typed]]:
    found = {"as found": dict(data.get("readings", {}))}
    found |= {occasion: dict(of) for occasion, of in data.get("readings_of", {}).items()}
    return {occasion: of for occasion, of in found.items() if of}


def _table(text: str) -> Iterator[dict[str, str]]:
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    for row in csv.DictReader(lines):
        yield {key: value or "" for key, value in row.items() if key}


# -- the build


def write(case: Case, folder: Path) -> Build:
    """The build folder, written anew."""
    (folder / "specs").mkdir(parents=True)
    (folder / "build.toml").write_text(
        f'name = "{case.template}"\nrule = "prove"\n{case.build}\n[parameters.{case.sheet}]\n'
        + "".join(f"{name} = {toml(value)}\n" for name, value in case.parameters.items())
    )
    gauges = [
        *case.gauges,
        *({**gauge_for(row, case)} for row in case.rows if not row.get("instrument") and not _without_gauge(row)),
    ]
    (folder / "instruments.csv").write_text(_csv(INSTRUMENT_COLUMNS, gauges))
    files: dict[str, list[dict[str, str]]] = {}
    for row in case.rows:
        sheet = row.get("sheet", case.sheet)
        file = row.get("subsystem") or (case.template.partition("/")[0] if sheet == case.sheet else "other")
        instrument = row.get("instrument") or ("" if _without_gauge(row) else gauge_for(row, case)["instrument"])
        source = row.get("source") or "a manual of this test, p. 1"
        files.setdefault(file, []).append({**row, "sheet": sheet, "instrument": instrument, "source": source})
    files = files or {"general": []}
    for file, rows in files.items():
        (folder / "specs" / f"{file}.csv").write_text(_csv((*SPEC_COLUMNS, *SPEC_OPTIONAL), rows))
    (folder / "joints.toml").write_text(case.joints or "[joints]\n[sheets]\n")
    return Build.open(folder)


def _without_gauge(row: Mapping[str, str]) -> bool:
    """What is worked out, and a date of making, are read from no gauge."""
    return bool(derived(row["positions"])) or row["unit"] == "date"


def gauge_for(row: Mapping[str, str], case: Case) -> dict[str, str]:
    """A gauge of the row's own, so that a failed check concerns this row alone; its `error` may stand in the row."""
    counts = row["unit"] == "count"
    error = "0" if counts else row.get("error") or _ERRORS.get(row["unit"], "0.01")
    key = (
        row["characteristic"]
        if row.get("sheet", case.sheet) == case.sheet
        else f"{row['sheet']}_{row['characteristic']}"
    )
    step = "1" if counts else error
    return {"instrument": f"of_{key}", "what": f"gauge for {key}", "unit": row["unit"], "resolution": step, "error": error,
            "source": "a data sheet of this test"}  # fmt: skip


_ERRORS = {"mm": "0.001", "in": "0.0001", "m": "0.01", "N m": "0.1", "N": "0.1", "bar": "0.1", "psi": "1", "V": "0.01",
           "mV": "1", "A": "0.01", "mA": "0.1", "ohm": "0.01", "Mohm": "0.1", "degC": "0.5", "deg": "0.1", "%": "0.01",
           "1": "0.001", "rpm": "10"}  # fmt: skip
"""How wrong a gauge may be where a case does not say it: far less than any limit of a case."""


def begin(case: Case, folder: Path) -> tuple[Build, Record]:
    """The build with everything entered."""
    build = write(case, folder)
    record = Record.open(build, clock=lambda: DAY)
    enter_case(record, build, case)
    return build, record


def enter_case(record: Record, build: Build, case: Case) -> None:
    """What the case enters: the entries before, its readings, and the entries after."""
    enter(record, build, case.before)
    bodies = []
    for occasion, of in case.readings.items():
        for name, typed in of.items():
            sheet, _, key = name.rpartition("/")
            sheet = sheet or case.sheet
            positions = expand(build.specs.get(sheet, key).positions)
            at = typed if isinstance(typed, Mapping) else dict.fromkeys(positions, typed)
            for position, text in at.items():
                said = case.typed.get((key, position), text) if sheet == case.sheet else text
                if said is not None:
                    bodies.append(
                        ("reading", reading_body(build, sheet, key, position, said, occasion, None, None, ""))
                    )
    if bodies:
        record.append_many(bodies)
    enter(record, build, case.after)


def enter(record: Record, build: Build, entries: Iterable[Mapping[str, Any]]) -> None:
    """Entries as a case writes them: `kind` and the fields that `restonb enter` takes."""
    for one in entries:
        fields = dict(one)
        kind = fields.pop("kind")
        if kind in ("usage", "strike"):
            getattr(room, f"enter_{kind}")(record, **fields)
        elif kind == "photo":
            room.enter_photo(record, build, _picture(build.folder), **fields)
        elif kind == "readings":
            room.enter_readings(
                record, build, fields.pop("sheet"), fields.pop("characteristic"), fields.pop("values"), **fields
            )
        else:
            getattr(room, f"enter_{kind}")(record, build, **fields)


def _picture(folder: Path) -> Path:
    """A picture to be entered."""
    from PIL import Image

    path = folder / "taken.png"
    Image.new("RGB", (8, 8), "gray").save(path)
    return path


def takes(build: Build, sheet: str, key: str, position: str, text: str) -> bool:
    """Whether the record would take such a reading: a size is never below nothing."""
    try:
        reading_body(build, sheet, key, position, text, "as found", None, None, "")
    except RestonbError:
        return False
    return True


def _csv(columns: tuple[str, ...], rows: Iterable[Mapping[str, str]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def toml(value: Any) -> str:
    """A value as TOML writes it, tables in one line."""
    if isinstance(value, list):
        return f"[{', '.join(map(toml, value))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{json.dumps(key)} = {toml(one)}' for key, one in value.items())}}}"
    return json.dumps(value, ensure_ascii=False)
