"""Every yes/no argument of every formula, said both ways and left out: each way a value by hand or from the source named.

A formula that turned such an answer round, or did not look at it, would still give a plausible number.
"""

from __future__ import annotations

from typing import Any

import pytest

from restonb.formulas import chain, electrical, threads
from restonb.formulas.catalogue import formulas

HANDLED = {
    ("chain.elongation_limit", "fixed_centres"),
    ("electrical.voltage_drop", "return_wire"),
    ("electrical.wire_for", "return_wire"),
    ("threads.repair_plan", "through"),
}


def test_every_yes_no_argument_is_looked_at_here() -> None:
    asked = {
        (name, argument)
        for name, one in formulas().items()
        for argument, (kind, _) in one.arguments.items()
        if kind is bool or "bool" in str(kind)
    }
    assert asked == HANDLED


@pytest.mark.practice
@pytest.mark.parametrize(
    ("teeth", "adjustable", "fixed"),
    [(17, 3.0, 1.5), (45, 3.0, 1.5), (80, 2.5, 1.5), (140, 200 / 140, 200 / 140)],
)
def test_a_chain_on_fixed_centres_may_wear_half_as_far(teeth: int, adjustable: float, fixed: float) -> None:
    """3 %, or 200 over the teeth of a large sprocket; 1.5 % where nothing takes up the slack, and never more than the other."""
    assert float(chain.elongation_limit(teeth)) == pytest.approx(adjustable)
    assert float(chain.elongation_limit(teeth, False)) == pytest.approx(adjustable)
    assert float(chain.elongation_limit(teeth, fixed_centres=True)) == pytest.approx(fixed)


@pytest.mark.parametrize(
    ("answer", "volts"), [({}, 0.24), ({"return_wire": True}, 0.24), ({"return_wire": False}, 0.12)]
)
def test_the_current_goes_there_and_back(answer: dict[str, bool], volts: float) -> None:
    """By hand: 4 A through 3 m of 10 ohm/km is 0.12 V one way, and as much again where it comes back through a wire."""
    assert float(electrical.voltage_drop(4, 10, 3, **answer)) == pytest.approx(volts)


@pytest.mark.published(
    "IEC 60228, Table 3: at most 19.5, 13.3 and 7.98 ohm/km at 20 degC for 1, 1.5 and 2.5 mm2, flexible"
)
@pytest.mark.parametrize(
    ("answer", "area", "ohm_km", "ways"),
    [({}, 2.5, 7.98, 2), ({"return_wire": True}, 2.5, 7.98, 2), ({"return_wire": False}, 1.0, 19.5, 1)],
)
def test_a_return_through_the_frame_needs_less_wire(
    answer: dict[str, bool], area: float, ohm_km: float, ways: int
) -> None:
    """4 A over 3 m with 0.3 V to lose, copper at 40 degC: 1.0786 times the resistance at 20 (IEC 60028, 0.00393/K).

    Both ways: 1.5 mm2 loses 4 * 13.3 * 1.0786 * 6 / 1000 = 0.344 V, too much. One way: 0.75 mm2 loses 0.337 V, too much.
    """
    got = electrical.wire_for(4, 3, 0.3, **answer)
    assert float(got.area) == area
    assert float(got.drop) == pytest.approx(4 * ohm_km * 1.0786 * ways * 3 / 1000, rel=1e-4)


def plan(depth: float, **more: Any) -> Any:
    return threads.repair_plan("M8", 800, 180, depth=depth, edge=30, **more)


@pytest.mark.published(
    "ASME B18.29.2M: depth of a tapped blind hole, as in the example of Machinery's Handbook 31 p. 1746"
)
@pytest.mark.parametrize("answer", [{}, {"through": False}])
def test_a_blind_hole_has_a_depth_and_a_floor(answer: dict[str, bool]) -> None:
    """M8x1.25, 16 mm of insert (2 D), plug tap: 16 + (1 + 4 + 1) 1.25 + 4 = 27.5 mm of full bore."""
    got = plan(40, **answer)
    assert float(got.full_depth) == pytest.approx(27.5)
    assert float(got.floor) > 0
    assert got.possible
    assert not plan(25, **answer).possible


def test_a_hole_right_through_has_none_and_needs_less_metal() -> None:
    """By hand: 16 mm of insert and one pitch of 1.25 mm need 17.25 mm of metal; 25 mm do, 17 mm do not."""
    got = plan(25, through=True)
    assert (got.full_depth, got.drill_mark, got.tap_mark, got.floor) == (None, None, None, None)
    assert got.possible
    thin = plan(17, through=True)
    assert not thin.possible
    assert set(got.cautions) < set(thin.cautions)
    assert [text for text in thin.cautions if "17.2 mm" in text]
