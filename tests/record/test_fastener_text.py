"""Fasteners in one line of text: every way that is read, and what is refused with what to write."""

from __future__ import annotations

import pytest

from restonb.errors import RecordError
from restonb.quantity import read
from restonb.record.fastener_text import fasteners_of
from restonb.stated import Fastener, Joint

ONE = Joint("mounting", "gearbox", fasteners=(Fastener("foot nut", 4, torque=read("24 N m"), treatment="sprayed red"),))
TWO = Joint("drive", "primary", fasteners=(Fastener("sprocket nut"), Fastener("case screw", 3)))
BARE = Joint("earths", "earth eyes")


def positions(joint: Joint, text: str) -> list[str]:
    return [row["position"] for row in fasteners_of(joint, text)]


@pytest.mark.parametrize(
    ("joint", "text", "names"),
    [
        (ONE, "1: 24 N m; 2: 24 N m", ["1", "2"]),
        (ONE, "1: 24 N m, 2: 24 N m,", ["1", "2"]),
        (ONE, "1-4: 24 N m", ["1", "2", "3", "4"]),
        (ONE, "2 to 3: 24 N m", ["2", "3"]),
        (ONE, "foot nut 1-2: 24 N m", ["1", "2"]),
        (ONE, "all: 24 N m", ["1", "2", "3", "4"]),
        (ONE, "foot nut: 24 N m", ["1", "2", "3", "4"]),
        (TWO, "1: 60 ft-lb; 2-4: 60 in-lb", ["sprocket nut 1", "case screw 1", "case screw 2", "case screw 3"]),
        (TWO, "sprocket nut: 60 ft-lb; case screw: 60 in-lb", ["sprocket nut 1", "case screw 1", "case screw 2", "case screw 3"]),
        (TWO, "Case Screw 2-3: 60 in-lb", ["case screw 2", "case screw 3"]),
        (BARE, "battery eye: 5 N m; foot 1-2: 5 N m", ["battery eye", "foot 1", "foot 2"]),
    ],
)  # fmt: skip
def test_every_way_to_name_fasteners(joint: Joint, text: str, names: list[str]) -> None:
    assert positions(joint, text) == names


def test_what_follows_the_torque() -> None:
    first, second, third, fourth = fasteners_of(
        ONE,
        "1: 24 N m, New, threadlocker; 2: 24 N m, oiled, re-used; 3: 24 N m, treatment: red goo, stage: again; 4: , dry",
    )
    assert (first["torque"], first["new"], first["treatment"]) == ("24 N m", True, "threadlocker")
    assert (second["new"], second["treatment"]) == (False, "oiled")
    assert (third["treatment"], third["stage"]) == ("red goo", "again")
    assert (fourth["torque"], fourth["treatment"]) == (None, "dry")
    (own,) = fasteners_of(ONE, "1: 24 N m, sprayed red")
    assert own["treatment"] == "sprayed red", "what the plan calls the treatment is one"


@pytest.mark.parametrize(
    ("joint", "text", "says"),
    [
        (ONE, "1: 24 N m, 2 24 N m", "'2 24 N m' is a fastener without a torque"),
        (ONE, "1: 24 N m, 24 N m", "'24 N m' is a fastener without a torque, or a torque without a fastener"),
        (ONE, "1: 24 N m, foot nut 2", "'foot nut 2' is a fastener without a torque"),
        (ONE, "1, 2: 24 N m", "'1' has no torque"),
        (ONE, "24 N m", "has no position"),
        (ONE, "1: 24,5 N m", "decimal comma: write 24.5 N m"),
        (ONE, "1: 24 N m, nwe", "write 'new'"),
        (ONE, "1: 24 N m, tight", "write 'treatment: tight'"),
        (ONE, "1: 24 N m, treatment:", "nothing follows 'treatment:'"),
        (ONE, "5: 24 N m", "no fastener 5: write a number from 1 to 4"),
        (ONE, "3-5: 24 N m", "no fastener 5: write a number from 1 to 4"),
        (ONE, "4-1: 24 N m", "write the lower number first"),
        (ONE, "1-3: 24 N m; 3: 25 N m", "3 is in the line twice"),
        (TWO, "5: 24 N m", r"from 1 to 4 \(sprocket nut 1, case screw 1"),
        (TWO, "case scrow 2: 24 N m", "write 'case screw 2'"),
        (TWO, "left bolt: 24 N m", "or add it to joints.toml"),
        (BARE, "all: 5 N m", "plans no fastener for earths, so 'all' says nothing"),
        (ONE, " ; ", "no fastener is named"),
        (ONE, ": 24 N m", "a torque without a fastener"),
    ],
)
def test_what_is_refused_says_what_to_write(joint: Joint, text: str, says: str) -> None:
    with pytest.raises(RecordError, match=says):
        fasteners_of(joint, text)
