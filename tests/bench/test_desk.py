"""The clerk behind the entry grid, without a browser: what it answers is what the record holds."""

import io

import pytest

from restonb import bench
from restonb.bench._photos import small
from restonb.bench.entry import entry_grid
from restonb.bench.readings_grid.desk import Desk
from restonb.record import Record, enter_disturb, enter_reading, in_force
from restonb.stated import Build

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
toy,gap,gap under foot,feet 4,,0,0.30,,mm,feeler,x,"handbook, p. 3"
toy,weight,weight of the piece,repeat 3,,1,3,,kg,,,
toy,form,form of the gap,spread of gap,,,0.1,,mm,,,
toy,made,date on the hose,"front, rear",,,,,date,,yes,
"""
INSTRUMENTS = """instrument,what,unit,resolution,error,expansion,last_check,source
feeler,feeler gauges,mm,0.01 mm,0.005 mm,,,data sheet
wrench,torque wrench,N m,1 N m,2 N m,,,data sheet
"""
JOINTS = """
[joints.mounting]
what = "gearbox & plates"
[sheets]
toy = ["mounting"]
"""


@pytest.fixture
def build(tmp_path):
    made = Build.create(tmp_path / "toy", "Toy")
    (made.folder / "specs" / "drivetrain.csv").write_text(SPECS)
    (made.folder / "instruments.csv").write_text(INSTRUMENTS)
    (made.folder / "joints.toml").write_text(JOINTS)
    return Build.open(made.folder)


@pytest.fixture
def record(build):
    with Record.open(build) as record:
        yield record


@pytest.fixture
def sheet(build, record):
    return bench.Sheet("toy", build, record, static=False)


@pytest.fixture
def desk(sheet):
    return Desk(sheet, sheet.rows["gap"], "as found")


def enter(desk, position, typed, **more):
    told = {"occasion": "as found", "instrument": "feeler", "temperature": ""} | more
    return desk.answer({"type": "enter", "id": "a:1", "position": position, "typed": typed, **told})


def test_a_reading_is_in_the_record_before_it_is_called_taken(desk, record):
    answer = enter(desk, "foot 2", "10 thou", temperature="68 degF")
    assert (answer["type"], answer["id"], answer["position"]) == ("taken", "a:1", "foot 2")
    entry = record.head()
    assert answer["seq"] == entry.seq
    assert (entry.body["typed"], entry.body["unit"], entry.body["instrument"]) == ("10 thou", "thou", "feeler")
    assert float(entry.body["temperature"]) == pytest.approx(20)  # 68 degF is 20 degC
    assert answer["cell"]["echo"] == "read as 0.254 mm"  # 1 in is 25.4 mm by definition
    assert answer["cell"]["verdict"] == {"word": "inside", "shape": "●", "kind": "inside"}
    assert answer["tally"] == {"measured": 1, "of": 4}


def test_a_value_far_from_its_limit_is_taken_and_remarked_on(desk, record):
    """0.25 typed under inches of a gap of some hundredths: more likely a slip, but what is measured counts."""
    answer = enter(desk, "foot 2", "0.25 in")
    assert answer["type"] == "taken"
    assert answer["cell"]["note"].startswith("look again: 0.25 in is far from the upper limit")
    assert record.head().body["typed"] == "0.25 in"
    assert "look again" not in enter(desk, "foot 2", "0.12 mm")["cell"]["note"]


def test_a_date_of_making_is_said_back_as_it_was_understood(sheet, record):
    desk = Desk(sheet, sheet.rows["made"], "as found")
    page = desk.answer({"type": "open", "id": "a:0"})
    assert (page["unit"], page["instruments"]) == ("date", [["", "not stated"]])
    answer = enter(desk, "front", "2319", instrument="")
    assert answer["type"] == "taken"
    assert answer["cell"]["echo"] == "read as 2019, week 23"
    assert "look again" not in answer["cell"]["note"]
    assert "instrument" not in answer["cell"]["note"]
    body = record.head().body
    # Monday 2019-06-03 is day 18050 from 1970-01-01, the middle of its week 3.5 days on
    assert (body["value"], body["unit"], body["typed"], body["resolution"]) == ("18053.5", "date", "2319", "7")
    assert "is ahead of" in enter(desk, "rear", "week 1 2049", instrument="")["cell"]["note"]
    refused = enter(desk, "rear", "239", instrument="")
    assert refused["type"] == "refused"
    assert "decade" in refused["why"]
    assert desk.answer({"type": "bars", "id": "a:2", "occasion": "as found"})["svg"] == ""


@pytest.mark.parametrize(
    ("typed", "fix"), [("0,25", "0.25"), ("5 ft-lb", "mm"), ("-0.1", "negative"), ("about 3", "about"), ("", "")]
)
def test_bad_text_is_refused_with_the_fix_and_nothing_is_entered(desk, record, typed, fix):
    answer = enter(desk, "foot 1", typed)
    assert answer["type"] == "refused"
    assert fix in answer["why"]
    assert record.head() is None


def test_a_bad_temperature_is_told_at_once_and_stops_a_reading(desk, record):
    assert desk.answer({"type": "temperature", "id": 1, "typed": "21"})["echo"] == "read as 21 °C"
    assert desk.answer({"type": "temperature", "id": 1, "typed": "21 mm"})["type"] == "refused"
    assert enter(desk, "foot 1", "0.1", temperature="21 mm")["type"] == "refused"
    assert record.head() is None


def test_every_message_gets_one_answer_with_its_number_even_a_nonsensical_one(desk):
    for message in (
        {"type": "dance", "id": 7},
        {"id": 7},
        {"type": "enter", "id": 7},
        {"type": "strike", "id": 7, "seq": "x"},
    ):
        answer = desk.answer(message)
        assert answer["type"] == "refused"
        assert answer["id"] == 7


def test_the_page_says_what_stands_and_keeps_nothing_itself(desk, sheet):
    enter(desk, "foot 1", "0.02")
    enter(desk, "foot 3", "0.9")
    for clerk in (desk, Desk(sheet, sheet.rows["gap"], "as found")):  # the second one as after a new start
        page = clerk.answer({"type": "open", "id": 1})
        cells = page["cells"]
        assert [c["typed"] for c in cells.values()] == ["0.02", "", "0.9", ""]
        assert cells["foot 3"]["verdict"]["word"] == "outside"
        assert cells["foot 2"]["verdict"] is None
        assert page["limits"] == "limit 0 to 0.3 mm (handbook, p. 3)"
        assert page["kind"] == "feet"
        assert [k for k, _ in page["instruments"]] == ["", "feeler"]  # a torque wrench reads no gap


def test_another_occasion_starts_empty_and_shows_what_was_before(desk, sheet):
    enter(desk, "foot 1", "0.02")
    page = desk.answer({"type": "open", "id": 1, "occasion": "after rework"})
    assert page["cells"]["foot 1"]["typed"] == ""
    assert page["cells"]["foot 1"]["note"] == "as found: 0.02 mm"
    assert page["tally"]["measured"] == 0
    enter(desk, "foot 1", "0.01", occasion="after rework")
    again = Desk(sheet, sheet.rows["gap"], "as found").answer({"type": "open", "id": 1})
    assert again["occasion"] == "after rework"  # what was measured last is what is shown on reopening
    assert again["cells"]["foot 1"]["typed"] == "0.01"


def test_a_sheet_that_asks_for_an_occasion_gets_it_whatever_was_measured_before(desk, sheet):
    enter(desk, "foot 1", "0.02")
    row = sheet.rows["gap"]
    assert Desk(sheet, row, "as left").answer({"type": "open", "id": 1})["occasion"] == "as left"
    enter(desk, "foot 1", "0.01", occasion="after rework")
    first, second = Desk(sheet, row, "as found", only=True), Desk(sheet, row, "after rework", only=True)
    assert first.answer({"type": "open", "id": 1})["cells"]["foot 1"]["typed"] == "0.02"
    assert second.answer({"type": "open", "id": 1})["cells"]["foot 1"]["typed"] == "0.01"


def test_what_a_disturbed_joint_has_spoiled_is_empty_again_and_says_why(desk, build, record):
    enter(desk, "foot 1", "0.02")
    enter_disturb(record, build, "mounting", "loosened", "to shim it")
    cell = desk.answer({"type": "open", "id": 1})["cells"]["foot 1"]
    assert cell["typed"] == ""
    assert cell["verdict"] is None
    assert "measure again: mounting was disturbed" in cell["note"]
    assert "0.02 mm" in cell["note"]
    assert enter(desk, "foot 1", "0.03")["cell"]["typed"] == "0.03"


def test_a_struck_reading_uncovers_the_one_before(desk, record):
    first = enter(desk, "foot 1", "0.02")
    second = enter(desk, "foot 1", "0.20")
    strike = {"type": "strike", "id": 1, "why": "misread", "occasion": "as found"}
    answer = desk.answer({**strike, "seq": second["seq"]})
    assert answer["type"] == "struck"
    assert answer["cell"]["typed"] == "0.02"
    assert answer["cell"]["seq"] == first["seq"]
    assert "struck already" in desk.answer({**strike, "seq": second["seq"]})["why"]
    assert desk.answer({**strike, "seq": first["seq"], "why": " "})["type"] == "refused"
    assert [r.typed for r in in_force(record, "toy", "gap")] == ["0.02"]


def test_a_reading_of_another_sheet_cannot_be_struck_here(desk, sheet, build, record):
    other = enter_reading(record, build, "toy", "weight", "1", "2 kg")
    answer = desk.answer({"type": "strike", "id": 1, "seq": other.seq, "why": "misread", "occasion": "as found"})
    assert answer["type"] == "refused"


def test_repeats_get_one_verdict_on_their_mean(sheet):
    clerk = Desk(sheet, sheet.rows["weight"], "as found")
    for position, typed in (("1", "1.9 kg"), ("2", "2.0 kg"), ("3", "2.1 kg")):
        answer = enter(clerk, position, typed, instrument="")
    assert answer["cell"]["verdict"] is None
    assert "mean of 3" in answer["tally"]["mean"]
    assert "2.0" in answer["tally"]["mean"]  # (1.9 + 2.0 + 2.1) / 3


def test_bars_are_drawn_with_words_for_who_cannot_see_them(desk):
    assert desk.answer({"type": "bars", "id": 1, "occasion": "as found"})["svg"] == ""
    enter(desk, "foot 1", "0.9")
    answer = desk.answer({"type": "bars", "id": 1, "occasion": "as found"})
    assert answer["svg"].startswith("<svg") or "<svg" in answer["svg"]
    assert "outside" in answer["alt"]


def jpeg(**exif_of):
    from PIL import Image

    exif = Image.Exif()
    exif[0x0112] = 6  # the camera was turned by a quarter: EXIF, tag Orientation
    exif.get_ifd(0x8825)[2] = (52.0, 31.0, 12.0)  # GPSLatitude
    out = io.BytesIO()
    Image.new("RGB", (900, 600), "navy").save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_a_photo_in_pieces_is_kept_byte_by_byte_and_shown_upright_without_its_place(desk, build, record):
    import base64

    from PIL import Image

    whole = jpeg()
    half = len(whole) // 2
    message = {"type": "photo", "parts": 2, "name": "../../etc/foot.JPG", "caption": "foot", "position": "foot 1"}
    assert desk.answer({**message, "id": 1, "part": 0}, [memoryview(whole[:half])])["type"] == "part"
    answer = desk.answer({**message, "id": 2, "part": 1}, [memoryview(whole[half:])])
    assert answer["type"] == "kept"
    assert [p.read_bytes() for p in build.photos.iterdir()] == [whole]
    assert record.head().body["position"] == "foot 1"
    picture = base64.b64decode(answer["picture"])
    with Image.open(io.BytesIO(picture)) as image:
        assert image.height > image.width
        assert not image.getexif()
    assert b"Exif" not in picture


def test_what_is_no_picture_is_refused(desk, build, record):
    message = {"type": "photo", "id": 1, "part": 0, "parts": 1, "name": "notes.txt", "caption": "", "position": None}
    answer = desk.answer(message, [b"only text"])
    assert answer["why"] == "notes.txt is not a picture; choose a photo"
    assert record.head() is None
    assert small(b"only text") == ""


def test_there_is_a_grid_only_where_something_can_be_entered(sheet, build, record):
    assert entry_grid(sheet, "form", "as found") is None  # worked out from other rows
    earlier = bench.Sheet("toy", build, record, as_of=0, static=False)
    assert entry_grid(earlier, "gap", "as found") is None
    assert "foot 1" in bench.Sheet("toy", build, record).measure("gap").text  # static


def test_the_grid_is_a_table_for_whoever_has_no_kernel(sheet, desk):
    enter(desk, "foot 1", "0.02")
    data, _ = sheet.measure("gap")._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in data
    assert "<table" in data["text/html"]
    assert "0.02 mm" in data["text/plain"]


def test_the_page_fetches_nothing_and_keeps_no_reading_in_its_state(sheet, desk):
    from restonb.bench._live import joined
    from restonb.bench.readings_grid import widget
    from restonb.bench.sign_off import widget as signing

    enter(desk, "foot 1", "0.0271")
    grid = sheet.measure("gap")
    assert "0.0271" not in str({k: v for k, v in grid.get_state().items() if k not in ("_esm", "_css")})
    for text in (joined(*names) for names in (widget.SCRIPT, widget.STYLE, signing.SCRIPT, signing.STYLE)):
        urls = [word for word in text.split('"') if "://" in word]
        assert set(urls) <= {"http://www.w3.org/2000/svg"}  # a name of XML, not an address
        assert "import " not in text.replace("important", "")
        assert "@import" not in text
