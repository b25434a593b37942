"""What README.md tells somebody with a machine of their own works as it stands there."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from pathlib import Path

import pytest

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
OWN = README.partition("## Your own machine")[2].partition("\n| command |")[0]
BLOCKS = re.findall(r"^```(\w+) ?(\S*)\n(.*?)^```", OWN, re.MULTILINE | re.DOTALL)


def test_the_steps_for_ones_own_machine(tmp_path: Path, say: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    told: dict[str, str] = {}
    for kind, file, text in BLOCKS:
        if kind != "sh":
            with (tmp_path / "my-build" / file).open("a", encoding="utf-8") as out:
                out.write(text)
            continue
        if (tmp_path / "my-build").exists():
            monkeypatch.chdir(tmp_path / "my-build")
        for line in text.splitlines():
            program, command, *words = shlex.split(line, comments=True)
            assert program == "restonb"
            if command != "bench":  # which stays open
                said = say(command, *words)
                assert said.code == (1 if command == "status" else 0), said
                told[command] = said.out
    assert set(told) == {"new", "read", "run", "enter", "disturb", "status", "handover", "verify"}
    assert "1 outside" in told["run"]  # 10 thou are 0.254 mm, and 0.05 mm are allowed
    assert "4 x stud nut, 24 N m" in told["disturb"]
    assert "gearbox_mounting: gap" in told["disturb"]
    assert "outside limits:\n  gearbox_mounting: gap (foot 3)" in told["status"]
    assert "whole" in told["verify"]
