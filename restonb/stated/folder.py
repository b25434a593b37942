"""The build folder: one machine, and everything that a person states about it."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import cached_property
from pathlib import Path

from restonb.errors import BuildError, Mistake
from restonb.measure import Instrument
from restonb.stated._identity import Identity, read_identity
from restonb.stated._joints import read_joints
from restonb.stated._shipped import shipped
from restonb.stated._specs import Found, read_specs, spec_files
from restonb.stated._text import Report, quoted
from restonb.stated._toml import Document
from restonb.stated.instruments import Gauge, read_instruments
from restonb.stated.joints import JointMap
from restonb.stated.specs import SpecBook
from restonb.words import nearest

__all__ = ["Build"]

_VARIABLE = "RESTONB_BUILD"


class Build:
    """One machine's folder. Its files are read on first use; open it again to see what was edited since.

    A mistake in a file raises BuildError, which carries all mistakes of that file.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._warned: dict[str, list[Mistake]] = {}

    @classmethod
    def open(cls, folder: str | Path) -> Build:
        """The build in `folder`. Raises BuildError when there is none."""
        path = Path(folder).resolve()
        if path.is_file():
            raise BuildError(f"{path.name} is a file; name the folder of the build, such as {path.parent}")
        if not (path / "build.toml").is_file():
            raise BuildError(f'no build.toml in {path}; start a build there with: restonb new "{path.name}"')
        return cls(path)

    @classmethod
    def find(cls, start: str | Path | None = None) -> Build:
        """The build that `start` (or the current folder) lies in, or the one that RESTONB_BUILD names."""
        if start is None and os.environ.get(_VARIABLE):
            return cls.open(os.environ[_VARIABLE])
        here = Path(start or Path.cwd()).resolve()
        for folder in (here, *here.parents):
            if (folder / "build.toml").is_file():
                return cls(folder)
        raise BuildError(
            f"no build.toml in {here} or any folder above it; go to a build's folder, or start one "
            'with: restonb new "my build"'
        )

    @classmethod
    def create(cls, folder: str | Path, name: str, machine: Mapping[str, str] | None = None) -> Build:
        """A new build in `folder`, with starter files that explain themselves and hold no limits.

        Raises BuildError when the folder is there and not empty.
        """
        path = Path(folder).resolve()
        if not name.strip():
            raise BuildError("a build needs a name; write one, as in 'Wrenfield 450'")
        try:
            if path.is_dir() and any(path.iterdir()):
                raise BuildError(f"{path} is not empty; name a new folder, or an empty one")
            path.mkdir(parents=True, exist_ok=True)
            from restonb.stated._starter import write_starter

            write_starter(path, name.strip(), machine or {})
        except OSError as error:
            raise BuildError(f"{path} cannot be written ({error.strerror}); name another folder") from error
        return cls(path)

    def __repr__(self) -> str:
        return f"Build({str(self.folder)!r})"

    # -- build.toml

    @cached_property
    def _identity(self) -> Identity:
        report = Report("build.toml")
        identity = read_identity(self.folder / "build.toml", report)
        self._finish(report)
        return identity

    @property
    def name(self) -> str:
        return self._identity.name

    @property
    def machine(self) -> dict[str, str]:
        """Make, model, year, frame number ...: whatever the person states, in the order stated."""
        return dict(self._identity.machine)

    @property
    def units(self) -> dict[str, str]:
        """The unit to show for a kind of quantity, where the person chose one."""
        return dict(self._identity.units)

    @property
    def rule(self) -> str:
        """The decision rule: 'prove' or 'simple'."""
        return self._identity.rule

    @property
    def not_fitted(self) -> tuple[str, ...]:
        """Sheets about parts that this machine does not have: what was filed of them by mistake counts for nothing."""
        return self._identity.not_fitted

    @property
    def parameters(self) -> dict[str, dict[str, object]]:
        """Standing template parameters by sheet."""
        return {sheet: dict(values) for sheet, values in self._identity.parameters.items()}

    # -- instruments.csv

    @cached_property
    def gauges(self) -> dict[str, Gauge]:
        """The rows of instruments.csv, with last check and source."""
        report = Report("instruments.csv")
        gauges = read_instruments(self.folder / "instruments.csv", report)
        self._finish(report)
        return gauges

    @property
    def instruments(self) -> dict[str, Instrument]:
        return {key: gauge.instrument for key, gauge in self.gauges.items()}

    # -- specs

    @cached_property
    def specs(self) -> SpecBook:
        """The spec book, from every file of specs/."""
        return self._read_specs(self.gauges)

    def _read_specs(self, gauges: Mapping[str, Gauge] | None) -> SpecBook:
        rows: Found = {}
        mistakes: list[Mistake] = []
        files, left = spec_files(self.folder / "specs")
        self._warned["specs"] = left
        for path in files:
            report = Report(f"specs/{path.name}")
            try:
                rows |= read_specs(path, report, gauges, rows)
                self._finish(report)
            except BuildError as error:
                mistakes.extend(error.mistakes)
        if mistakes:
            raise BuildError(mistakes=mistakes)
        return SpecBook([row for row, _ in rows.values()], {name: line for name, (_, line) in rows.items()})

    # -- joints.toml

    @cached_property
    def _joints(self) -> tuple[JointMap, Document]:
        report = Report("joints.toml")
        found = read_joints(self.folder / "joints.toml", report)
        self._finish(report)
        return found

    @property
    def joints(self) -> JointMap:
        return self._joints[0]

    # -- what is around them

    @property
    def record_path(self) -> Path:
        return self.folder / "record.sqlite"

    @property
    def log(self) -> Path:
        return self.folder / "log"

    @property
    def photos(self) -> Path:
        return self.folder / "photos"

    @property
    def notebooks(self) -> Path:
        return self.folder / "notebooks"

    @property
    def handover(self) -> Path:
        return self.folder / "handover"

    # -- all mistakes at once

    def check(self) -> tuple[Mistake, ...]:
        """Every mistake and every warning in every file; raises nothing."""
        mistakes: list[Mistake] = []

        def gather(read: Callable[[], object]) -> bool:
            try:
                read()
            except BuildError as error:
                mistakes.extend(error.mistakes)
                return False
            return True

        gather(lambda: self._identity)
        known = gather(lambda: self.gauges)
        gather(lambda: self.specs if known else self._read_specs(None))
        gather(lambda: self._joints)
        return (*mistakes, *(self._warned_so_far() if mistakes else self.warnings))

    @property
    def warnings(self) -> tuple[Mistake, ...]:
        """What is accepted but worth a look. Reads every file; raises BuildError where one has mistakes."""
        parameters, sheets, known = self.parameters, self.joints.sheets, self.specs.sheets
        named = [name for name in (*parameters, *sheets) if name not in known]
        known = (*known, *(name for name in named if self.measures_nothing(name)))
        across = [
            *_unknown_sheets("build.toml", parameters, known, self._identity.document, "parameters"),
            *_unknown_sheets("joints.toml", sheets, known, self._joints[1], "sheets"),
        ]
        here = [
            Mistake(
                "build.toml",
                *self._identity.document.place("not_fitted"),
                f"not_fitted = {quoted(name)}, which the spec book has rows for",
                "take it out of the list, or its rows out of the spec book",
                warning=True,
            )
            for name in self.not_fitted
            if name in self.specs.sheets
        ]
        return (*self._warned_so_far(), *across, *here)

    def measures_nothing(self, sheet: str) -> bool:
        """Whether a template of that name only works out what is in the record or in its parameters: it needs no rows."""
        try:
            places = [self.notebooks, shipped("notebooks")]
        except BuildError:  # an installation without templates
            places = [self.notebooks]
        texts = [path.read_bytes() for place in places for path in place.glob(f"**/{sheet}.ipynb")]
        return any(b".expects(" not in text and b".measure" not in text for text in texts)

    def _warned_so_far(self) -> tuple[Mistake, ...]:
        return tuple(m for warned in self._warned.values() for m in warned)

    def _finish(self, report: Report) -> None:
        self._warned[report.file] = report.warnings
        report.stop()


def _unknown_sheets(
    file: str, named: Iterable[str], known: Collection[str], document: Document, table: str
) -> list[Mistake]:
    """A sheet without characteristics is probably misspelt, but may be meant."""
    found = []
    for sheet in named:
        if sheet not in known:
            meant = nearest(sheet, known)
            write = f"write {quoted(meant)}" if meant else "write its characteristics into a file of specs/"
            what = f"sheet {quoted(sheet)}, which no spec file has"
            found.append(Mistake(file, *document.place(table, sheet), what, write, warning=True))
    return found
