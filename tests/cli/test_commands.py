"""The commands on a small build, as a person would use them, in their own process where that matters."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from restonb.cli.main import COMMANDS
from restonb.record import Record


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_with_an_example(say: Callable, command: str) -> None:
    said = say(command, "--help")
    assert said.code == 0
    assert "example" in said.out
    assert f"restonb {command}" in said.out


def test_reading_is_echoed_as_read_and_listed(build: Path, say: Callable) -> None:
    said = say("read", "toy", "gap", "1=10 thou", "foot 2=0")
    assert said.code == 0
    assert "read as 10 thou" in said.out
    listed = say("read", "toy", "gap", "--json").data
    assert [row["reading"] for row in listed] == ["10 thou", "0", None, None]


def test_a_changed_reading_changes_the_verdict_and_is_said(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0", "2=0", "3=0.20", "4=0")
    first = say("run", "toy")
    assert first.code == 0
    assert "1 outside, 3 inside" in first.out
    say("read", "toy", "gap", "3=0", "--occasion", "after rework")
    assert "out of date:\n  toy" in say("status").out
    again = say("run", "--stale")
    assert "4 inside" in again.out
    assert "1 verdict flipped" in again.out
    assert "gap under foot, foot 3: 0.2000 mm outside -> 0.0000 mm inside" in again.out
    assert say("status").code == 0
    pages = list((build / "log").glob("*/*/*.html"))
    assert len(pages) == 2
    assert all("://" not in p.read_text().replace("http://www.w3.org", "") for p in pages)


def test_a_result_that_leaves_something_is_not_settled(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0", "2=0", "3=0.20")
    say("run", "toy")
    out = say("status").out
    assert "settled" not in out
    assert "stop:\n  toy (1 stop, 1 outside, 2 to do)" in out
    say("read", "toy", "gap", "3=0", "4=0", "--occasion", "after rework")
    say("run", "toy")
    assert "> to do: toy\n" in say("status").out
    say("read", "toy", "lift", "0.1")
    say("run", "toy")
    assert "+ settled: toy\n" in say("status").out


def test_a_reading_outside_is_said_though_no_template_looks_at_it(build: Path, say: Callable) -> None:
    path = build / "specs" / "drivetrain.csv"
    path.write_text(
        path.read_text()
        + "toy,play,play of the lever,once,,,1,,mm,feeler,,book\nhub,float,end float,once,,,1,,mm,feeler,,book\n"
    )
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    say("read", "toy", "play", "3")
    say("read", "hub", "float", "2")
    say("run", "toy")
    out = say("status").out
    assert "outside limits:\n  toy: play\n  hub: float" in out
    assert "# outside: toy (1 outside, 1 to do), hub (1 outside, 1 not run)" in out
    assert say("status", "--json").data["sheets"][0]["outside"] == [["play", "once"]]


def test_a_run_that_failed_after_a_good_one_is_said(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    say("run", "toy")
    notebook = build / "notebooks" / "drivetrain" / "toy.ipynb"
    notebook.write_text(notebook.read_text().replace("sheet.file()", "1 / 0"))
    say("read", "toy", "gap", "1=0.01")
    assert say("run", "--stale").code == 1
    out = say("status").out
    assert "out of date:\n  toy" in out
    assert "a later run on" in out
    assert "division by zero" in out


def test_nothing_to_run_again_is_said(build: Path, say: Callable) -> None:
    said = say("run", "--stale")
    assert said.code == 0
    assert "nothing is out of date" in said.err


def test_a_value_alone_goes_to_the_only_position(build: Path, say: Callable) -> None:
    path = build / "specs" / "drivetrain.csv"
    path.write_text(path.read_text() + "toy,length,chain,links 20,,,,,mm,,,\n")
    assert "over 20 links: read as 317.6 mm" in say("read", "toy", "length", "317.6").out
    assert "lift: read as 2 mm" in say("read", "toy", "lift", "2").out


def test_a_strike_stays_and_counts(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0.3")
    said = say("read", "--strike", "1", "--why", "read the wrong leaf")
    assert "struck out by entry 2" in said.out
    assert say("read", "toy", "gap", "--json").data[0]["reading"] is None


def test_asking_enters_nothing_and_names_everything(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    said = say("disturb", "frame", "--what", "removed", "--ask")
    assert said.code == 0
    assert "toy: gap" in said.out
    assert "2 x foot nut" in said.out
    assert "to buy" in said.out
    assert say("verify").out.count("4 entries") == 1
    done = say("disturb", "frame", "--what", "removed", "--why", "crack", "--yes")
    assert done.code == 0
    assert "measure again" in say("status").out


def test_verify_answers_1_when_one_byte_is_edited(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0.31", "2=0")
    assert say("verify").code == 0
    path = build / "record.sqlite"
    with sqlite3.connect(path) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    db.close()
    data = bytearray(path.read_bytes())
    at = data.index(b'"value":"0.31"') + len(b'"value":"0.3')
    data[at] = ord("7")
    path.write_bytes(data)
    said = say("verify")
    assert said.code == 1
    assert "entry 1" in said.out


def test_joint_and_open_ends(build: Path, say: Callable) -> None:
    said = say("enter", "joint", "joint=mounting", "state=temporary", "label=two nuts only", "waiting=part")
    assert said.code == 0
    out = say("status").out
    assert "mounting" in out
    assert "two nuts only" in out
    assert "mounting: temporary" in say("status", "--tree").out
    say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=1: 24 N m, oiled, new; 2: 24 N m")
    assert "mounting: tightened" in say("status", "--tree").out


def test_calc_shows_its_working(say: Callable) -> None:
    said = say("calc", "fasteners.torque", "preload=15.9 kN", "diameter=8 mm", "nut_factor=0.2")
    for words in ("T = K d F", "15.9 kN (read as 15900 N)", "25.44 N m", "source:", "valid:", "not for:"):
        assert words in said.out
    data = say("calc", "fasteners.torque", "preload=15.9 kN", "diameter=8 mm", "--json").data
    assert data["result"]["torque"] == {"value": pytest.approx(25.44), "unit": "N m", "symbol": "T"}


def test_calc_lists_families_and_then_the_formulas_of_one(say: Callable) -> None:
    from restonb.formulas import FAMILIES, catalogue

    families = say("calc", "--json").data
    assert list(families) == list(FAMILIES)
    assert len(say("calc").out.strip().splitlines()) == len(FAMILIES) + 1  # and how to go on
    for family, about in families.items():
        lines = say("calc", family).out.strip().splitlines()
        assert [line.split()[0] for line in lines] == list(catalogue.formulas(family)) == list(about["formulas"])
        assert all(len(line.split(None, 1)) == 2 and len(line) < 160 for line in lines)


def test_calc_says_where_a_formula_holds_before_it_is_used(say: Callable) -> None:
    told = say("calc", "fasteners.torque", "--json").data
    assert {"valid", "not_for", "source", "answers", "text", "takes", "gives"} <= set(told)
    assert {"name": "preload", "unit": "N", "need": "needed", "what": "wanted preload", "symbol": "F"} in told["takes"]
    shown = say("calc", "fasteners.torque").out
    for words in ("valid:", "not for:", "source:", "gives:"):
        assert words in shown


def test_hand_over_signed_and_checked(build: Path, say: Callable, tmp_path: Path) -> None:
    import shutil
    import subprocess

    if shutil.which("ssh-keygen") is None:
        pytest.skip("ssh-keygen is not installed")
    key = tmp_path / "key"
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "me", "-f", key], check=True)
    say("read", "toy", "gap", "1=0", "2=0", "3=0.2", "4=0")
    done = say("handover", "--sign", key, "--json")
    assert done.code == 0, done.err
    bag = Path(done.data["folder"])
    assert say("verify", bag, "--seal", done.data["seal"]).code == 0
    assert say("verify", done.data["zip"]).code == 0
    seal = bag.with_name(bag.name + ".seal.txt")
    signers = tmp_path / "signers"
    signers.write_text("me@example.org " + key.with_suffix(".pub").read_text())
    assert say("verify", seal, "--signers", signers, "--who", "me@example.org").code == 0
    seal.write_text(seal.read_text().replace("seal ", "seal  "))
    assert say("verify", seal, "--signers", signers, "--who", "me@example.org").code == 1
    page = bag / "data" / "record.html"
    page.write_bytes(page.read_bytes().replace(b"Toy", b"Toi", 1))
    assert say("verify", bag).code == 1


def test_preview_writes_nothing(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0")
    say("enter", "note", "text=the key is under the mat", "private=yes")
    said = say("handover", "--preview")
    assert "stays at home" in said.out
    assert "under the mat" not in said.out
    assert not list((build / "handover").iterdir())


def test_rounds_side_by_side(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0", "2=0", "3=0.20", "4=0")
    say("run", "toy")
    say("read", "toy", "gap", "3=0.01", "--occasion", "after rework")
    say("enter", "part", "what=shim 0.2 mm", "state=fitted", "joint=mounting")
    say("run", "toy")
    say("enter", "note", "sheet=toy", "text=" + "the stack under foot 3 was worn through, and so " * 5)
    say("run", "toy")
    said = say("status", "--rounds", "toy")
    assert said.code == 0
    assert "part fitted: 1 x shim 0.2 mm" in said.out
    assert max(map(len, said.out.splitlines())) < 160
    # 0.2 mm by a gauge of +/- 0.005 mm that shows 0.01 mm: u = sqrt(0.005^2 + 0.005^2)/sqrt(3) = 0.0041, U = 0.0082 mm
    assert "0.2000 mm outside" in said.out
    missing = say("status", "--rounds", "toi")
    assert (missing.code, missing.err) == (2, "restonb: no sheet 'toi': did you mean toy?\n")


def test_rounds_show_the_digits_that_a_value_deserves() -> None:
    from restonb.cli.rounds import _cells

    # JCGM 100:2008 7.2.6: an uncertainty is given to two digits at most, and the value is rounded to it.
    assert _cells((0.27941, 0.014163333, 8.0, 12345.0, None), (None,) * 5, (0.031, None, None, None, None), "mm") == [
        "0.279 mm",
        "0.01416 mm",
        "8 mm",
        "12345 mm",
        "-",
    ]
    assert _cells((None,), ("not measured",), (None,), "mm") == ["not measured"]


def test_a_slip_in_the_occasion_is_refused_and_a_new_one_is_said(build: Path, say: Callable) -> None:
    said = say("read", "toy", "gap", "1=0.01", "--occasion", "as fuond")
    assert (said.code, "did you mean 'as found'" in said.err) == (2, True)
    assert say("read", "toy", "gap", "--json").data[0]["reading"] is None
    assert "new occasion" not in say("read", "toy", "gap", "1=0.01", "--occasion", "as left").out
    said = say("read", "toy", "gap", "1=0.01", "--occasion", "spring service")
    assert "'spring service' is a new occasion" in said.out
    assert "new occasion" not in say("read", "toy", "gap", "1=0.01", "--occasion", "spring service").out
    said = say("read", "toy", "gap", "1=0.01", "--occasion", "spring services", "--new-occasion")
    assert (said.code, "'spring services' is a new occasion" in said.out) == (0, True)


def test_why_gives_a_line_for_each_joint_and_all_names_every_place(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    say("read", "toy", "lift", "0.1")
    say("run", "toy")
    say("disturb", "frame", "--what", "removed", "--why", "paint", "--yes")
    say("disturb", "mounting", "--why", "frame out", "--yes")
    out = say("status", "--why").out
    assert out.count("frame was removed on") == 2  # where it stands, and as a reason against the road
    assert re.search(r"frame was removed on \S+ \(entry 7\), through mounting: 5 places\n", out)
    assert re.search(r"    toy: measure again: mounting was loosened on \S+ \(entry 8\): 5 places\n", out)
    assert "foot 1 ... foot 4" not in out
    full = say("status", "--why", "--all").out
    assert re.search(
        r"frame was removed on \S+ \(entry 7\), through mounting: gap \(foot 1 \.\.\. foot 4\), lift\n", full
    )
    assert all(line == line.rstrip() for line in out.splitlines())


def test_what_was_entered_is_said_as_it_was_read(build: Path, say: Callable) -> None:
    assert say("read", " toy", "gap ", "1= 0.05 ").out == "entry 1: gap, foot 1: read as 0.05 mm, as found\n"
    assert say("enter", "usage", "value=41210 miles").out == "entry 2: the meter shows 41210 mile\n"
    assert say("enter", "usage", "value=41211", "unit=miles").out == "entry 3: the meter shows 41211 mile\n"
    said = say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=1: 24Nm; 2: 18 ft-lb")
    assert said.out == "entry 4: mounting tightened (1: 24 N m; 2: 18 ft-lb)\n", said.err
    assert say("enter", "note", "text=hello").out == "entry 5: note: hello\n"


def test_one_is_not_said_in_the_plural(build: Path, say: Callable) -> None:
    say("enter", "check", "instrument=feeler", "good=yes")
    assert say("verify").out.startswith("record.sqlite: whole, 1 entry\n")
    assert "  1 instrument check\n" in say("handover", "--preview").out
    say("enter", "check", "instrument=feeler", "good=yes")
    assert "  2 instrument checks\n" in say("handover", "--preview").out
    (build / "no.sqlite").write_text("this is not a record " * 100)
    assert say("verify", "no.sqlite").out.startswith("no.sqlite: 1 fault, do not rely on it\n")


def test_what_stands_is_listed_with_unit_and_occasion(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0.05", "2=2 thou", "--occasion", "as left")
    _, *lines = say("read", "toy", "gap").out.splitlines()
    assert [line.split("  ")[-1] for line in lines] == [
        "0.05 mm (as left, entry 1)",
        "2 thou (as left, entry 2)",
        "not measured",
        "not measured",
    ]
    (first, *_) = say("read", "toy", "gap", "--json").data
    assert (first["reading"], first["value"], first["unit"], first["occasion"]) == ("0.05", 0.05, "mm", "as left")


def test_a_record_that_is_gone_is_missed_where_the_log_holds_runs(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0")
    say("run", "toy")
    assert "put back" not in say("status").out
    for path in build.glob("record.sqlite*"):
        path.unlink()
    Record.open(build).close()
    assert "the record is empty, though" in say("status").out


def test_an_empty_build_says_where_to_begin(tmp_path: Path, say: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    assert say("new", tmp_path / "mine").code == 0
    monkeypatch.chdir(tmp_path / "mine")
    said = say("status")
    assert (said.code, "no sheets yet; copy limits from your manual into" in said.out) == (1, True)
    assert "no joints yet; write them into" in say("status", "--tree").out
    assert say("status", "--rounds", "x").err == "restonb: no sheet 'x': there is none yet\n"


def test_a_fault_of_ours_is_one_line_and_its_trace_can_be_had(
    build: Path, say: Callable, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("division\nby zero")

    monkeypatch.delenv("RESTONB_TRACE", raising=False)
    monkeypatch.setattr("restonb.cli.read.enter_readings", broken)
    said = say("read", "toy", "lift", "0.1")
    assert said.code == 2
    assert said.err.startswith("restonb: a bug in restonb itself (ZeroDivisionError: division by zero); what was")
    assert len(said.err.splitlines()) == 1
    monkeypatch.setenv("RESTONB_TRACE", "1")
    with pytest.raises(ZeroDivisionError, match="by zero"):
        say("read", "toy", "lift", "0.1")


def test_a_run_lists_the_first_changes_and_not_the_decision_twice(build: Path, say: Callable) -> None:
    path = build / "specs" / "drivetrain.csv"
    path.write_text(path.read_text().replace("feet 4", '"clock 12"').replace(",0,0.05", ",0,0.5"))
    say("read", "toy", "gap", *(f"{hour}:00=0" for hour in range(1, 13)))
    say("run", "toy")
    say("read", "toy", "gap", *(f"{hour}:00=0.9" for hour in range(1, 13)), "--occasion", "after rework")
    out = say("run", "toy").out
    assert "12 verdicts flipped" in out
    assert out.count("inside -> ") == 8
    assert "and 4 more, which the page shows" in out
    assert out.count("The lift of the feet is outside") == 1


def test_templates_are_listed_by_name_and_each_says_what_it_takes(build: Path, say: Callable) -> None:
    listed = say("run").out
    assert "drivetrain/toy" in listed
    assert "plies" not in listed
    shown = say("run", "toy", "--show")
    assert shown.code == 0
    assert "-p plies=3  most shims in one stack" in shown.out
    assert not list((build / "log").iterdir())


def test_nothing_is_drawn_where_there_are_no_joints(tmp_path: Path, say: Callable) -> None:
    say("new", tmp_path / "mine")
    said = say("status", "-b", tmp_path / "mine", "--draw", tmp_path / "joints.svg")
    assert said.code == 2
    assert "nothing to draw yet; write joints into" in said.err
    assert not (tmp_path / "joints.svg").exists()


def test_a_doubt_says_what_settles_it_and_that_does(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    say("run", "toy")
    say("enter", "check", "instrument=feeler", "good=no")
    out = say("status").out
    assert "in doubt:" in out
    assert "settled by measuring again with a good gauge" in out
    gauges = build / "instruments.csv"
    gauges.write_text(gauges.read_text() + "blades,other feeler gauges,mm,0.01 mm,0.005 mm,,,data sheet\n")
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0", "--instrument", "blades")
    say("run", "toy")
    assert "in doubt" not in say("status").out
