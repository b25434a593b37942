"""Killed at random moments, a few times; `long.py` does it a thousand times."""

from __future__ import annotations

import random
import sys

import kill
import pytest

from restonb.build import Build

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")


@pytest.mark.parametrize("turn", range(4))
def test_killed_while_entering(build: Build, turn: int) -> None:
    kill.entering(build, random.Random(turn))


def test_killed_while_a_run_is_filed(build: Build) -> None:
    """At every kind of moment: the last touches are those that put it in place and enter it."""
    last = kill.touches("file", build)
    assert last > 20
    dice = random.Random(last)
    ended = 0
    for touch in {*dice.sample(range(1, last + 1), 4), last, last - 3}:
        said = kill.died_at("file", build, touch)
        kill.check(build, said)
        ended += said[-1][0] == "touched"
    assert ended <= 1, "it was to be killed, and was not"


@pytest.mark.slow
@pytest.mark.parametrize("turn", range(2))
def test_killed_while_running(build: Build, turn: int) -> None:
    kill.running(build, random.Random(turn))


@pytest.mark.slow
def test_killed_while_exporting(build: Build) -> None:
    last = kill.touches("export", build)
    dice = random.Random(1)
    for touch in {*dice.sample(range(1, last + 1), 2), last - 20}:
        kill.check(build, kill.died_at("export", build, touch))
    kill.export_again(build)
