"""Where keys and values stand in a TOML file; tomllib says what they are."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import BuildError, Mistake
from restonb.stated import Build
from restonb.stated._text import Report
from restonb.stated._toml import read_toml

Told = Callable[..., list[Mistake]]

HARD = '''# remark = 1
title = "a # no remark [not a table]"
"quoted key" = 'x'
a.b . "c d" = 1   # dotted
text = """
fake = 1
[fake]
""""
raw = \'\'\'
[[fake]]\'\'\'
list = [ # remark with ]
  1, [2, 3],
  { x = 1, y.z = "}" },
]
empty = []
when = 1979-05-27T07:32:00Z
[one.two]
k = 1
[[rows]]
n = 1
[rows.sub]
deep = 1
[[rows]]
n = 2
[[rows.inner]]
m = 3
[[rows.inner]]
m = 4
"esc\\u0061ped" = 5
'''


def leaves(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    if path:
        yield path
    if isinstance(value, dict):
        for key, item in value.items():
            yield from leaves(item, (*path, key))
    elif isinstance(value, list):
        for i, item in enumerate(value):
            yield from leaves(item, (*path, i))


def places(tmp_path: Path, text: str) -> tuple[dict[str, Any], dict[tuple[str | int, ...], tuple[int, int]]]:
    (tmp_path / "t.toml").write_text(text, encoding="utf-8", newline="")
    found = read_toml(tmp_path / "t.toml", Report("t.toml"), "")
    assert found.data == tomllib.loads(text.replace("\r\n", "\n"))
    return found.data, found.places


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_every_key_and_item_of_a_hard_file_has_its_place(tmp_path: Path, end: str) -> None:
    data, found = places(tmp_path, HARD.replace("\n", end))
    lines = HARD.split("\n")
    assert set(found) == set(leaves(data))
    for path, (line, column) in found.items():
        at = lines[line - 1][column - 1 :]
        word = str(path[-1])
        if isinstance(path[-1], str) and word != "escaped":
            assert at.startswith((word, f'"{word}"', "[[")), path
    assert lines[found["rows", 1, "inner", 1, "m"][0] - 1] == "m = 4"
    assert lines[found["list", 2, "y", "z"][0] - 1].strip().startswith("{ x")


WORDS = st.text(st.sampled_from("abz_-09"), min_size=1, max_size=4)
SCALARS = st.one_of(
    st.integers(-999, 999).map(str),
    st.booleans().map(lambda b: str(b).lower()),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"], exclude_characters='"\\'), max_size=8).map(
        lambda t: f'"{t}"'
    ),
    st.just('"""\n[a]\nb = 1\n"""'),
    st.just("'#'"),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda v: "[" + ", # remark ]\n ".join(v) + "\n]"),
        st.dictionaries(WORDS, inner, max_size=2).map(
            lambda d: "{ " + ", ".join(f"{k} = {v}" for k, v in d.items()) + " }"
        ),
    ),
    max_leaves=6,
)


@settings(deadline=None, max_examples=200)
@given(st.dictionaries(WORDS, st.one_of(VALUES, st.dictionaries(WORDS, VALUES, max_size=3)), max_size=4))
def test_generated_files(tmp_path_factory: pytest.TempPathFactory, tables: dict[str, Any]) -> None:
    lines = [f"{key} = {value}" for key, value in tables.items() if isinstance(value, str)]
    for name, table in tables.items():
        if isinstance(table, dict):
            lines += [f"[{name}]", *(f"  {key} = {value}" for key, value in table.items())]
    text = "\n".join(lines)
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return  # an inline table with a line break in it: not valid before TOML 1.1
    data, found = places(tmp_path_factory.mktemp("toml"), text)
    assert set(found) == set(leaves(data))
    for path, (line, column) in found.items():
        if isinstance(path[-1], str):
            assert text.split("\n")[line - 1][column - 1 :].startswith(path[-1])


@settings(deadline=None, max_examples=200)
@given(st.text(st.sampled_from("ab =[]{}\".,#\n\\'1-"), max_size=40))
def test_any_text_gives_a_document_or_one_mistake(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    path = tmp_path_factory.mktemp("toml") / "t.toml"
    path.write_text(text, encoding="utf-8", newline="")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        with pytest.raises(BuildError, match="found text that is not TOML"):
            read_toml(path, Report("t.toml"), "")
    else:
        found = read_toml(path, Report("t.toml"), "")
        assert found.data == data
        assert set(found.places) == set(leaves(data))


MISTAKES = [
    ("name = x", 1, 8, "invalid value", "double quotes"),
    ("# one\nname = 0.010 in", 2, 14, "expected newline", "double quotes"),
    ('name = "x', 1, 10, "illegal character", 'close the text with "'),
    ('name = """x', 2, 1, "unterminated string", 'close the text with "'),
    ('name = "x"\nname = "y"', 2, 11, "cannot overwrite a value", "only once"),
    ("a b = 3", 1, 3, "expected '='", "double quotes"),
    ("x = [1,", 2, 1, "invalid value", "close the list with ]"),
    ("x = [1", 2, 1, "unclosed array", "close the list"),
    ("[a]\n[a]", 2, 3, "cannot declare", "only once"),
    ('x = "C:\\photos"', 1, 10, "unescaped '\\'", "\\\\"),
]


@pytest.mark.parametrize(("text", "line", "column", "found", "write"), MISTAKES, ids=[m[0] for m in MISTAKES])
def test_what_is_no_toml(told: Told, text: str, line: int, column: int, found: str, write: str) -> None:
    (folder_mistake,) = told("build.toml", text)
    assert (folder_mistake.line, folder_mistake.column) == (line, column)
    assert found in folder_mistake.found
    assert write in folder_mistake.write


def test_lists_nested_too_deep_are_a_mistake_and_no_crash(folder: Path) -> None:
    (folder / "build.toml").write_text("x = " + "[" * 100_000)
    with pytest.raises(BuildError, match=r"build.toml: found lists nested too deep|no TOML"):
        Build.open(folder).name  # noqa: B018 - reading it is the test
