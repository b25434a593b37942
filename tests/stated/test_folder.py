"""The build folder: made, found and read, and build.toml in it."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb import stated as room
from restonb.errors import BuildError, Mistake
from restonb.stated import Build, shipped

Told = Callable[..., list[Mistake]]


def test_the_room_offers_what_it_lists() -> None:
    assert room.__all__ == sorted(room.__all__)
    assert all(hasattr(room, name) for name in room.__all__)


def test_a_new_build_passes_every_check_and_holds_no_limits(tmp_path: Path) -> None:
    build = Build.create(tmp_path / "machine", "Wrenfield 450")
    assert build.check() == ()
    assert (build.name, build.rule, build.machine, build.units) == ("Wrenfield 450", "prove", {}, {})
    assert (len(build.specs), build.instruments, build.joints.joints, build.parameters) == (0, {}, {}, {})


def test_a_new_build_has_the_folders_of_the_design(tmp_path: Path) -> None:
    build = Build.create(tmp_path / "machine", "Wrenfield 450")
    assert sorted(p.name for p in build.folder.iterdir()) == [
        "build.toml",
        "handover",
        "instruments.csv",
        "joints.toml",
        "log",
        "notebooks",
        "photos",
        "specs",
    ]
    assert [p.parent for p in (build.record_path, build.log, build.photos, build.notebooks, build.handover)] == (
        [build.folder] * 5
    )


def test_the_examples_in_the_remarks_are_right_once_uncommented(tmp_path: Path) -> None:
    """What a starter file shows as an example must not itself be refused."""
    build = Build.create(tmp_path / "machine", "Wrenfield 450")
    gauges = build.folder / "instruments.csv"
    lines = gauges.read_text(encoding="utf-8").splitlines()
    example = lines[next(i for i, line in enumerate(lines) if line.startswith("# Example")) + 1]
    gauges.write_text("\n".join([*lines, example.removeprefix("# ")]) + "\n", encoding="utf-8")
    assert Build.open(build.folder).check() == ()
    joints = (build.folder / "joints.toml").read_text(encoding="utf-8")
    head, _, rest = joints.partition("# Example, without the # in front:\n")
    block, _, tail = rest.partition("\n\n[joints]")
    shown = "\n".join(line.removeprefix("#").removeprefix(" ") for line in block.splitlines())
    shown = shown.replace("your manual's, with its unit", "25 ft-lb")
    (build.folder / "joints.toml").write_text(f"{head}{shown}\n[joints]{tail}", encoding="utf-8")
    assert list(Build.open(build.folder).joints.joints) == ["frame", "gearbox_mounting"]


@settings(deadline=None, max_examples=60)
@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30).filter(lambda t: t.strip()))
def test_any_name_survives_the_file(tmp_path_factory: pytest.TempPathFactory, name: str) -> None:
    folder = tmp_path_factory.mktemp("new") / "machine"
    build = Build.create(folder, name, {"make": name, name: "1971"})
    assert build.name == name.strip()
    assert tomllib.loads((folder / "build.toml").read_text(encoding="utf-8"))["machine"]["make"] == name


def test_a_folder_that_is_not_empty_is_refused_and_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("precious")
    with pytest.raises(BuildError, match="is not empty; name a new folder"):
        Build.create(tmp_path, "Wrenfield 450")
    assert [p.name for p in tmp_path.iterdir()] == ["mine.txt"]


def test_an_empty_folder_may_be_used(tmp_path: Path) -> None:
    assert Build.create(tmp_path, "Wrenfield 450").folder == tmp_path.resolve()


def test_a_place_that_cannot_be_a_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(BuildError, match=r"cannot be written .*; name another folder"):
        Build.create(tmp_path / "file", "Wrenfield 450")
    with pytest.raises(BuildError, match="a build needs a name"):
        Build.create(tmp_path / "new", "  ")


def test_open_and_find(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    deep = folder / "log" / "2026-03-14"
    deep.mkdir()
    assert Build.find(deep).folder == Build.open(str(folder)).folder == folder
    monkeypatch.delenv("RESTONB_BUILD", raising=False)
    monkeypatch.chdir(deep)
    assert Build.find().folder == folder
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BuildError, match=r"no build.toml in .* or any folder above it"):
        Build.find()
    monkeypatch.setenv("RESTONB_BUILD", str(folder))
    assert Build.find().folder == folder
    with pytest.raises(BuildError, match=r"no build.toml in .*; start a build there with: restonb new"):
        Build.open(tmp_path)


def test_files_are_read_on_first_use(folder: Path) -> None:
    (folder / "joints.toml").write_text("nonsense")
    build = Build.open(folder)
    assert build.specs.sheets == ()
    with pytest.raises(BuildError, match=r"joints.toml:1:9: found text that is not TOML"):
        build.joints  # noqa: B018 - reading it is the test


def test_check_gathers_the_mistakes_of_every_file(folder: Path, told: Told) -> None:
    (folder / "joints.toml").write_text("[joints.a]\n")
    (folder / "instruments.csv").write_text("x\n")
    (folder / "specs" / "brakes.csv").write_text("y\n")
    assert [m.file for m in told("build.toml", 'nam = "x"')][:2] == ["build.toml", "build.toml"]
    assert {m.file for m in Build.open(folder).check()} == {
        "build.toml",
        "instruments.csv",
        "specs/brakes.csv",
        "joints.toml",
    }


def test_a_sheet_that_no_spec_file_has_is_a_warning(folder: Path, told: Told) -> None:
    header = (folder / "specs" / "drivetrain.csv").read_text(encoding="utf-8")
    (folder / "specs" / "drivetrain.csv").write_text(header + "gearbox_mounting,gap,w,once,,,,,mm,,,\n")
    (folder / "joints.toml").write_text("[joints]\n[sheets]\ngearbox_mountin = []\n")
    found = told("build.toml", 'name = "x"', "[parameters.clutch]", "n = 5", warnings=True)
    assert [(m.file, m.line, m.write) for m in found if "no spec file has" in m.found] == [
        ("build.toml", 2, "write its characteristics into a file of specs/"),
        ("joints.toml", 3, "write 'gearbox_mounting'"),
    ]


def test_a_sheet_that_measures_nothing_needs_no_rows(folder: Path, told: Told) -> None:
    """Hours and sums are worked out from the record; there is nothing to write into the spec book for them."""
    lines = ('name = "x"', "[parameters.time_and_cost]", "file_totals = true", "[parameters.time_and_cots]", "n = 1")
    found = told("build.toml", *lines, warnings=True)
    assert [m.found for m in found if "no spec file has" in m.found] == [
        "sheet 'time_and_cots', which no spec file has"
    ]


def test_identity_as_written(folder: Path) -> None:
    (folder / "build.toml").write_text(
        'name = "Wren"\nrule = "simple"\n[machine]\nyear = 1971\nframe = "WF 1"\n'
        '[units]\nlength = "inch"\nrotational_speed = "rpm"\n'
        "[parameters.gearbox_mounting]\nfeet_mm = [[0, 0], [180, 0]]\nmax_plies = 3\nfine = true\n"
    )
    build = Build.open(folder)
    assert (build.name, build.rule, build.machine) == ("Wren", "simple", {"year": "1971", "frame": "WF 1"})
    assert build.units == {"length": "in", "rotational speed": "rpm"}
    assert build.parameters == {"gearbox_mounting": {"feet_mm": [[0, 0], [180, 0]], "max_plies": 3, "fine": True}}


MISTAKES = [
    ("nam = 'x'", 2, "unknown key 'nam'", "use only: name, rule"),
    ("rul = 'prove'", 2, "unknown key 'rul'", "write 'rule'"),
    ("rule = 'prov'", 2, "rule = 'prov'", 'write "prove"'),
    ("rule = 'guess'", 2, "rule = 'guess'", 'write "prove" or "simple"'),
    ("rule = 3", 2, "rule = 3", "text in double quotes"),
    ("machine = 'mine'", 2, "machine = 'mine'", "write a table: [machine]"),
    ("[machine]\nyear = 1971.5", 3, "year = 1971.5", "text in double quotes"),
    ("[units]\nrule = 'simple'", 3, "rule below [units]", "move it to the top"),
    ("[machine]\nrule = 'simple'", 3, "rule below [machine]", "move it to the top"),
    ("[units]\nlenght = 'mm'", 3, "kind of quantity 'lenght'", "write length"),
    ("[units]\nlength = 'milimetr'", 3, "'milimetr'", "mm"),
    ("[units]\nlength = 'ft-lb'", 3, "length = 'ft-lb', a unit of torque", "mm"),
    ("[units]\nlength = 3", 3, "length = 3", "text in double quotes"),
    ("[parameters]\ng = 3", 3, "g = 3", "[parameters.g]"),
    ("[parameters.g]\nday = 2026-03-14", 3, "day = 2026-03-14", 'write it as text: "2026-03-14"'),
    ("[parameters.g]\nx = nan", 3, "nan", "write a number"),
    ("[parameters.g]\nx = [1,\n {y = 2}]", 4, "a table as parameter 'x'", "a list of these"),
]


@pytest.mark.parametrize(("text", "line", "found", "write"), MISTAKES, ids=[m[0] for m in MISTAKES])
def test_a_mistake_in_build_toml(told: Told, text: str, line: int, found: str, write: str) -> None:
    (mistake,) = told("build.toml", 'name = "x"', text)
    assert (mistake.file, mistake.line) == ("build.toml", line)
    assert found in mistake.found
    assert write in mistake.write


def test_a_build_needs_a_name(told: Told) -> None:
    assert told("build.toml", "rule = 'prove'")[0].found == "no name"


def test_what_came_with_the_installation() -> None:
    assert (shipped("data_demo") / "build.toml").is_file()
    with pytest.raises(BuildError, match="'nothing' did not come with this installation"):
        shipped("nothing")


def test_the_room_starts_with_the_standard_library_alone() -> None:
    code = (
        "import sys; from restonb.stated import Build, shipped; b = Build.open(shipped('data_demo'));"
        "b.specs, b.joints, b.parameters;"
        "print(sorted({n.split('.')[0] for n in sys.modules} - set(sys.stdlib_module_names) - {'restonb', '__main__'}))"
    )
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", f"import sys; sys.path[:0] = {sys.path!r}; {code}"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "[]"
