"""Numbers that a formula gave, judged against their row like readings: `sheet.judge`."""

from __future__ import annotations

import math

import pytest

from restonb import bench
from restonb.bench._values import Known
from restonb.decisions import Amount, NotYet, settled
from restonb.errors import MeasureError, QuantityError
from restonb.formulas import brakes
from restonb.quantity import Quantity
from restonb.record import Record, enter_check, enter_reading, standing
from restonb.stated import Build

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
trial,distance,distance that it took,once,,,,,m,tape,yes,
trial,speed,speed at the start,once,,,,,km/h,,yes,
trial,corrected,distance from the nominal speed,worked out from distance and speed,,,9,,m,,yes,"rule, p. 3"
trial,slowing,mean deceleration,worked out from distance and speed,,5,,,m/s2,,yes,"rule, p. 3"
trial,drop,voltage drop,"worked out at front, rear",,,0.5,,V,,,"handbook, p. 4"
trial,spread,spread of tension,worked out,,,,,%,,,
"""
INSTRUMENTS = """instrument,what,unit,resolution,error,expansion,last_check,source
tape,tape measure,m,0.01 m,0.02 m,,,data sheet
"""


@pytest.fixture
def build(tmp_path):
    made = Build.create(tmp_path / "toy", "Toy")
    (made.folder / "specs" / "brakes.csv").write_text(SPECS)
    (made.folder / "instruments.csv").write_text(INSTRUMENTS)
    return Build.open(made.folder)


@pytest.fixture
def record(build):
    with Record.open(build) as record:
        yield record


@pytest.fixture
def sheet(build, record):
    return bench.Sheet("trial", build, record)


def test_a_number_is_judged_with_its_uncertainty_and_filed_like_a_reading(sheet):
    checked = sheet.judge("corrected", Amount(8.0, "m", 0.2))
    (row,) = checked
    # by hand: 'prove' with k = 2 for about 95 % asks for 8.0 + 2 * 0.2 = 8.4 m <= 9 m
    assert (row.verdict, row.value, row.u) == ("inside", 8.0, pytest.approx(0.2))
    assert pytest.approx(2.0, rel=0.03) == row.k
    (filed,) = sheet._filing.as_data()["verdicts"]
    assert filed["verdict"] == "inside"
    assert filed["U"] == pytest.approx(0.4, rel=0.03)
    assert filed["seq"] is None
    assert (filed["upper"], filed["source"], filed["safety"]) == (9.0, "rule, p. 3", True)


@pytest.mark.parametrize(
    ("metres", "word"),
    # by hand, U = 0.392 m (1.96 * 0.2): inside up to 8.608, outside from 9.392
    [(8.55, "inside"), (8.65, "too close to call"), (9.35, "too close to call"), (9.45, "outside")],
)
def test_the_rule_of_the_build_decides(build, record, metres, word):
    assert bench.Sheet("trial", build, record).judge("corrected", Amount(metres, "m", 0.2)).word == word
    text = (build.folder / "build.toml").read_text()
    (build.folder / "build.toml").write_text(text.replace('rule = "prove"', 'rule = "simple"'))
    simple = bench.Sheet("trial", Build.open(build.folder), record).judge("corrected", Amount(metres, "m", 0.2))
    assert simple.word == ("inside" if metres <= 9 else "outside")


def test_every_kind_of_number_with_a_unit_is_taken_and_converted(sheet):
    assert sheet.judge("corrected", Quantity(850, "cm", "850 cm", 1.0))[0].value == 8.5
    # one step of 1 cm is rectangular over 1 cm: u = 0.01 / sqrt(12) m (JCGM 100, F.2.2.1)
    assert sheet.judge("corrected", Quantity(850, "cm", "850 cm", 1.0))[0].u == pytest.approx(0.01 / math.sqrt(12))
    assert sheet.judge("corrected", sheet.value("distance", "m")).word == "not measured"
    result = brakes.deceleration(Known(360.0, 12.0, "N m"), Known(0.3, 0.003, "m"), Known(200.0, 2.0, "kg"))
    for given in (result, result["deceleration"]):
        # by hand: a = T / (r m) = 360 / (0.3 * 200) = 6 m/s2; u = 6 sqrt((12/360)^2 + 0.01^2 + 0.01^2) = 0.2173 m/s2
        (row,) = sheet.judge("slowing", given)
        assert (row.value, row.u) == (pytest.approx(6.0), pytest.approx(0.2173, abs=1e-4))
        assert row.verdict == "inside"  # 6 - 1.96 * 0.2173 = 5.57 > 5
    with pytest.raises(QuantityError):
        sheet.judge("corrected", result)


def test_what_has_no_unit_or_is_no_single_number_is_refused(sheet):
    for wrong in (8.0, True, "8 m", [Amount(8.0, "m")]):
        with pytest.raises(MeasureError, match="not one number with a unit"):
            sheet.judge("corrected", wrong)


def test_what_is_not_worked_out_yet_is_not_measured_and_says_why(sheet):
    (row,) = sheet.judge("corrected", NotYet(("speed at the start",)))
    assert row.verdict == "not measured"
    assert "speed at the start" in row.note
    first, rear = sheet.judge("drop", {"front": Amount(0.2, "V", 0.01)})
    assert [first.position, rear.position] == ["front", "rear"]
    assert [first.verdict, rear.verdict] == ["inside", "not measured"]


def test_without_a_limit_it_says_so(sheet):
    (row,) = sheet.judge("spread", Amount(12.0, "%"))
    assert row.verdict == "no limit"
    assert sheet.judge("spread", {"left": Amount(12.0, "%"), "right": NotYet(("tone",))}).word == "not measured"
    assert {v["position"] for v in sheet._filing.as_data()["verdicts"]} == {"left", "right"}  # 'once' is replaced


def test_a_place_that_the_row_does_not_have_is_left_open(sheet):
    checked = sheet.judge("drop", {"front": Amount(0.2, "V", 0.01), "middle": Amount(2.0, "V", 0.01)})
    assert [v.position for v in checked] == ["front", "rear"]
    (step,) = sheet._filing.left.values()
    assert (step.state, step.finding) == ("not known", "judged.no place")


def test_a_row_that_asks_for_readings_is_not_judged_by_a_formula(sheet):
    (row,) = sheet.judge("distance", Amount(8.0, "m", 0.1))
    assert row.verdict == "not measured"
    assert "worked out" in row.note


def test_where_the_spec_book_lacks_the_row_it_is_reported_as_by_check(sheet):
    assert not sheet.judge("no_such", Amount(1.0, "m")).rows
    assert sheet._filing.as_data()["rows_missing"] == ["no_such"]


def test_the_raw_rows_that_it_comes_from_are_settled_by_it(sheet, build, record):
    enter_reading(record, build, "trial", "distance", "once", "8.00 m")
    enter_reading(record, build, "trial", "speed", "once", "30 km/h")
    raw = sheet.check("distance", "speed")
    assert raw.word == "no limit"
    checked = raw + sheet.judge("corrected", Amount(8.0, "m", 0.1))
    assert checked.word == "inside"
    assert settled("stop.good", "It stops.", checked).state == "settled"
    assert settled("stop.good", "It stops.", raw + sheet.judge("corrected", NotYet(("speed",)))).state == "not known"
    assert len(sheet._filing.as_data()["readings"]) == 2  # what it stands on is known to the filing


def test_the_readings_of_the_rows_that_it_names_are_filed_with_it(sheet, build, record):
    entry = enter_reading(record, build, "trial", "distance", "once", "8.00 m")
    sheet.judge("corrected", Amount(8.0, "m", 0.1))
    assert sheet._filing.as_data()["readings"] == [entry.seq]


def test_what_comes_from_a_reading_in_doubt_is_in_doubt(sheet, build, record):
    enter_reading(record, build, "trial", "distance", "once", "8.00 m")
    enter_check(record, build, "tape", False, "a rule", "stretched")
    (row,) = sheet.judge("corrected", Amount(8.0, "m", 0.1))
    assert (row.verdict, row.word) == ("inside", "in doubt")
    assert "tape" in row.doubt
    (open_,) = sheet.judge("corrected", NotYet(("speed",)))
    assert (open_.word, open_.doubt) == ("not measured", "")
    (free,) = sheet.judge("spread", Amount(12.0, "%"))  # says of no reading that it comes from it
    assert free.doubt == ""


def test_nobody_is_asked_to_measure_it(sheet, build, record):
    missing = standing(record, build).sheets["trial"].not_measured
    assert {key for key, _ in missing} == {"distance", "speed"}
    assert "corrected" not in sheet.measure_each().text


def test_a_check_of_the_whole_sheet_keeps_what_was_judged(sheet):
    sheet.judge("corrected", Amount(8.0, "m", 0.1))
    word = {v.characteristic.key: v.verdict for v in sheet.check()}
    assert word["corrected"] == "inside"
    assert word["drop"] == "not measured"  # nothing worked it out yet
    known = sheet.value("corrected", "m")
    assert (float(known), known.std_dev) == (8.0, pytest.approx(0.1))
