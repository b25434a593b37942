"""Brakes by hand, against the directive, the fluid rule and a second method for run-out."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import brakes


def test_pressure_by_hand() -> None:
    """100 N * 6 / (pi/4 * 14^2 mm2) = 3.8977 MPa; 150 N * 5 / (pi/4 * 12.7^2) = 5.9206 MPa."""
    assert float(brakes.line_pressure(100, 6, 14)) == pytest.approx(600 / (math.pi * 49))
    assert float(brakes.line_pressure(150, 5, "1/2 in")) == pytest.approx(750 / (math.pi * 6.35**2))
    assert brakes.line_pressure(100, 6, 14).to("bar") == pytest.approx(38.977, abs=1e-3)


def test_clamp_torque_and_deceleration_by_hand() -> None:
    force = float(brakes.clamp_force(4, 38))
    assert force == pytest.approx(4 * math.pi * 19**2)
    torque = float(brakes.brake_torque(force, 120, 0.4))
    assert torque == pytest.approx(2 * 0.4 * 4 * math.pi * 361 * 0.12)
    assert float(brakes.deceleration(435.4, 0.31, 270)) == pytest.approx(435.4 / 83.7)


def test_lever_travel_by_hand() -> None:
    """0.15 mm * 2 * (38/14)^2 * 6."""
    assert float(brakes.lever_travel(0.15, 38, 2, 14, 6)) == pytest.approx(0.9 * 2 * (38 / 14) ** 2)


def test_work_in_is_work_out() -> None:
    """Force times travel at the hand equals force times travel at the pads: another way to the same numbers."""
    force, ratio, bore, piston, gap = 120.0, 5.5, 13.0, 34.0, 0.2
    pads = float(brakes.clamp_force(brakes.line_pressure(force, ratio, bore), piston))
    assert force * float(brakes.lever_travel(gap, piston, 1, bore, ratio)) == pytest.approx(pads * gap)


def test_transfer_by_hand() -> None:
    got = brakes.weight_transfer(270, 6, 0.6, 1.4, 0.7)
    assert got.transfer == pytest.approx(270 * 6 * 0.6 / 1.4)
    assert got.lift_at == pytest.approx(9.80665 * 0.7 / 0.6)


@pytest.mark.published("Directive 93/14/EEC, Annex, Appendix 1: 1/115, 1/75, 1/90, 1/70, 1/95")
@pytest.mark.parametrize(
    ("test", "speed", "distance", "mean"),
    [
        ("motorcycle, front only", 60, 6 + 3600 / 115, 4.4),
        ("motorcycle, rear only", 60, 54.0, 2.9),
        ("moped, front only", 40, 4 + 1600 / 90, 3.4),
        ("moped, rear only", 40, 26.857, 2.7),
        ("sidecar outfit, rear only", 60, 6 + 3600 / 95, 3.6),
    ],
)
def test_stopping_distance(test: str, speed: float, distance: float, mean: float) -> None:
    got = brakes.stopping_distance(speed, test)
    assert got.distance == pytest.approx(distance, abs=1e-3)
    assert got.deceleration == mean


@pytest.mark.recalled("49 CFR 571.122 and GTR 3: factors 0.0076, 0.0067 and 0.0060")
@pytest.mark.parametrize(
    ("test", "speed", "distance"),
    [
        ("motorcycle, combined brakes", 60, 33.36),
        ("motorcycle, high speed", 60, 30.12),
        ("motorcycle, all controls, from the first touch", 100, 60),
    ],
)
def test_stopping_distance_recalled(test: str, speed: float, distance: float) -> None:
    got = brakes.stopping_distance(speed, test)
    assert got.distance == pytest.approx(distance, abs=1e-3)
    assert "recalled" in got.notes[-1]


@pytest.mark.published("49 CFR 571.116 S5.1.1 to S5.1.3, figures as on fluid data sheets")
@pytest.mark.parametrize(
    ("grade", "dry", "wet", "cold"),
    [("DOT 3", 205, 140, 1500), ("DOT 4", 230, 155, 1800), ("DOT 5", 260, 180, 900), ("DOT 5.1", 260, 180, 900)],
)
def test_fluid(grade: str, dry: float, wet: float, cold: float) -> None:
    got = brakes.fluid_grade(grade)
    assert (got.dry, got.wet, got.viscosity) == (dry, wet, cold)
    assert ("never mix it" in got.notes[0]) == (grade == "DOT 5")


READINGS = (0.235, 0.2483, 0.2333, 0.2129, 0.185, 0.1517, 0.1467, 0.1871)


def test_run_out_by_fourier_transform() -> None:
    """The first harmonic by numpy's FFT instead of sums of sines."""
    import numpy as np

    y = np.array(READINGS)
    spectrum = np.fft.rfft(y) / len(y)
    once = 2 * spectrum[1]
    rest = y - spectrum[0].real - (once * np.exp(2j * np.pi * np.arange(8) / 8)).real
    got = brakes.run_out(READINGS)
    assert got.eccentricity == pytest.approx(abs(once))
    assert got.high_at == pytest.approx(math.degrees(-np.angle(once)) % 360)
    assert got.form == pytest.approx(np.ptp(rest))
    assert got.total == pytest.approx(0.2483 - 0.1467)


@settings(deadline=None)
@given(st.integers(5, 40), st.floats(0.001, 1), st.floats(0, 359))
def test_pure_eccentricity_is_found(n: int, e: float, phase: float) -> None:
    got = brakes.run_out([e * math.cos(2 * math.pi * i / n - math.radians(phase)) for i in range(n)])
    assert got.eccentricity == pytest.approx(e)
    assert got.form == pytest.approx(0, abs=1e-9)
    turn = (got.high_at - phase + 180) % 360 - 180
    assert turn == pytest.approx(0, abs=1e-6)


def test_disc_and_drum_by_hand() -> None:
    got = brakes.thickness_variation("4.92, 4.93, 4.91, 4.95, 4.94, 4.93, 4.92, 4.91 mm", 4.5)
    assert (got.least, got.variation, got.left) == pytest.approx((4.91, 0.04, 0.41))
    drum = brakes.drum_oversize([178.2, 178.35, 178.3], "7 in")
    assert drum.oversize == pytest.approx(178.35 - 177.8)
    assert float(brakes.out_of_round([178.2, 178.35, 178.3])) == pytest.approx(0.15)


@pytest.mark.practice
def test_hold_test() -> None:
    assert brakes.hold_test(5, 4.8).holds
    assert not brakes.hold_test(5, 4.7).holds
    assert brakes.hold_test(5, 4.7, cooled_by=2, stiffness=0.05).holds
    assert not brakes.hold_test(5, 5.2).holds


def test_warming_hides_a_leak_and_explains_a_rise() -> None:
    """5 MPa, 0.05 MPa/K, warmed by 6 K: 5.3 MPa is to be expected. That it stays at 5.0 is a loss of 6 %."""
    stays = brakes.hold_test(5, 5, cooled_by=-6, stiffness=0.05)
    assert (stays.holds, stays.rose) == (False, False)
    assert stays.unexplained == pytest.approx(6)
    assert brakes.hold_test(5, 5.3, cooled_by=-6, stiffness=0.05).holds
    rose = brakes.hold_test(5, 5.3)
    assert (rose.holds, rose.rose) == (False, True)
    assert brakes.hold_test(5, 5).holds


def test_two_waves_round_one_turn_are_told_from_a_dent() -> None:
    """An oval of 0.4 mm half height at eight places, and one place that stands out by 1 mm."""
    oval = brakes.run_out([0.4 * math.cos(math.pi * i / 2) for i in range(8)])
    assert (oval.twice, oval.rest, oval.eccentricity) == pytest.approx((0.4, 0, 0), abs=1e-12)
    dent = brakes.run_out([0, 0, 0, 1, 0, 0, 0, 0])
    assert dent.twice == pytest.approx(0.25)
    assert dent.rest > 0.5 * dent.form
    assert brakes.run_out([0, 1, 0, 1, 0]).twice is None


def test_bore_change_by_hand() -> None:
    assert brakes.master_bore_change(14, "1/2 in").pressure == pytest.approx(100 * ((14 / 12.7) ** 2 - 1))


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: brakes.line_pressure(100, 6, 0), "above 0"),
        (lambda: brakes.line_pressure(-1, 6, 14), "0 or more"),
        (lambda: brakes.line_pressure("100 N m", 6, 14), "N"),
        (lambda: brakes.run_out([0, 1, 0, 1]), "at least 5"),
        (lambda: brakes.thickness_variation([5, 5, 5]), "at least 4"),
        (lambda: brakes.drum_oversize([7.0, 7.01], 177.8), "check the unit"),
        (lambda: brakes.fluid_grade("DOT 6"), "did you mean"),
        (lambda: brakes.stopping_distance(0), "extrapolated"),
        (lambda: brakes.weight_transfer(270, 6, 0.6, 1.4, 2), "not extrapolated"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]
