"""A fresh build folder, and short ways of writing one file into it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from restonb.errors import Mistake
from restonb.stated import Build

SPEC_HEADER = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source"
INSTRUMENT_HEADER = "instrument,what,unit,resolution,error,expansion,last_check,source"

Told = Callable[..., list[Mistake]]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty build, as `create` leaves it, with one instrument."""
    path = Build.create(tmp_path / "machine", "Wrenfield 450").folder
    (path / "instruments.csv").write_text(f"{INSTRUMENT_HEADER}\nfeeler,feeler gauges,mm,0.01,0.005,,,data sheet\n")
    return path


@pytest.fixture
def told(folder: Path) -> Told:
    """Write one file of the build, then ask for every mistake; `warnings=True` gives the warnings instead."""

    def ask(file: str, *lines: str, warnings: bool = False) -> list[Mistake]:
        (folder / file).write_text("\n".join(lines) + "\n", encoding="utf-8")
        return [m for m in Build.open(folder).check() if m.warning is warnings]

    return ask


@pytest.fixture
def specs(told: Told) -> Told:
    """Write rows into specs/drivetrain.csv below its header, then ask for every mistake."""

    def ask(*rows: str, warnings: bool = False) -> list[Mistake]:
        return told("specs/drivetrain.csv", SPEC_HEADER, *rows, warnings=warnings)

    return ask
