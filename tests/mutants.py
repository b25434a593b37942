"""How well do the tests hold? Change one thing in the code, run the tests that pass through that line, see whether one fails.

    python tests/mutants.py --count 300 --seed 7           a sample over the whole package
    python tests/mutants.py --count 40 --room formulas     of one room
    python tests/mutants.py --seed 7 --only 12,57          those of a sample once more, with what was changed

First the tests run once under coverage, to learn which test passes through which line (kept in the folder given with
--work). Each mutant then runs in a copy of the tree, against those tests only; what no test passes through in its own
process runs the tests of its room. A mutant that lives is a hole in the tests, or says the same as the code did: those
are listed in tests/mutants_same.txt with the reason, and not counted.
"""

from __future__ import annotations

import argparse
import ast
import random
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

TOP = Path(__file__).parents[1]
SAME = Path(__file__).with_name("mutants_same.txt")
SECONDS = 240
MOST_TESTS = 60

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
WORKED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
}  # fmt: skip


class Mutant:
    """One change of one file: what it is and where; `index` is the node's place in the file."""

    def __init__(self, path: Path, line: int, what: str, index: int, change: Any) -> None:
        self.path, self.line, self.what, self._index, self._change = path, line, what, index, change

    @property
    def text(self) -> str:
        """The changed file."""
        tree = ast.parse((TOP / self.path).read_text(encoding="utf-8"))
        self._change(_live(tree)[self._index])
        return ast.unparse(tree)

    def __str__(self) -> str:
        return f"{self.path.as_posix()}:{self.line}: {self.what}"


def mutants(path: Path) -> Iterator[Mutant]:
    """Every change of a file that is looked at, in order."""
    tree = ast.parse((TOP / path).read_text(encoding="utf-8"))
    for index, node in enumerate(_live(tree)):
        for what, change in _changes(node):
            yield Mutant(path, getattr(node, "lineno", 1), what, index, change)


def _live(tree: ast.AST) -> list[ast.AST]:
    """The nodes that do something when the code runs: no annotations, no docstrings, nothing for type checkers only."""
    dead: set[int] = set()
    for node in ast.walk(tree):
        gone: list[ast.AST | None] = []
        if isinstance(node, ast.FunctionDef):
            gone += [node.returns, *(a.annotation for a in ast.walk(node.args) if isinstance(a, ast.arg))]
        elif isinstance(node, ast.AnnAssign):
            gone.append(node.annotation)
        elif (isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING") or (
            isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        ):
            gone.append(node)
        for one in gone:
            dead |= {id(inner) for inner in ast.walk(one)} if one is not None else set()
    return [node for node in ast.walk(tree) if id(node) not in dead]


def _changes(node: ast.AST) -> Iterator[tuple[str, Any]]:
    """What can be changed at a node, with how."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in COMPARED:
        new = COMPARED[type(node.ops[0])]
        yield f"{type(node.ops[0]).__name__} -> {new.__name__}", lambda n: n.ops.__setitem__(0, new())
    elif isinstance(node, ast.BinOp) and type(node.op) in WORKED:
        made = WORKED[type(node.op)]
        yield f"{type(node.op).__name__} -> {made.__name__}", lambda n: setattr(n, "op", made())
    elif isinstance(node, ast.BoolOp):
        turned = ast.Or if isinstance(node.op, ast.And) else ast.And
        yield f"{type(node.op).__name__} -> {turned.__name__}", lambda n: setattr(n, "op", turned())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield (
            "not x -> bool(x)",
            lambda n: (setattr(n, "op", ast.Not()), setattr(n, "operand", ast.UnaryOp(ast.Not(), n.operand))),
        )
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield f"{node.value} -> {not node.value}", lambda n: setattr(n, "value", not n.value)
    elif isinstance(node, ast.Constant) and isinstance(node.value, (int, float)):
        yield f"{node.value} -> {node.value + 1}", lambda n: setattr(n, "value", n.value + 1)
    elif isinstance(node, ast.Return) and node.value is not None and not isinstance(node.value, ast.Constant):
        yield "return x -> return None", lambda n: setattr(n, "value", ast.Constant(None))
    elif isinstance(node, ast.IfExp):
        yield "a if c else b -> b if c else a", lambda n: n.__dict__.update(body=n.orelse, orelse=n.body)


def files(room: str | None) -> list[Path]:
    found = sorted((TOP / "restonb").rglob("*.py"))
    paths = [p.relative_to(TOP) for p in found if "_shipped" not in p.parts]
    return [p for p in paths if room in (None, p.parts[1], p.parts[1].removesuffix(".py"))]


def sample(room: str | None, count: int, seed: int) -> list[Mutant]:
    every = [mutant for path in files(room) for mutant in mutants(path)]
    return random.Random(seed).sample(every, min(count, len(every)))


def who_passes(work: Path) -> dict[tuple[str, int], list[str]]:
    """File and line -> the tests that pass through it, from one run under coverage."""
    data = work / "coverage"
    if not data.exists():
        config = work / "coveragerc"
        config.write_text(
            f"[run]\nsource = restonb\ndynamic_context = test_function\ndata_file = {data}\n", encoding="utf-8"
        )
        ignored = [f"--ignore=tests/{name}" for name in ("browser", "benchmarks", "faults")]
        command = [
            sys.executable,
            "-m",
            "coverage",
            "run",
            f"--rcfile={config}",
            "-m",
            "pytest",
            "-q",
            "-p",
            "no:randomly",
            *ignored,
        ]
        subprocess.run([*command, "tests"], cwd=TOP, check=False, stdout=subprocess.DEVNULL)
    from coverage import CoverageData

    found: dict[tuple[str, int], list[str]] = {}
    kept = CoverageData(basename=str(data))
    kept.read()
    for name in kept.measured_files():
        file = Path(name).relative_to(TOP).as_posix() if Path(name).is_relative_to(TOP) else name
        for line, contexts in kept.contexts_by_lineno(name).items():
            found[file, line] = [c for c in contexts if c]
    return found


def tests_of(mutant: Mutant, passing: dict[tuple[str, int], list[str]]) -> list[str]:
    """Arguments of pytest: the tests that pass through the line, else those of its room."""
    names = passing.get((mutant.path.as_posix(), mutant.line), [])
    known = sorted({_node(name) for name in names} - {""})
    if known:
        return random.Random(0).sample(known, min(MOST_TESTS, len(known)))
    room = mutant.path.parts[1].removesuffix(".py")
    return (
        [f"tests/{'notebooks' if room == 'decisions' else room}"] if (TOP / "tests" / room).is_dir() else ["tests/cli"]
    )


def _node(context: str) -> str:
    """'tests.record.test_gate.test_x' (or with a class) as pytest wants it."""
    parts = context.split(".")
    for at in range(len(parts), 0, -1):
        path = Path(*parts[:at]).with_suffix(".py")
        if (TOP / path).is_file():
            return "::".join([path.as_posix(), *parts[at:]]).partition("[")[0]
    return ""


def lives(mutant: Mutant, tree: Path, tests: list[str]) -> bool:
    """Whether the tests pass with the change."""
    target = tree / mutant.path
    before = target.read_text(encoding="utf-8")
    target.write_text(mutant.text, encoding="utf-8")
    try:
        command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:randomly", "-p", "no:cacheprovider", *tests]
        done = subprocess.run(
            command, cwd=tree, env=_environment(tree), capture_output=True, timeout=SECONDS, check=False
        )
        return done.returncode in (0, 5)
    except subprocess.TimeoutExpired:
        return False
    finally:
        target.write_text(before, encoding="utf-8")


def _environment(tree: Path) -> dict[str, str]:
    import os

    return {**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}


def same() -> dict[str, str]:
    """Mutants that say the same as the code: 'FILE: WHAT' -> reason. The line number is left out, since it moves."""
    if not SAME.exists():
        return {}
    lines = [line for line in SAME.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    return dict(line.split(" # ", 1) for line in lines)


def main() -> int:
    asked = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    asked.add_argument("--count", type=int, default=300)
    asked.add_argument("--seed", type=int, default=1971)
    asked.add_argument("--room", help="only this room")
    asked.add_argument("--only", help="numbers of the sample, with commas between")
    asked.add_argument(
        "--work", type=Path, default=Path("/tmp/restonb-mutants"), help="where the copy and the coverage lie"
    )
    args = asked.parse_args()
    args.work.mkdir(parents=True, exist_ok=True)
    passing = who_passes(args.work)
    tree = args.work / "tree"
    shutil.rmtree(tree, ignore_errors=True)
    shutil.copytree(TOP, tree, ignore=shutil.ignore_patterns(".venv", ".git", "__pycache__", ".*_cache", ".hypothesis"))
    taken = sample(args.room, args.count, args.seed)
    wanted = {int(n) for n in args.only.split(",")} if args.only else set(range(len(taken)))
    print(f"seed {args.seed}, {len(wanted)} of {len(taken)} mutants", flush=True)
    known, alive, tried, equal = same(), Counter[str](), Counter[str](), 0
    for number, mutant in enumerate(taken):
        if number not in wanted:
            continue
        room = mutant.path.parts[1].removesuffix(".py")
        if f"{mutant.path.as_posix()}:{mutant.line}: {mutant.what}" in known:
            equal += 1
            continue
        tried[room] += 1
        if lives(mutant, tree, tests_of(mutant, passing)):
            alive[room] += 1
            print(f"{number:4}  lives  {mutant}", flush=True)
    for room in sorted(tried):
        print(f"{room:12} {alive[room]:4} of {tried[room]:4} live, {100 * alive[room] / tried[room]:.0f} %")
    total = sum(tried.values())
    print(
        f"{'all':12} {sum(alive.values()):4} of {total:4} live, {100 * sum(alive.values()) / max(total, 1):.1f} %; {equal} say the same"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
