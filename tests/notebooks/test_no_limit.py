"""Without a limit nothing is inside and nothing outside: a decision says that none is given, whatever the reading is."""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable
from typing import Any

import pytest

from restonb.measure import Characteristic, Reading, Verdicts, check


def read(value: float, unit: str = "mm") -> Verdicts:
    """One reading of a row that has no limit."""
    row = Characteristic("toy", "size", "a size", "once", unit)
    return check(row, [Reading("toy", "size", "once", value, unit, seq=1)], {})


def decision(module: str, name: str) -> Callable[..., Any]:
    found: Callable[..., Any] = getattr(importlib.import_module(f"restonb.decisions.{module}"), name)
    return found


ALONE = [
    *(("brake_check", name) for name in ("_faults", "_reserve", "_drag", "_stops")),
    *(("hydraulics", name) for name in ("_cylinders", "_faults", "_bleeding")),
    *(("wheels", name) for name in ("_play", "_line", "_tread", "_nuts")),
    *(("clutch", name) for name in ("_play",)),
    *(("disc", name) for name in ("_pads", "_tight")),
    ("final_chain", "_sprocket"),
    ("primary_alignment", "_slack"),
    ("bearing_fit", "_shaft"),
    ("charging", "_battery"),
]
WITH_MORE = [
    ("hydraulics", "_hold", lambda v: (None, v)),
    ("hydraulics", "_fluid", lambda v: (v, "DOT 4", None)),
    ("wheels", "_rim", lambda v: ("front rim sideways", v, None, "")),
    ("clutch", "_lift", lambda v: (v, None)),
    ("clutch", "_part", lambda v: (v, "spring", "springs", "Replace all springs together.")),
    ("disc", "_true", lambda v: (v, None)),
]
CLAIMS = re.compile(
    r"\b(is|are|stands?|stops|keeps?|holds?|turns?) (inside|outside|within|true|sound|fit|alike|in line)\b"
)


@pytest.mark.parametrize("value", [0.0, 3.0, 1e6])
@pytest.mark.parametrize(
    ("module", "name", "given"),
    [*((m, n, lambda v: (v,)) for m, n in ALONE), *WITH_MORE],
    ids=lambda x: x if isinstance(x, str) else "",
)
def test_a_reading_without_a_limit_is_not_judged(
    module: str, name: str, given: Callable[[Verdicts], tuple[Any, ...]], value: float
) -> None:
    said = decision(module, name)(*given(read(value)))
    text = said if isinstance(said, str) else " ".join(said)
    assert text.startswith("No limit is given for ")
    assert not CLAIMS.search(text)


def test_nobody_is_sent_onto_the_road_by_readings_without_limits() -> None:
    said = decision("brake_check", "next_steps")(read(0, "count"), read(60), read(2, "N"), read(15, "m"))
    assert said[-1].startswith("Do not ride it yet")
    assert not any("stops within" in line or "closed yard" in line for line in said)


def test_bores_without_limits_are_not_inside_them() -> None:
    from restonb.decisions.general.bore import Bore

    bore = Bore("left", read(70.01), read(0.01), None)
    said = " ".join(decision("bore", "next_steps")([bore], read(0.3)))
    assert "No limit is given for the left bore" in said
    assert "inside" not in said
