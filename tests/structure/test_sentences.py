"""No code reads a sentence: what a step, a reason or a filed result says is for people; programs read its state and finding."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "restonb"
SAYS = {"text", "says", "left_open", "line", "blocking", "others", "decision", "decided"}
"""Names of attributes, and keys of filed results, that hold sentences."""
SENTENCES = {"sentence", "decided_lines", "open_lines", "still_open"}
"""Functions that answer with sentences."""
READS = {
    "startswith",
    "endswith",
    "find",
    "index",
    "split",
    "rsplit",
    "partition",
    "rpartition",
    "removeprefix",
    "removesuffix",
}
SEARCHES = {"search", "match", "fullmatch", "findall", "finditer"}
ROOMS = ("record", "decisions", "charts", "bench", "log", "handover", "cli")
NOT_YET: set[str] = set()
"""Still to be mended."""


def sentences(path: Path) -> Iterator[tuple[int, str]]:
    """Line and code of every place of a file that looks into a sentence."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for function in [tree, *(n for n in ast.walk(tree) if isinstance(n, (ast.FunctionDef, ast.Lambda)))]:
        held = names_that_hold_one(function)
        for node in ast.walk(function):
            if looks_into_one(node, held):
                yield node.lineno, ast.unparse(node)


def names_that_hold_one(function: ast.AST) -> set[str]:
    """Names that run over sentences, or are one."""
    held: set[str] = set()
    for _ in range(2):
        for node in ast.walk(function):
            if (
                isinstance(node, (ast.For, ast.comprehension))
                and is_one(node.iter, held)
                and isinstance(node.target, ast.Name)
            ):
                held.add(node.target.id)
            elif isinstance(node, ast.Assign) and is_one(node.value, held) and isinstance(node.targets[0], ast.Name):
                held.add(node.targets[0].id)
    return held


def is_one(node: ast.AST, held: set[str]) -> bool:
    match node:
        case ast.Attribute(attr=name):
            return name in SAYS
        case ast.Subscript(slice=ast.Constant(value=str(key))):
            return key in SAYS | {"open"}
        case ast.Call(func=ast.Attribute(attr="get"), args=[ast.Constant(value=str(key)), *_]):
            return key in SAYS | {"open"}
        case ast.Call(func=ast.Name(id=name)) if name in SENTENCES:
            return True
        case ast.Call(func=ast.Name(id="str" | "list" | "tuple"), args=[inner]):
            return is_one(inner, held)
        case ast.Call(func=ast.Attribute(value=inner, attr="lower" | "casefold" | "strip")):
            return is_one(inner, held)
        case ast.BoolOp(values=values):
            return any(is_one(value, held) for value in values)
        case ast.Name(id=name):
            return name in held
    return False


def looks_into_one(node: ast.AST, held: set[str]) -> bool:
    match node:
        case ast.Compare(left=left, ops=[ast.In() | ast.NotIn() | ast.Eq() | ast.NotEq()], comparators=[right]):
            words = [side.value for side in (left, right) if isinstance(side, ast.Constant)]
            return any(isinstance(word, str) and word for word in words) and (is_one(left, held) or is_one(right, held))
        case ast.Call(func=ast.Attribute(value=inner, attr=name), args=[*args]) if name in READS:
            lines = [arg for arg in args if isinstance(arg, ast.Constant) and arg.value == "\n"]  # to lay it out
            return is_one(inner, held) and not lines
        case ast.Call(func=ast.Attribute(attr=name), args=args) if name in SEARCHES:
            return any(is_one(arg, held) for arg in args)
    return False


@pytest.mark.parametrize("room", ROOMS)
def test_no_code_reads_a_sentence(room: str) -> None:
    found = [
        f"{name}:{line}: {code}"
        for path in sorted((PACKAGE / room).rglob("*.py"))
        if (name := path.relative_to(PACKAGE).as_posix()) not in NOT_YET
        for line, code in dict.fromkeys(sentences(path))
    ]
    assert not found, "read its state, its finding or its word instead:\n" + "\n".join(found)


@pytest.mark.parametrize(
    "code",
    [
        'if "inside" in step.text: pass',
        'if step["text"] == "Good.": pass',
        'any("no row" in line for line in run.filed.get("open") or ())',
        'for line in decided_lines(filed):\n    if line.startswith("Measure"): pass',
        'word = reason.text.split(", after ")[0]',
        "import re\nre.search('outside', sentence(step))",
    ],
)
def test_the_check_finds_what_it_looks_for(code: str, tmp_path: Path) -> None:
    path = tmp_path / "reads.py"
    path.write_text(code)
    assert list(sentences(path))


@pytest.mark.parametrize(
    "code", ['if step.state == "stop": pass', "shown = [line for line in filed['open']]", "print(reason.text)"]
)
def test_showing_one_is_no_reading(code: str, tmp_path: Path) -> None:
    path = tmp_path / "shows.py"
    path.write_text(code)
    assert not list(sentences(path))
