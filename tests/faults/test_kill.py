"""Killed at random moments, a few times; `long.py` does it a thousand times."""

from __future__ import annotations

import random
import sys
from pathlib import Path

import kill
import pytest

from restonb import log
from restonb.record import Record, verify
from restonb.record.ondisk import unfinished
from restonb.stated import Build

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")


@pytest.mark.parametrize("turn", range(4))
def test_killed_while_entering(build: Build, turn: int) -> None:
    kill.entering(build, random.Random(turn))


def test_killed_while_a_run_is_filed(build: Build) -> None:
    """At every kind of moment: the last touches are those that put it in place and enter it."""
    kill.touches("file", build)  # the first run of a day also makes its folder
    last = kill.touches("file", build)
    assert last > 20
    dice = random.Random(last)
    ended = 0
    for touch in {*dice.sample(range(1, last + 1), 4), last, last - 4, last - 16}:
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


def test_what_a_killed_run_left_half_made_goes_with_the_next_run(build: Build) -> None:
    """And only that: a person's own hidden files, and what another program is filing at the moment, stay."""
    last = kill.touches("file", build)
    left: list[Path] = []
    for touch in range(last - 16, 0, -4):  # the last few are the record's, those before put the files in place
        kill.died_at("file", build, touch)
        left = list(build.log.glob("*/.part-*"))
        if left:
            break
    assert left, "it was to be killed while there was something half made"
    day = left[0].parent
    (day / ".notes").write_text("my own")
    with unfinished(day) as others, Record.open(build) as record:
        done = log.run(build, record, "toy")
        assert done.good
        assert list(build.log.glob("*/.part-*")) == [others]
    assert (day / ".notes").read_text() == "my own"
    assert list(build.log.glob("*/.part-*")) == []
    assert verify(build.folder).ok
