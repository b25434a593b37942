"""Rows that are worked out from other rows, each with its uncertainty. Oracles: GTC, the `uncertainties` library, simulation."""

from __future__ import annotations

import math

import GTC
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from uncertainties import umath

from restonb.errors import MeasureError
from restonb.measure import DERIVATIONS, carried, check, derive
from restonb.measure.derivations import _weigh

GRID = "depth 10mm,40mm,70mm x axis A,B"
BORE = [70.045, 70.03, 70.032, 70.025, 70.012, 70.01]
WHEEL = [0.235, 0.2483, 0.2333, 0.2129, 0.185, 0.1517, 0.1467, 0.1871]
DIAL = (0.01 / math.sqrt(3), 0.01 / math.sqrt(12))
"""Standard uncertainties of the dial indicator: error, resolution."""


@pytest.fixture
def bore(row):
    return row(GRID, key="bore", instrument="dial")


@pytest.fixture
def wheel(row):
    return row("clock 8", key="wheel", instrument="dial")


def worked_out(row, text: str, **rest: object):
    return row(text, key="result", instrument=None, **rest)


@pytest.mark.practice
def test_ovality_is_the_spread_across_the_axes_at_each_depth(row, read, gauges, bore) -> None:
    found = check(worked_out(row, "ovality of bore", lower=0, upper=0.05), read(bore, *BORE), gauges, base=[bore])
    assert [r.position for r in found] == ["depth 10mm", "depth 40mm", "depth 70mm"]
    assert [r.value for r in found] == pytest.approx([0.015, 0.007, 0.002], abs=1e-9)
    assert max(r.value for r in found) == pytest.approx(0.015, abs=1e-6)
    assert found.word == "inside"


@pytest.mark.practice
def test_taper_is_the_spread_down_each_axis(row, read, gauges, bore) -> None:
    found = check(worked_out(row, "taper of bore", lower=0, upper=0.02), read(bore, *BORE), gauges, base=[bore])
    assert [r.position for r in found] == ["axis A", "axis B"]
    assert [r.value for r in found] == pytest.approx([0.033, 0.020], abs=1e-9)
    assert max(r.value for r in found) == pytest.approx(0.033, abs=1e-6)


@pytest.mark.parametrize(
    ("word", "value"),
    [
        ("run-out", 0.1016),
        ("eccentricity", 0.0499959),
        ("form", 0.0200283),
        ("spread", 0.1016),
        ("largest", 0.2483),
        ("smallest", 0.1467),
        ("mean", sum(WHEEL) / 8),
    ],
)
def test_what_a_wheel_says(row, read, gauges, wheel, word: str, value: float) -> None:
    """Values as for the harmonic fit, worked out elsewhere."""
    (found,) = check(worked_out(row, f"{word} of wheel", upper=1.0), read(wheel, *WHEEL), gauges, base=[wheel])
    assert found.position == "once"
    assert found.value == pytest.approx(value, abs=1e-6)
    assert [r.seq for r in found.readings] == list(range(1, 9))


@pytest.mark.practice
def test_twist_of_four_feet(row, read, gauges) -> None:
    feet = row("feet 4", key="gap", instrument="feeler")
    (found,) = check(
        worked_out(row, "twist of gap", lower=0, upper=0.1), read(feet, 0, 0.1, 0.35, 0.05), gauges, base=[feet]
    )
    assert found.value == pytest.approx(0.2)
    assert found.verdict == "outside"


def test_clearance_of_piston_and_bore(row, read, gauges) -> None:
    bore, piston = (row("cylinder 1,2", key=k, instrument="dial") for k in ("bore", "piston"))
    readings = [*read(bore, 70.03, 70.04), *read(piston, 69.95, 69.99, start=3)]
    found = check(
        worked_out(row, "difference of bore and piston", lower=0.04, upper=0.13), readings, gauges, base=[bore, piston]
    )
    assert [r.position for r in found] == ["cylinder 1", "cylinder 2"]
    assert [r.value for r in found] == pytest.approx([0.08, 0.05])
    assert [r.verdict for r in found] == ["inside", "too close to call"]


def test_one_size_against_many(row, read, gauges) -> None:
    bore, gauge = row("cylinder 1,2", key="bore"), row("once", key="setting")
    readings = [*read(bore, 1.0, 2.0), *read(gauge, 10.0, start=3)]
    assert [
        m.measured.value
        for m in derive(worked_out(row, "sum of bore and setting"), readings, gauges, base=[bore, gauge])
    ] == [11, 12]
    assert [
        m.measured.value
        for m in derive(worked_out(row, "difference of setting and bore"), readings, gauges, base=[bore, gauge])
    ] == [9, 8]


def test_a_difference_may_be_negative_so_that_zero_must_be_proved(row, read, gauges) -> None:
    bore, piston = (row("once", key=k) for k in ("bore", "piston"))
    found = check(
        worked_out(row, "difference of bore and piston", lower=0),
        [*read(bore, 5.0), *read(piston, 5.0, start=2)],
        gauges,
        base=[bore, piston],
    )
    assert found.word == "too close to call"


def test_a_place_not_read_leaves_the_result_open(row, read, gauges, bore) -> None:
    spec = worked_out(row, "ovality of bore", upper=0.05)
    found = check(spec, read(bore, *BORE[:5], None), gauges, base=[bore])
    assert [r.verdict for r in found] == ["inside", "inside", "not measured"]
    assert found[2].note == "not read yet: depth 70mm / axis B"
    assert [r.verdict for r in check(spec, [], gauges, base=[bore])] == ["not measured"] * 3
    assert check(spec, [], gauges)[0].note == "not read yet: bore"


def test_without_the_base_row_the_positions_are_those_that_were_read(row, read, gauges, bore) -> None:
    spec = worked_out(row, "ovality of bore", upper=0.05)
    readings = [r._replace(instrument="dial") for r in read(bore, *BORE)]
    assert check(spec, readings, gauges).as_data() == check(spec, readings, gauges, base=[bore]).as_data()


def test_result_in_its_own_unit(row, read, gauges, bore) -> None:
    thou = check(worked_out(row, "ovality of bore", unit="thou", upper=2.0), read(bore, *BORE), gauges, base=[bore])
    mm = check(worked_out(row, "ovality of bore", upper=0.0508), read(bore, *BORE), gauges, base=[bore])
    for a, b in zip(thou, mm, strict=True):
        assert a.value * 0.0254 == pytest.approx(b.value)
        assert a.u * 0.0254 == pytest.approx(b.u)
        assert a.verdict == b.verdict


def test_repeats_are_averaged_first(row, read, gauges) -> None:
    bore = row("axis A,B x repeat 3", key="bore", instrument="dial")
    (found,) = check(
        worked_out(row, "ovality of bore", upper=1.0), read(bore, 1.0, 1.1, 1.2, 2.0, 2.0, 2.0), gauges, base=[bore]
    )
    assert found.value == pytest.approx(0.9)
    assert math.isfinite(found.dof)
    assert len(found.readings) == 6


# --- uncertainty ---


def test_difference_as_gtc_has_it(row, read, gauges) -> None:
    """Errors of one dial at two places: alone or in common, whichever is worse. For a difference that is alone."""
    bore = row("axis A,B", key="bore", instrument="dial")
    (found,) = check(worked_out(row, "ovality of bore", upper=1.0), read(bore, 1.0, 1.2), gauges, base=[bore])
    a, b = (GTC.ureal(v, math.hypot(*DIAL)) for v in (1.0, 1.2))
    assert found.u == pytest.approx(GTC.uncertainty(b - a), rel=1e-12)


def test_mean_as_gtc_has_it(row, read, gauges) -> None:
    """For a mean it is in common: 8 readings do not take the error of the dial away."""
    wheel = row("clock 8", key="wheel", instrument="dial")
    (found,) = check(worked_out(row, "mean of wheel", upper=1.0), read(wheel, *WHEEL), gauges, base=[wheel])
    error = GTC.ureal(0, DIAL[0])
    readings = [v + error + GTC.ureal(0, DIAL[1]) for v in WHEEL]
    assert found.u == pytest.approx(GTC.uncertainty(sum(readings) / 8), rel=1e-12)


def test_degrees_of_freedom_of_a_mean_as_gtc_has_them(row, read, gauges) -> None:
    """Two axes, three repeats each: scatter with 2 degrees of freedom twice, and the error of one dial in common."""
    bore = row("axis A,B x repeat 3", key="bore", instrument="dial")
    values = [1.00, 1.01, 1.03, 2.00, 2.02, 2.01]
    (found,) = check(worked_out(row, "mean of bore", upper=5.0), read(bore, *values), gauges, base=[bore])
    error, axes = GTC.ureal(0, DIAL[0]), []
    for three in (values[:3], values[3:]):
        u = np.std(three, ddof=1) / math.sqrt(3)
        axes.append(GTC.ureal(np.mean(three), u, 2) + error + GTC.ureal(0, DIAL[1]))
    assert found.u == pytest.approx(GTC.uncertainty((axes[0] + axes[1]) / 2), rel=1e-12)
    assert found.dof == pytest.approx(GTC.dof((axes[0] + axes[1]) / 2), rel=1e-9)


def test_one_reading_is_its_own_mean_largest_and_smallest(row, read, gauges) -> None:
    size = row("once", key="size")
    for word in ("mean", "largest", "smallest"):
        assert (
            check(worked_out(row, f"{word} of size", upper=9.0), read(size, 5.0), gauges, base=[size])[0].value == 5.0
        )


def test_eccentricity_as_the_uncertainties_library_has_it(row, read, gauges, wheel) -> None:
    (found,) = check(worked_out(row, "eccentricity of wheel", upper=1.0), read(wheel, *WHEEL), gauges, base=[wheel])
    y = list(carried(wheel, read(wheel, *WHEEL), gauges).values())
    a = sum(v * math.cos(math.tau * i / 8) for i, v in enumerate(y)) / 4
    b = sum(v * math.sin(math.tau * i / 8) for i, v in enumerate(y)) / 4
    size = umath.hypot(a, b)
    assert found.value == pytest.approx(size.nominal_value, rel=1e-12)
    assert found.u == pytest.approx(size.std_dev, rel=1e-9)
    assert found.u == pytest.approx(math.hypot(*DIAL) * math.sqrt(2 / 8), rel=1e-9)


def test_an_error_in_common_cancels_in_a_difference_if_it_is_said_to_be(row, read, gauges) -> None:
    bore, piston = (row("once", key=k, instrument="dial") for k in ("bore", "piston"))
    same: dict[str, object] = {}
    together = (
        carried(bore, read(bore, 5.0), gauges, same)["once"] - carried(piston, read(piston, 4.0), gauges, same)["once"]
    )
    apart = carried(bore, read(bore, 5.0), gauges)["once"] - carried(piston, read(piston, 4.0), gauges)["once"]
    assert together.std_dev == pytest.approx(DIAL[1] * math.sqrt(2))
    assert apart.std_dev == pytest.approx(math.hypot(*DIAL) * math.sqrt(2))


ONE_ROW = sorted(set(DERIVATIONS) - {"difference", "sum"})


@pytest.mark.parametrize("word", ONE_ROW)
@given(data=st.data())
@settings(deadline=None, max_examples=25)
def test_weights_are_the_slopes(word: str, data: st.DataObject) -> None:
    """Each result moves by its weight when one reading moves a little (JCGM 100 eq. 12)."""
    n = 4 if word == "twist" else 7
    # Whole tenths apart, so that no reading overtakes another while it moves.
    y = [v / 10 for v in data.draw(st.permutations(range(n)))]
    angles = [math.tau * i / n for i in range(n)]
    result, weights = _weigh(word)(y, angles)
    for i in range(n):
        step = 1e-6
        up, down = ([v + s * (j == i) for j, v in enumerate(y)] for s in (step, -step))
        slope = (_weigh(word)(up, angles)[0] - _weigh(word)(down, angles)[0]) / (2 * step)
        if word == "twist" and result < 1e-9:
            assert abs(weights[i]) == 1  # a fold: it grows whichever way the reading moves
        else:
            assert slope == pytest.approx(weights[i], abs=1e-6)


@pytest.mark.parametrize("word", ["eccentricity", "form", "spread", "mean"])
def test_uncertainty_is_the_scatter_of_simulated_wheels(row, read, gauges, word: str) -> None:
    """Monte Carlo, JCGM 101: 4,000 wheels read with resolution errors only."""
    wheel = row("clock 8", key="wheel", instrument="unmarked")
    (found,) = check(worked_out(row, f"{word} of wheel", upper=1.0), read(wheel, *WHEEL), gauges, base=[wheel])
    noise = np.random.default_rng(71).uniform(-0.01, 0.01, (4000, 8))
    angles = [math.tau * i / 8 for i in range(8)]
    results = [_weigh(word)([float(v) for v in np.array(WHEEL) + e], angles)[0] for e in noise]
    # The largest reading of a few that are nearly alike scatters less than any one of them.
    low = 0.7 if word in ("form", "spread") else 0.95
    assert low * found.u <= np.std(results) <= 1.05 * found.u


@given(st.floats(0.5, 20))
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_what_settles_a_worked_out_row_settles_it(row, read, gauges, worse: float) -> None:
    from restonb.measure import gauge_error_needed, limits_of
    from restonb.measure.settle import margin

    bore = row("axis A,B", key="bore", instrument="dial")
    spec = worked_out(row, "ovality of bore", upper=0.05)
    bad = {"dial": gauges["dial"]._replace(error=0.01 * worse)}
    (before,) = check(spec, read(bore, 1.0, 1.04), bad, base=[bore])
    if before.verdict != "too close to call":
        return
    error = gauge_error_needed(before.budget, margin(before.value, limits_of(spec)))
    good = {"dial": gauges["dial"]._replace(error=error, resolution=error)}
    assert check(spec, read(bore, 1.0, 1.04), good, base=[bore]).word == "inside"


@pytest.mark.parametrize(
    ("text", "pattern", "values", "says"),
    [
        ("form of base", "clock 4", [1, 2, 3, 4], "form needs at least 5 readings, base gives 4"),
        ("eccentricity of base", "clock 3", [1, 2, 3], "eccentricity needs at least 4"),
        ("twist of base", "feet 3", [1, 2, 3], "twist needs exactly 4"),
        ("twist of base", "feet 6", [1, 2, 3, 4, 5, 6], "twist needs exactly 4"),
        ("spread of base", "once", [1], "spread needs at least 2"),
        ("run-out of base", "depth 1mm,2mm x axis A,B", [1, 2, 3, 4], "write 'clock 8 x ...'"),
    ],
)
def test_pattern_that_cannot_give_the_result(
    row, read, gauges, text: str, pattern: str, values: list[float], says: str
) -> None:
    base = row(pattern, key="base")
    with pytest.raises(MeasureError, match=says):
        check(worked_out(row, text, upper=1.0), read(base, *values), gauges, base=[base])


def test_rows_that_do_not_go_together(row, read, gauges) -> None:
    a, b = row("feet 4", key="a"), row("feet 3", key="b")
    with pytest.raises(MeasureError, match="a and b have different positions; write the same for both"):
        check(worked_out(row, "difference of a and b"), [*read(a, 1, 2, 3, 4), *read(b, 1, 2, 3)], gauges, base=[a, b])
    with pytest.raises(MeasureError, match="is measured, not worked out"):
        derive(a, [], gauges)
