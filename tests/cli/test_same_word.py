"""One word for a sheet: the same in status, tree, drawing, JSON and notebook, whatever happened to it."""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from restonb.bench import sheet as opened
from restonb.charts import describe, joint_tree
from restonb.cli import status, tree
from restonb.decisions import judged, to_do
from restonb.record import (
    STANDINGS,
    Record,
    Standing,
    enter_check,
    enter_disturb,
    enter_joint,
    enter_reading,
    enter_run,
    enter_strike,
    in_force,
    standing,
    standing_if_filed,
)
from restonb.record.filed import verdict_word
from restonb.record.stands.left import worst_word
from restonb.stated import Build

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
wheel,rim,rim at the side,clock 4,,,,,mm,dial,yes,book
wheel,run_out,run-out of the rim,run-out of rim,,,0.5,,mm,,,book
wheel,play,play of the bearing,repeat 3,,,0.1,,mm,feeler,,book
seat,gap,gap under the foot,feet 2,,0,0.05,,mm,feeler,,book
"""
INSTRUMENTS = """instrument,what,unit,resolution,error,expansion,last_check,source
feeler,feeler gauges,mm,0.001 mm,0.001 mm,,,data sheet
dial,dial indicator,mm,0.001 mm,0.001 mm,,,data sheet
"""
JOINTS = """
[joints.frame]
what = "frame"
[joints.axle]
what = "axle"
rests_on = ["frame"]
safety = true
[joints.mounting]
what = "mounting"
rests_on = ["frame"]
[sheets]
wheel = ["axle"]
seat = ["mounting"]
"""
PLACES = {"rim": ("12:00", "3:00", "6:00", "9:00"), "play": ("1", "2", "3"), "gap": ("foot 1", "foot 2")}
SHEETS = {"wheel": ("rim", "play"), "seat": ("gap",)}


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("word") / "machine"
    build = Build.create(folder, "Toy")
    for old in (folder / "specs").iterdir():
        old.unlink()
    (build.folder / "specs" / "brakes.csv").write_text(SPECS)
    (build.folder / "instruments.csv").write_text(INSTRUMENTS)
    (build.folder / "joints.toml").write_text(JOINTS)
    return folder


def filed_by_notebook(build: Build, record: Record, name: str, own_words: bool = False) -> tuple[dict[str, Any], str]:
    """What the template of that sheet would file, and the word that stands at its top."""
    sheet = opened(name, build)
    sheet.record = record
    sheet.evidence.record = record
    rows = sheet.check()
    steps = judged(rows, "all", "what was measured", measure="Measure it.", inside="All is inside.")
    sheet.decide([*steps, *([to_do("oil", "Oil it.")] if own_words else [])], closing="Good to go.")
    extra = sheet.file()._repr_mimebundle_()
    filed = extra["application/vnd.restonb.filed+json"]
    (word,) = (value["word"] for key, value in extra.items() if "box" in key)
    return json.loads(json.dumps(filed)), word


def file(build: Build, record: Record, name: str, own_words: bool = False) -> str:
    """File it as a run does; the word that its notebook showed."""
    head = record.head()
    filed, word = filed_by_notebook(build, record, name, own_words)
    enter_run(
        record,
        {
            "template": f"brakes/{name}",
            "sheet": name,
            "subsystem": "brakes",
            "state": "good",
            "head": {"seq": head.seq if head else 0, "digest": head.digest if head else ""},
            "spec": {row.key: build.specs.digest(row) for row in build.specs.sheet(name)},
            "filed": filed,
        },
    )
    return word


def words_of_status(build: Build, record: Record, found: Standing) -> dict[str, str]:
    """Sheet -> word, as a person reads it off the screen."""
    words: dict[str, str] = {}
    current = ""
    for line in status.screen(build, record, found, None, None, why=False):
        head = re.match(r"\n?(\S) ([a-z ]+?)(?:, was run but nothing is measured yet)?:(.*)$", line)
        if head and head[2] in STANDINGS:
            current = head[2]
            assert head[1] == tree.MARKS[current]
            words |= dict.fromkeys(re.findall(r"\b(wheel|seat)\b", re.sub(r"\(.*?\)", "", head[3])), current)
        elif (sheet := re.match(r"  (wheel|seat)( \(|$)", line)) and current:
            words[sheet[1]] = current
        elif line.startswith("\n"):
            current = ""
    return words


def check_everywhere(build: Build, record: Record) -> Standing:
    found = standing(record, build)
    words = {name: one.word for name, one in found.sheets.items()}
    assert words_of_status(build, record, found) == words
    data = json.loads(json.dumps(found.as_data()))
    assert {one["sheet"]: one["word"] for one in data["sheets"]} == words
    lines = "\n".join(tree.lines(build, found))
    assert {m[1]: m[2] for m in re.finditer(r"\S (wheel|seat) \(([a-z ]+)\)", lines)} == words
    for name, one in found.sheets.items():
        assert worst_word(one.left) == one.word
        figure = joint_tree(build.joints, found.joints, {name: one})
        assert ("not settled" in describe(figure)) == (one.word != "settled")
        if one.run is not None and one.run.seq == found.seq:  # nothing happened since: refiling changes nothing
            assert standing_if_filed(record, build, name, one.run.filed).word == one.word
            for row in one.settled:  # and the notebook judged every row by the same rule
                word = one.row_word(row["characteristic"], row["position"])
                again = (word, row["verdict"]) == ("measure again", "not measured")
                assert again or word == verdict_word(row)
        if one.word == "settled":
            assert one.state == "current"
            assert {str(row["verdict"]) for row in one.settled} <= {"inside", "no limit"}
    blocked = any(left.safety for one in found.sheets.values() for left in one.left)
    assert found.gate.ready == (not blocked)
    return found


@st.composite
def histories(draw: st.DrawFn) -> list[tuple[str, Any]]:
    moves = st.sampled_from(["measure"] * 3 + ["reading"] * 2 + ["disturb", "close", "check", "strike"] + ["run"] * 4)
    found: list[tuple[str, Any]] = []
    for kind in draw(st.lists(moves, min_size=2, max_size=14)):
        sheet = draw(st.sampled_from(list(SHEETS)))
        key = draw(st.sampled_from(SHEETS[sheet]))
        about = {
            "measure": (sheet,),
            "reading": (
                sheet,
                key,
                draw(st.sampled_from(PLACES[key])),
                draw(st.sampled_from(("0.01", "0.01", "0.9", "0.05"))),
            ),
            "disturb": draw(st.sampled_from(("frame", "axle", "mounting"))),
            "close": draw(st.sampled_from(("frame", "axle", "mounting"))),
            "check": (draw(st.sampled_from(("dial", "feeler"))), draw(st.booleans())),
            "strike": draw(st.integers(0, 20)),
            "run": (sheet, draw(st.integers(0, 4)) == 0),
        }[kind]
        found.append((kind, about))
    return found


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(histories())
def test_it_is_the_same_word_everywhere_after_any_history(empty: Path, history: list[tuple[str, Any]]) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "machine"
        shutil.copytree(empty, folder)
        build = Build.open(folder)
        with Record.open(build) as record:
            for kind, about in history:
                match kind:
                    case "measure":
                        for key in SHEETS[about[0]]:
                            for position in PLACES[key]:
                                enter_reading(record, build, about[0], key, position, "0.01")
                    case "reading":
                        enter_reading(record, build, *about)
                    case "disturb":
                        enter_disturb(record, build, about, "loosened")
                    case "close":
                        enter_joint(record, build, about, "tightened")
                    case "check":
                        enter_check(record, build, *about)
                    case "strike":
                        force = in_force(record)
                        if force:
                            enter_strike(record, force[about % len(force)].seq, "wrong")
                    case "run":
                        word = file(build, record, *about)
                        assert check_everywhere(build, record).sheets[about[0]].word == word
            check_everywhere(build, record)


def test_all_measured_and_good_is_settled_and_ready_and_any_one_fault_is_not(empty: Path, tmp_path: Path) -> None:
    """A raw row marked safety (a dial round a rim) is settled by the run-out that is worked out from it."""
    folder = tmp_path / "machine"
    shutil.copytree(empty, folder)
    build = Build.open(folder)
    with Record.open(build) as record:
        for joint in build.joints.joints:
            enter_joint(record, build, joint, "tightened")
        for sheet, keys in SHEETS.items():
            for key in keys:
                for position in PLACES[key]:
                    enter_reading(record, build, sheet, key, position, "0.01")
            assert file(build, record, sheet) == "settled"
        found = check_everywhere(build, record)
        assert {one.word for one in found.sheets.values()} == {"settled"}
        assert found.gate.ready
        assert "settled" in found.sheets["wheel"].run.filed["steps"][-1]["state"]
        assert found.sheets["wheel"].run.filed["steps"][-1]["text"] == "Good to go."
        good = record.upto(None)
        for position in PLACES["rim"]:  # one place of eight that is far off makes the run-out too large
            enter_reading(record, build, "wheel", "rim", position, "0.9")
            assert file(build, record, "wheel") in ("outside", "stop")
            assert not check_everywhere(build, record).gate.ready
            enter_reading(record, build, "wheel", "rim", position, "0.01")
            assert file(build, record, "wheel") == "settled"
            assert check_everywhere(build, record).gate.ready
        enter_reading(record, build, "seat", "gap", "foot 1", "0.9")  # not about safety
        assert file(build, record, "seat") == "outside"
        assert check_everywhere(build, record).gate.ready
        assert standing(record, build, good).gate.ready


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("run-out of rim,,,0.5", "run-out of rim,,,", "run_out: marked safety, but no limit is given"),
        (
            "wheel,run_out,run-out of the rim,run-out of rim,,,0.5,,mm,,,book\n",
            "",
            "rim .*: marked safety, but no limit is given",
        ),
    ],
)
def test_a_raw_row_about_safety_that_nothing_settles_blocks(
    empty: Path, tmp_path: Path, old: str, new: str, why: str
) -> None:
    folder = tmp_path / "machine"
    shutil.copytree(empty, folder)
    path = folder / "specs" / "brakes.csv"
    assert old in path.read_text()
    path.write_text(path.read_text().replace(old, new))
    build = Build.open(folder)
    with Record.open(build) as record:
        enter_joint(record, build, "axle", "tightened")
        for key in SHEETS["wheel"]:
            for position in PLACES[key]:
                enter_reading(record, build, "wheel", key, position, "0.01")
        assert file(build, record, "wheel") == "not known"
        gate = check_everywhere(build, record).gate
        assert not gate.ready
        assert any(re.search(why, line) for line in gate.blocking), gate.blocking
