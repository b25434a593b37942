"""A small build for the commands: two joints, one sheet that relies on the upper one, one feeler gauge."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from restonb.cli.main import main

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
toy,gap,gap under foot,feet 4,,0,0.05,,mm,feeler,yes,"common practice, no source"
toy,lift,rise at the middle,once,,,,,mm,,,
"""
INSTRUMENTS = """instrument,what,unit,resolution,error,expansion,last_check,source
feeler,feeler gauges,mm,0.01 mm,0.005 mm,,,data sheet
"""
JOINTS = """
[joints.frame]
what = "frame"
[joints.mounting]
what = "gearbox feet to the plates"
rests_on = ["frame"]
[[joints.mounting.fasteners]]
what = "foot nut"
count = 2
thread = "M8x1.25"
torque = "24 N m"
replace_on_removal = true
[sheets]
toy = ["mounting"]
"""
TEMPLATE = {
    "cells": [
        {"cell_type": "markdown", "id": "title", "metadata": {}, "source": "# Toy sheet"},
        {
            "cell_type": "code", "id": "parameters", "metadata": {"tags": ["parameters"]}, "execution_count": None,
            "outputs": [], "source": "plies = 3  # most shims in one stack",
        },
        {
            "cell_type": "code", "id": "work", "metadata": {}, "execution_count": None, "outputs": [],
            "source": 'from restonb import bench\nfrom restonb.decisions.steps import judged\nsheet = bench.sheet("toy")\n'
            'gaps = sheet.check("gap")\nsheet.decide(judged(gaps, "gaps", "the lift of the feet", measure="Measure the gaps.", '
            'inside="The gaps are inside."))\nsheet.file()',
        },
    ],
    "metadata": {
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "restonb": {"sheet": "toy"},
    },
    "nbformat": 4,
    "nbformat_minor": 5,
}  # fmt: skip


class Said(NamedTuple):
    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        return json.loads(self.out)


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Callable[..., Said]:
    """Run one command in this process: exit code, stdout, stderr."""

    def run(*words: str) -> Said:
        capsys.readouterr()
        code = main([str(w) for w in words])
        return Said(code, *capsys.readouterr())

    return run


@pytest.fixture
def build(tmp_path: Path, say: Callable[..., Said], monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "toy-build"
    assert say("new", folder, "--name", "Toy").code == 0
    (folder / "specs" / "drivetrain.csv").write_text(SPECS)
    (folder / "instruments.csv").write_text(INSTRUMENTS)
    (folder / "joints.toml").write_text(JOINTS)
    own = folder / "notebooks" / "drivetrain"
    own.mkdir(parents=True, exist_ok=True)
    (own / "toy.ipynb").write_text(json.dumps(TEMPLATE))
    monkeypatch.chdir(folder)
    return folder
