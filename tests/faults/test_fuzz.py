"""The fuzzing of fuzz.py, a few thousand inputs of it; by hand it does a million."""

from __future__ import annotations

import random
import sys

import fuzz
import pytest

from restonb.errors import RestonbError

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a timer signal")


@pytest.mark.parametrize(
    ("only", "times"),
    [
        ("quantity,thread,drill,position,body,moment,parameter", 6000),
        ("spec,instruments,identity,joints", 400),
        ("photo", 300),
        ("record", 40),
        pytest.param("bag,zip", 60, marks=pytest.mark.slow),
    ],
)
def test_whatever_comes_in_ends_in_an_answer_or_in_a_documented_error(only: str, times: int) -> None:
    done, faults = fuzz.run(times, 7, 0, only.split(","))
    assert not faults, "\n".join(faults.values())
    assert done.keys() == set(only.split(",")), "each was tried"


def test_a_fault_is_found_and_told_with_its_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    """The fuzzing itself: an undocumented error, a hang and an error without words are faults; others are not."""

    def faulty(dice: random.Random) -> None:
        match dice.randrange(4):
            case 0:
                raise RestonbError("write it so")
            case 1:
                raise RestonbError("")
            case 2:
                raise KeyError("a")
            case _:
                while True:
                    pass

    monkeypatch.setitem(fuzz.SHARES, "faulty", (1, 0.05, faulty))
    _, faults = fuzz.run(30, 7, 0, ["faulty"])
    told = "\n".join(faults.values())
    assert len(faults) == 3
    assert "KeyError" in told
    assert "TooLong" in told
    assert "an error without words" in told
    assert all(what.startswith("--from ") for what in faults.values())
