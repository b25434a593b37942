"""The door for people who write Python: what `import restonb` offers, and that its documentation runs."""

from __future__ import annotations

import doctest
import inspect
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import restonb
from restonb.formulas.catalogue import formulas
from restonb.machine import Machine


def test_what_it_offers_is_there_and_documented() -> None:
    for name in restonb.__all__:
        assert getattr(restonb, name) is not None
    for public in (restonb.open, restonb.calc, *(m for n, m in vars(Machine).items() if not n.startswith("_"))):
        text = inspect.getdoc(public) or ""
        assert text, public
    for told in (restonb.open, restonb.calc):
        assert {"Parameters", "Returns", "Raises"} <= set((inspect.getdoc(told) or "").split("\n"))


@pytest.mark.parametrize("module", [restonb])
def test_its_examples_run(module) -> None:
    found = doctest.testmod(module)
    assert found.attempted >= 5
    assert found.failed == 0


def test_a_quantity_is_read_by_the_room_itself() -> None:
    """10 thou is 0.254 mm: an inch is 25.4 mm by definition."""
    assert restonb.quantity("10 thou").to("mm").value == pytest.approx(0.254)
    assert restonb.quantity("24", "N m").unit == "N m"


def test_importing_it_loads_nothing_heavy() -> None:
    code = "import sys, restonb; print(len([m for m in sys.modules if m.split('.')[0] in ('numpy', 'pandas', 'pint')]))"
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "0"
    )


def test_tables_of_the_demo(tmp_path: Path) -> None:
    from restonb.stated import shipped

    folder = shutil.copytree(shipped("data_demo"), tmp_path / "demo")
    with restonb.open(folder) as machine:
        for name in ("readings", "verdicts", "joints", "runs", "standing"):
            table = getattr(machine, name)()
            assert table.attrs["build"] == machine.build.name
        verdicts = machine.verdicts()
        assert set(verdicts["verdict"]) == {"not measured"}, "nothing is entered in the demo before its story is played"
        assert {"unit", "lower", "upper", "source", "U"} <= set(verdicts.columns)
        assert verdicts.attrs["in_unit"] == ["value", "u", "U", "lower", "upper", "wear_limit"]
        assert len(machine.joints()) == len(machine.build.joints.joints)
        assert not machine.standing().attrs["ready"]


@pytest.mark.parametrize("name", formulas())
def test_help_of_a_formula_says_what_a_person_must_know(name: str) -> None:
    formula = formulas()[name]
    text = inspect.getdoc(formula) or ""
    assert formula.text in text
    for argument, (_, mark) in formula.arguments.items():
        assert f"\n{argument} : " in text
        assert mark.what in text
    assert f"Valid: {formula.valid}" in text
    assert formula.not_for in text
    assert "References" in text
