"""What `restonb bench` does before the server starts, and what it hands on to it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from restonb import bench
from restonb.log import templates
from restonb.stated import Build


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Build, dict[str, Any]]]:
    """What the server was started with; it answers 3, as a server that did not start."""
    found: list[tuple[Build, dict[str, Any]]] = []
    monkeypatch.setattr(bench, "serve", lambda build, **more: found.append((build, more)) or 3)
    return found


def test_every_shipped_template_is_copied_once_and_a_persons_own_is_left_alone(
    build: Path, say: Callable, served: list[Any]
) -> None:
    own = build / "notebooks" / "drivetrain" / "toy.ipynb"
    before = own.read_bytes()
    assert say("bench", "-b", build).code == 3
    assert own.read_bytes() == before
    assert (build / "record.sqlite").is_file()
    known = templates(Build.open(build))
    assert len(known) > 20
    assert all(t.own for t in known), "what is opened in the browser is the build's own copy"
    changed = build / "notebooks" / "brakes" / "disc.ipynb"
    changed.write_text(own.read_text())
    assert say("bench", "-b", build).code == 3
    assert changed.read_bytes() == before, "a copy that a person changed is not copied over"


@pytest.mark.parametrize(
    ("words", "handed"),
    [
        ([], {"lan": False, "port": 0, "browser": True}),
        (["--lan", "--port", "8899"], {"lan": True, "port": 8899, "browser": True}),
        (["--no-browser"], {"lan": False, "port": 0, "browser": False}),
    ],
)
def test_what_is_asked_for_reaches_the_server(
    build: Path, say: Callable, served: list[Any], words: list[str], handed: dict[str, Any]
) -> None:
    assert say("bench", "-b", build, *words).code == 3
    ((opened, more),) = served
    assert opened.folder == build
    assert more == handed
