"""What every formula of the family must do: take good input in any unit, refuse bad input by name, cite its source."""

from __future__ import annotations

import math
from typing import Any

import pytest

from restonb.errors import FormulaError
from restonb.formulas import threads
from restonb.formulas.catalogue import find, formulas
from restonb.formulas.sources import cite

GOOD: dict[str, dict[str, Any]] = {
    "basic_sizes": {"thread": "M8"},
    "blind_depth": {"thread": "M8", "length": 12.0, "drill": 8.3, "depth": 40.0},
    "bolt_shear_area": {"engagement": 8.0, "pitch": 1.25, "minor_hole_max": 6.912, "pitch_bolt_min": 7.042},
    "bush_choice": {"thread": "M8", "least_wall": 1.0, "bolt_tensile": 800.0, "hole_tensile": 180.0},
    "drill_for_percent": {"thread": "M8", "percent": 65.0},
    "hole_shear_area": {"engagement": 8.0, "pitch": 1.25, "major_bolt_min": 7.76, "pitch_hole_max": 7.348},
    "identify": {"diameter": 7.9, "pitch": 1.25},
    "insert_hole": {"thread": "M8"},
    "insert_length": {"thread": "M8", "bolt_tensile": 800.0, "hole_tensile": 180.0},
    "least_engagement": {"area": 36.6, "pitch": 1.25, "minor_hole_max": 6.912, "pitch_bolt_min": 7.042},
    "limiting_sizes": {"thread": "M8"},
    "look_alikes": {"thread": "M8"},
    "needed_engagement": {"thread": "M8", "bolt_tensile": 800.0, "hole_tensile": 180.0},
    "repair_plan": {
        "thread": "M8",
        "bolt_tensile": 800.0,
        "hole_tensile": 180.0,
        "depth": 40.0,
        "edge": 30.0,
        "length": 12.0,
    },
    "shear_areas": {"thread": "M8", "engagement": 8.0},
    "stress_area": {"thread": "M8"},
    "stripping": {"thread": "M8", "engagement": 8.0, "bolt_tensile": 800.0, "hole_tensile": 180.0},
    "tap_drill": {"thread": "M8", "percent": 75.0},
    "thread_percent": {"thread": "M8", "drill": "6.8 mm"},
}
NUMBERS = [(name, key) for name, call in GOOD.items() for key, value in call.items() if isinstance(value, float)]
BAD = [math.nan, math.inf, -math.inf, -1.0, 0.0, True, "", "many", "1,5", "5 kg", [], {}]


def test_every_formula_is_held_to_this() -> None:
    assert sorted(GOOD) == threads.__all__
    assert set(formulas("threads")) == {f"threads.{name}" for name in GOOD}


@pytest.mark.parametrize("name", GOOD)
def test_working_names_source_and_limits_of_use(name: str) -> None:
    one = find(f"threads.{name}")
    text = one(**GOOD[name]).working()
    assert one.answers.endswith((".", "?"))
    for key in one.source:
        assert cite(key) in text
    assert f"valid: {one.valid}" in text


@pytest.mark.parametrize(("name", "key"), NUMBERS)
@pytest.mark.parametrize("bad", BAD, ids=repr)
def test_bad_numbers_are_refused_by_name(name: str, key: str, bad: Any) -> None:
    one = find(f"threads.{name}")
    if bad == "" and one.signature.parameters[key].default is None:
        bad = "none at all"  # an argument that may be left out may be left empty
    with pytest.raises(FormulaError, match=f"'{key}'") as caught:
        one(**{**GOOD[name], key: bad})
    assert len(str(caught.value).splitlines()) == 1


@pytest.mark.parametrize(("name", "key"), NUMBERS)
@pytest.mark.parametrize("size", [1e-9, 1e9, 1e30])
def test_absurd_numbers_give_an_answer_or_a_reason(name: str, key: str, size: float) -> None:
    """Never a traceback of another kind, and never a number that is not finite."""
    try:
        result = find(f"threads.{name}")(**{**GOOD[name], key: size})
    except FormulaError:
        return
    assert all(math.isfinite(part.value) for part in result if isinstance(part.value, float))


@pytest.mark.parametrize(("name", "key"), NUMBERS)
def test_units_do_not_matter(name: str, key: str) -> None:
    """The same argument in another unit of its kind gives the same answer."""
    other = {"mm": ("in", 25.4), "mm2": ("in2", 645.16), "MPa": ("ksi", 6.894757293168361), "%": ("1", 100.0)}
    one = find(f"threads.{name}")
    unit = one.arguments[key][1].unit
    assert unit is not None
    name_of, factor = other[unit]
    first = one(**GOOD[name])
    again = one(
        **{
            **GOOD[name],
            key: f"{GOOD[name][key] / factor:.12f} {name_of}" if name_of != "1" else f"{GOOD[name][key]} %",
        }
    )
    for a, b in zip(first, again, strict=True):
        if isinstance(a.value, float):
            assert a.value == pytest.approx(b.value, rel=1e-8, abs=1e-9)
        else:
            assert a.value == b.value


@pytest.mark.parametrize("thread", ["", "M8x9", "3/8-16", "8 mm", "M8x1,25", None, 8])
def test_threads_are_never_guessed(thread: Any) -> None:
    with pytest.raises(FormulaError, match="'thread'"):
        threads.stress_area(thread)
