"""Every symbol in the text of a formula is declared by an argument or a result, or explained in the text itself."""

from __future__ import annotations

import contextlib
import io
import re

import pytest

from restonb.cli.main import main
from restonb.formulas import belts, catalogue, fasteners


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


ALL = catalogue.formulas()
FUNCTIONS = _words("sin cos tan atan asin hypot sqrt min max sum")
CONSTANTS = _words("pi π g Σ")
UNITS = _words("deg mm um kN degC degF Mohm MPa")
STANDARDS = _words("ISO UN BA JCGM RSS")
WORDS = _words(
    """above add aft all an and are as at bar be below by can cap day far for fore from gap had half has hole if in is it its low
    male mid near new next nor not nut of off oil old on one or out over own per plan rim run sag see so step that the their then
    to tap tip too turn twice two up use was way what where with"""
)
"""The short words of English that the texts use. A new one is added here after a look: it is not a symbol."""
NAME = re.compile(r"(?<![^\W\d_])[^\W\d_](?:[A-Za-z0-9]|_(?=\w))*")
PHRASE = r"(?:(?!(?:sin|cos|tan|sqrt)\b)[a-z]{3,}(?:'s)?(?= [a-z(]|[,;:]|$)|expansion|its)"


def symbols(text: str) -> set[str]:
    """Single letters, letters with a figure or a subscript, and short names: whatever is not a word, function or unit."""
    bare = re.sub(r"'s\b|(?<=\d )(?:N m|s)(?= or|;| )", " ", text)
    bare = re.sub(
        r"\d+e-?\d+|\b[ad] (?=(?!cos|sin)[a-z]{3,})|(?<=\d) x |(?<=\)) x (?=\w)|(?<=\w) x (?=[\w(Σ])", " ", bare
    )
    found = set()
    for token in NAME.findall(bare):
        if token in FUNCTIONS | CONSTANTS | UNITS | STANDARDS or token in WORDS or token.isdigit():
            continue
        if len(token) <= 3 or "_" in token or re.search(r"\d|(?<=.)[A-Z]", token):
            found.add(token)
    return found


def explained(text: str) -> set[str]:
    """Symbols before an equals sign with words behind it: 'D, d = diameters of ...'."""
    found: set[str] = set()
    for match in re.finditer(rf"((?:\w+, )*\w+) = {PHRASE}", text):
        found |= set(match[1].split(", "))
    return found


def declared(name: str) -> set[str]:
    of = ALL[name]
    marks = [(key, mark.symbol) for key, (_, mark) in of.arguments.items()]
    marks += [(key, symbol) for key, _, _, symbol in of.results]
    return {token for pair in marks for one in pair for token in NAME.findall(one)}


def test_what_counts_as_a_symbol() -> None:
    assert symbols("L = 2 C cos(a) + pi (D + d)/2; the rest is a word") == {"L", "C", "a", "D", "d"}
    assert symbols("T_set = T L / (L + E cos a)") == {"T_set", "T", "L", "E", "a"}
    assert symbols("L10h = (C/P)^p 1e6/(60 n)") == {"L10h", "C", "P", "p", "n"}
    assert explained("y1, y2 = height of it; r = stroke/2; a = angle") == {"y1", "y2", "a"}


@pytest.mark.parametrize("name", ALL)
def test_no_symbol_stands_unexplained(name: str) -> None:
    text = ALL[name].text
    short_names = {full.rpartition(".")[2] for full in ALL}
    unknown = symbols(text) - declared(name) - explained(text) - short_names
    assert not unknown, f"{name}: {sorted(unknown)} in '{text}'"


@pytest.mark.parametrize("name", ALL)
def test_a_declared_symbol_stands_in_the_text(name: str) -> None:
    of = ALL[name]
    symbols_of = [mark.symbol for _, mark in of.arguments.values()] + [symbol for *_, symbol in of.results]
    for one in filter(None, symbols_of):
        assert any(token in of.text for token in NAME.findall(one)), f"{name}: '{one}' is not in '{of.text}'"


def test_symbols_are_shown_wherever_the_formula_is() -> None:
    result = fasteners.torque("15.9 kN", "8 mm", 0.2)
    assert "F, wanted preload" in result.working()
    assert "T, tightening torque" in result.working()
    assert "F, wanted preload" in result._repr_html_()
    assert "T, tightening torque" in result._repr_html_()
    assert "F, wanted preload" in (fasteners.torque.__doc__ or "")
    assert result["torque"].label == "T, tightening torque"
    assert result.data()["given"]["preload"]["symbol"] == "F"
    assert "D or d, pitch diameter of one pulley" in (belts.length.__doc__ or "")


def test_calc_shows_symbols_of_what_it_takes() -> None:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(["calc", "belts.length"]) == 0
    assert "C, between the shafts" in out.getvalue()
