"""A build of toy notebooks, each of which ends in its own way."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from restonb.record import Record
from restonb.stated import Build

AT = datetime(2026, 3, 14, 18, 5, tzinfo=timezone(timedelta(hours=1)))
PARAMETERS = "size = 2.0  # mm, of the toy\nnames: list[str] = []  # of parts"


def write_toy(build: Build, name: str, *cells: str, parameters: str = PARAMETERS, sheet: str = "toy") -> Path:
    """A template of the person's own: a title, parameters, and these code cells."""

    def cell(kind: str, source: str, i: int, **metadata: object) -> dict[str, object]:
        base = {"cell_type": kind, "id": f"cell-{i}", "metadata": metadata, "source": source}
        return base if kind == "markdown" else {**base, "outputs": [], "execution_count": None}

    made = [cell("markdown", "# A toy", 0), cell("code", parameters, 1, tags=["parameters"])]
    made += [cell("code", source, i) for i, source in enumerate(cells, 2)]
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    path = build.notebooks / f"{name}.ipynb"
    path.parent.mkdir(parents=True, exist_ok=True)
    notebook = {"cells": made, "metadata": {"kernelspec": kernel, "restonb": {"sheet": sheet}}}
    path.write_text(json.dumps({**notebook, "nbformat": 4, "nbformat_minor": 5}))
    return path


@pytest.fixture
def write_template() -> Callable[..., Path]:
    return write_toy


@pytest.fixture
def build(tmp_path: Path) -> Build:
    return Build.create(tmp_path / "toy build", "Toy")


@pytest.fixture
def record(build: Build) -> Iterator[Record]:
    with Record.open(build, clock=lambda: AT) as opened:
        yield opened
