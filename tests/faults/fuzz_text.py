"""One random line each: what a person types, and what a program hands to the record. For fuzz.py."""

from __future__ import annotations

import ast
import json
import math
import random
from typing import Any

from restonb.log._parameters import Parameter, merged, parsed, read_cell, write_cell
from restonb.measure import derived, expand, find_position, layout
from restonb.quantity import read, read_drill, read_thread, unit, units, write
from restonb.record._canonical import canonical
from restonb.record._journal import _not_later
from restonb.record.bodies import KINDS, number_text, text_of

PEPPER = (
    *" 0123456789.,-+/*^()[]{}'\"#=:;%_\\\n\t\0xXeE",
    *("½", "１", "٣", "²", "−", "–", "µ", "μ", "Ω", "°", "İ", "ß", "ﬀ", "\u2028", "\u200b", "\ufeff", "\ud800", "😀"),
    *("nan", "inf", "1e400", "e999", "9" * 400, "1/0", "0/0", "-0", "x" * 3000, "{}", "%s", "\r\n", "é", "\x1b[31m"),
    *("__import__('os')", "$(id)", "../", "null", "true", "Infinity", "1_0", "0x10", "0b1", " x ", " of "),
)


def mutated(text: str, dice: random.Random, samples: tuple[str, ...] = ("",), most: int = 4) -> str:
    """The text with a few cuts, doublings, splices of another sample and grains of pepper."""
    for _ in range(dice.randint(0, most)):
        at = dice.randint(0, len(text))
        match dice.randrange(6):
            case 0:
                text = text[:at] + text[at + dice.randint(1, 3) :]
            case 1:
                text = text[:at] + text[at : at + dice.randint(1, 6)] * dice.randint(1, 3) + text[at:]
            case 2:
                other = dice.choice(samples)
                text = text[:at] + other[dice.randint(0, len(other)) :]
            case 3:
                text = text[at:] + text[:at]
            case _:
                text = text[:at] + dice.choice(PEPPER) + text[at:]
    return text[:20_000]


# -- what a person types -----------------------------------------------------------------------------------

UNITS = tuple(units())
QUANTITIES = (
    *("0.010 in", "3/8", "1 1/2 in", '1-1/2"', "10 thou", "0.25 mm", "-2 degC", "25 ft-lb", "12.6 V", "1e-3 ohm", ".5"),
    *("2.4 kgf m", "30 psi", "45 deg", "6000 rpm", "450 cc", "11.5 um/m/K", "5 %", "0,25 mm", "1 000 mm", "4 x 10"),
)


def quantity(dice: random.Random) -> None:
    wanted = dice.choice((None, *UNITS)) if dice.random() < 0.7 else mutated(dice.choice(UNITS), dice)
    found = read(mutated(dice.choice(QUANTITIES), dice, (*QUANTITIES, *UNITS)), wanted)
    assert math.isfinite(found.value)
    assert unit(found.unit).name == found.unit
    assert number_text(found.value)
    assert write(found.value, found.unit, resolution=found.resolution).isprintable()
    if wanted is not None:
        assert math.isfinite(found.to(wanted).value)


THREADS = (
    "3/8-16 UNC",
    "M8x1.25",
    "M10",
    "1/4-26 BSCyc",
    "5/16 BSF",
    "G 1/8",
    "#10-32 UNF",
    "2 BA",
    "M8 x 1 LH",
    "1/2 BSW",
)
DRILLS = ("#7", "F", "6.8 mm", "17/64", "1/4 in", "No. 30", "Z", "letter q", "0.25 in")


def thread(dice: random.Random) -> None:
    found = read_thread(mutated(dice.choice(THREADS), dice, THREADS))
    assert 0 < found.pitch < math.inf
    assert 0 < found.major < math.inf


def drill(dice: random.Random) -> None:
    assert 0 < read_drill(mutated(dice.choice(DRILLS), dice, DRILLS)).diameter < math.inf


PATTERNS = (
    *(
        "once",
        "repeat 5",
        "feet 4",
        "clock 8",
        "depth 10mm,40mm x axis A,B",
        "links 20",
        "phases AB,BC,CA",
        "front, rear",
    ),
    *("left x clock 4", "spread of thickness", "run-out of face", "cylinders 2 x valve inlet,exhaust", "mean of gap"),
)
TYPED = ("3", "foot 3", "12:00", "3 o'clock", "depth 10 mm / axis A", "AB", "mean of 5", "A", "once", "1.5", "left / 3")


def position(dice: random.Random) -> None:
    pattern = mutated(dice.choice(PATTERNS), dice, PATTERNS)
    derived(pattern)
    names = expand(pattern)
    assert names
    assert len(set(names)) == len(names)
    assert len(names) < 100_000
    assert len(layout(pattern).places) == len(names)
    assert find_position(pattern, mutated(dice.choice((*TYPED, *names[:3])), dice, TYPED)) in names


# -- what is handed to the record --------------------------------------------------------------------------

SAMPLES: dict[str, dict[str, Any]] = {
    "reading": {
        "sheet": "a",
        "characteristic": "b",
        "position": "foot 1",
        "value": "0.25",
        "unit": "mm",
        "typed": ".25",
    },
    "strike": {"seq": 3, "why": "wrong leaf"},
    "disturb": {"joint": "mounting", "what": "removed", "why": "to get at the chain"},
    "joint": {"joint": "a", "state": "tightened", "fasteners": [{"position": "1", "torque": "24", "unit": "N m"}]},
    "check": {"instrument": "dial", "good": True},
    "usage": {"value": "12034", "unit": "mile"},
    "part": {"what": "washer", "quantity": "4", "state": "ordered", "cost": "3.20"},
    "work": {"what": "bored out", "who": "a friend", "hours": "2.5", "state": "sent"},
    "note": {"text": "cleaned", "private": True, "salt": "0"},
    "photo": {"file": "photos/a.jpg", "sha256": "0" * 64},
    "run": {"template": "a/b", "sheet": "b", "state": "good", "filed": {"verdicts": []}, "seconds": 1.5, "cell": None},
    "handover": {"file": "a.zip", "digest": "0", "head": {"seq": 1}},
}
ODD: tuple[Any, ...] = (
    *(
        None,
        True,
        0,
        -1,
        2**53,
        2**64,
        1.5,
        math.nan,
        math.inf,
        -0.0,
        1e300,
        5e-324,
        "",
        " ",
        b"x",
        (),
        set(),
        object(),
    ),
    *([], [[]], {}, {"a": {}}, {1: 2}, {"\ud800": 1}, [math.nan], {"a": 2**60}, "\ud800", "a\0b", 10**400),
)


def body(dice: random.Random) -> None:
    """What is taken is written in one way only, and reads back as that."""
    kind = dice.choice((*SAMPLES, "reading", "reading", "raeding"))
    said: dict[Any, Any] = dict(SAMPLES.get(kind, SAMPLES["note"]))
    for _ in range(dice.randint(0, 3)):
        key = dice.choice((*said, *KINDS[kind].fields)) if kind in KINDS else "text"
        match dice.randrange(4):
            case 0:
                said.pop(key, None)
            case 1:
                said[dice.choice((mutated(str(key), dice), 1, None, ""))] = "a"
            case 2:
                said[key] = mutated(str(said.get(key, "0.25")), dice)
            case _:
                said[key] = dice.choice(ODD)
    text = text_of(kind, said)
    assert canonical(json.loads(text)) == text


MOMENTS = (
    "2026-03-14",
    "2026-03-14T18:05",
    "2026-03-14T18:05:00+01:00",
    "17",
    "20260314",
    "2026-W11-6",
    "2026-03-14 18:05",
)


def moment(dice: random.Random) -> None:
    condition, values = _not_later(mutated(dice.choice(MOMENTS), dice, MOMENTS))
    assert condition.count("?") == len(values)


# -- parameters --------------------------------------------------------------------------------------------

CELL = (
    'size = 2.0  # mm\nname = "a"  # of the part\nmany: list[str] = []  # parts\nrise: float | None = None  # mm\n'
    "feet_mm = [[0, 0], [1.5, 2]]\ncount = 3\nfast = True\n"
)
KNOWN = read_cell(CELL)
NAMES = tuple(p.name for p in KNOWN)
VALUES = (
    "2",
    "2.5",
    "[1, 2]",
    "[[0, 1], [2, 3]]",
    "10 thou",
    "0.05 mm",
    "true",
    "null",
    '"text"',
    '["a", "b"]',
    "1e999",
    "{}",
)


def parameter(dice: random.Random) -> None:
    """Whatever is given stays a value: the cell that is written holds literals, which are what was taken."""
    match dice.randrange(3):
        case 0:
            found = read_cell(mutated(CELL, dice, VALUES, 6))
            assert all(isinstance(one, Parameter) for one in found)
            return
        case 1:
            words = [
                f"{dice.choice(NAMES)}={mutated(dice.choice(VALUES), dice, VALUES)}" for _ in range(dice.randint(1, 3))
            ]
            taken = parsed(KNOWN, [mutated(w, dice, most=1) for w in words], "toy")
        case _:
            given = {
                dice.choice(NAMES): dice.choice((*ODD, *VALUES, [1, "a"], ["a"], [[1], [2, "x"]])) for _ in range(2)
            }
            taken = merged(KNOWN, [("given", given)], "toy")
    literals = {}
    for statement in ast.parse(write_cell(CELL, taken)).body:
        assert isinstance(statement, ast.Assign | ast.AnnAssign)
        target = statement.target if isinstance(statement, ast.AnnAssign) else statement.targets[0]
        assert isinstance(target, ast.Name)
        assert statement.value is not None
        literals[target.id] = ast.literal_eval(statement.value)
    assert {name: literals[name] for name in taken} == taken
