"""How well do the tests hold? Change one thing in the code, run the tests that pass through that line, see whether one fails.

    python tests/mutants.py --count 300 --seed 1971        a sample over the whole package
    python tests/mutants.py --count 40 --room formulas     of one room
    python tests/mutants.py --seed 7 --only 12,57          those of a sample once more, with the lines that were changed
    python tests/mutants.py --at restonb/words.py:31       every change of one line
    python tests/mutants.py --learn record,words           run these folders of tests under coverage again, first

First each folder of tests runs once under coverage, to learn which test passes through which line and how long it takes
(kept in the folder given with --work). Each mutant then runs in a copy of the tree, against the quickest of those tests,
in a process forked from one that has the big libraries loaded already. A line that runs when its file is imported is
tried by the tests that pass through the rest of the file; what no test passes through in its own process is tried by the
tests of its room. A mutant that lives is a hole in the tests, or says the same as the code did: those are listed in
tests/mutants_same.txt with the reason, and not counted.
"""

from __future__ import annotations

import argparse
import ast
import compileall
import importlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

TOP = Path(__file__).resolve().parents[1]
SAME = Path(__file__).with_name("mutants_same.txt")
BETWEEN = " ## "
SECONDS = 120.0
TOO_LONG = -1
BUDGET = 25.0
MOST_TESTS = 150
# Left out of the learning run: they start browsers, kernels or many processes, where other tests pass through the same lines.
SLOW = ("browser", "benchmarks", "faults", "notebooks")
LIBRARIES = (
    "numpy", "pandas", "pint", "scipy.stats", "scipy.optimize", "matplotlib.figure", "uncertainties",
    "nbformat", "ipywidgets", "rfc8785",
)  # fmt: skip

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
WORKED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
}  # fmt: skip

PLUGIN = """
import json, os, time
import coverage, pytest

took = {}

@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_protocol(item, nextitem):
    running = coverage.Coverage.current()
    if running is not None:
        running.switch_context(item.nodeid)
    began = time.perf_counter()
    yield
    took[item.nodeid] = time.perf_counter() - began

def pytest_runtest_logreport(report):
    if report.failed or report.skipped:
        took[report.nodeid] = None

def pytest_sessionfinish(session):
    with open(os.environ["MUTANTS_TOOK"], "w", encoding="utf-8") as file:
        json.dump(took, file)
"""


class Mutant:
    """One change of one file: what it is and where; `index` is the node's place in the file."""

    def __init__(self, path: Path, node: Any, span: tuple[int, int], what: str, index: int, change: Any) -> None:
        self.path, self.what, self.span, self._index, self._change = path, what, span, index, change
        self.line: int = getattr(node, "lineno", 1)

    @property
    def room(self) -> str:
        return self.path.parts[1].removesuffix(".py")

    @property
    def text(self) -> str:
        """The changed file: only the changed expression is written anew, so that what reads the source finds the rest."""
        source = (TOP / self.path).read_text(encoding="utf-8")
        tree = ast.parse(source)
        node: Any = _live(tree)[self._index]
        begin, end = ((node.lineno, node.col_offset), (node.end_lineno, node.end_col_offset))
        self._change(node)
        new = ast.unparse(node)
        lines = source.encode().splitlines(keepends=True)
        head = b"".join(lines[: begin[0] - 1]) + lines[begin[0] - 1][: begin[1]]
        tail = lines[end[0] - 1][end[1] :] + b"".join(lines[end[0] :])
        middle = new if isinstance(node, ast.stmt) else f"({new})"
        text = (head + middle.encode() + tail).decode()
        try:
            if ast.dump(ast.parse(text)) == ast.dump(ast.parse(ast.unparse(tree))):
                return text
        except SyntaxError:
            pass
        return ast.unparse(tree)

    @property
    def key(self) -> str:
        """How mutants_same.txt names it: the file, the text of the line, the change. No number: lines move."""
        line = (TOP / self.path).read_text(encoding="utf-8").splitlines()[self.line - 1].strip()
        return BETWEEN.join((self.path.as_posix(), line, self.what))

    def __str__(self) -> str:
        return f"{self.path.as_posix()}:{self.line}: {self.what}"


def mutants(path: Path) -> Iterator[Mutant]:
    """Every change of a file that is looked at, in order."""
    tree = ast.parse((TOP / path).read_text(encoding="utf-8"))
    spans = _spans(tree)
    seen: Counter[tuple[int, str]] = Counter()
    for index, node in enumerate(_live(tree)):
        for what, change in _changes(node):
            line = getattr(node, "lineno", 1)
            seen[line, what] += 1
            nth = seen[line, what]
            yield Mutant(path, node, spans[id(node)], what if nth == 1 else f"{what} ({nth})", index, change)


def _spans(tree: ast.AST) -> dict[int, tuple[int, int]]:
    """For each node the lines of the innermost statement it stands in: a body's statements count for themselves."""
    found: dict[int, tuple[int, int]] = {}

    def walk(node: Any, span: tuple[int, int]) -> None:
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            last = body[0].lineno - 1 if isinstance(body, list) and body else node.end_lineno or node.lineno
            if isinstance(node, ast.FunctionDef):  # a default is used wherever the function is
                last = node.end_lineno or last
            span = (node.lineno, max(node.lineno, last))
        found[id(node)] = span
        for child in ast.iter_child_nodes(node):
            walk(child, span)

    walk(tree, (1, 1))
    return found


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


class Passing:
    """Which test passes through which line, and how long each takes (seconds)."""

    def __init__(self, work: Path) -> None:
        from coverage import CoverageData

        self.took: dict[str, float] = {}
        self._lines: dict[str, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
        for data in sorted(work.glob("coverage-*.data")):
            if not data.with_suffix(".json").exists():
                continue  # it is still being learnt
            times = json.loads(data.with_suffix(".json").read_text(encoding="utf-8"))
            self.took.update({test: seconds for test, seconds in times.items() if seconds is not None})
            kept = CoverageData(basename=str(data))
            kept.read()
            for name in kept.measured_files():
                file = Path(name).relative_to(TOP).as_posix()
                for line, contexts in kept.contexts_by_lineno(name).items():
                    self._lines[file][line].update(c for c in contexts if c in self.took)

    def tests_of(self, mutant: Mutant) -> list[str]:
        """Arguments of pytest, the quickest first: the tests that pass through the line, or the file, or of the room."""
        lines = self._lines[mutant.path.as_posix()]
        begin, end = mutant.span
        found = lines[mutant.line] or set().union(*(lines[line] for line in range(begin, end + 1)))
        if (
            not found
        ):  # it runs when the file is imported: whatever passes through the file, then whatever is of the room
            through = set().union(*lines.values())
            rest = {test for test in self.took if test.startswith(f"tests/{mutant.room}/")} - through
            found_here, of_room = self._quickest(through, mutant), self._quickest(rest, mutant)
            frozen = ["tests/structure/test_frozen.py"] if "dataclass" in mutant.key else []
            if found_here or of_room:
                return [*frozen, *found_here, *of_room]
        if not found:
            own = TOP / "tests" / mutant.room
            return [f"tests/{mutant.room}" if own.is_dir() else "tests/cli"]
        return self._quickest(found, mutant)

    def _quickest(self, found: set[str], mutant: Mutant) -> list[str]:
        """Those of the room first, of each kind the quickest, and of one test function with many cases only a few at first."""
        cases: Counter[str] = Counter()
        ranked = []
        for test in sorted(found, key=lambda t: (self.took[t], t)):
            name = test.partition("[")[0]
            cases[name] += 1
            ranked.append((cases[name] > 4, not test.startswith(f"tests/{mutant.room}/"), self.took[test], test))
        taken, seconds = [], 0.0
        for *_, took, test in sorted(ranked):
            if taken and (seconds + took > BUDGET or len(taken) >= MOST_TESTS):
                continue
            taken.append(test)
            seconds += took
        return taken


def learn(work: Path, again: set[str]) -> None:
    """Run each folder of tests under coverage, where that has not been done yet."""
    (work / "mutants_plugin.py").write_text(PLUGIN, encoding="utf-8")
    for folder in sorted(p for p in (TOP / "tests").iterdir() if p.is_dir() and any(p.rglob("test_*.py"))):
        data = work / f"coverage-{folder.name}.data"
        if folder.name not in again and (data.with_suffix(".json").exists() or folder.name in SLOW):
            continue
        data.unlink(missing_ok=True)
        data.with_suffix(".json").unlink(missing_ok=True)
        began = time.monotonic()
        config = work / "coveragerc"
        config.write_text(f"[run]\nsource = {TOP / 'restonb'}\ndata_file = {data}\n", encoding="utf-8")
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
        ]
        command += ["-p", "mutants_plugin", "-p", "no:cacheprovider", "-m", "not slow", f"tests/{folder.name}"]
        environment = {**_environment(TOP), "MUTANTS_TOOK": str(data.with_suffix(".json"))}
        environment["PYTHONPATH"] += os.pathsep + str(work)
        done = subprocess.run(command, cwd=TOP, env=environment, capture_output=True, text=True, check=False)
        last = (done.stdout.strip().splitlines() or [""])[-1]
        print(f"learnt {folder.name}: {last} ({time.monotonic() - began:.0f} s)", flush=True)


def _environment(tree: Path) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}


def copy_of_tree(work: Path) -> Path:
    """A fresh copy to change, compiled, so that only the changed file is compiled anew."""
    tree = work / f"tree-{os.getpid()}"
    shutil.rmtree(tree, ignore_errors=True)
    shutil.copytree(TOP, tree, ignore=shutil.ignore_patterns(".venv", ".git", "__pycache__", ".*_cache", ".hypothesis"))
    compileall.compile_dir(tree / "restonb", quiet=2)
    return tree


class Trial:
    """A copy of the tree, and the tests that are known to pass in it as it stands: a test that fails there kills nothing."""

    def __init__(self, tree: Path, say: bool = False) -> None:
        self.tree, self.say = tree, say
        self._first = tree / ".first-failure"
        self._sound: set[str] = set()
        self._unsound: set[str] = set()

    def lives(self, mutant: Mutant, tests: list[str]) -> bool:
        """Whether the tests pass with the change."""
        while True:
            asked = [test for test in tests if test not in self._unsound]
            if not asked:
                return True
            with _changed(self.tree / mutant.path, mutant.text):
                code = self._run(asked)
            failed = self._first.read_text(encoding="utf-8") if self._first.exists() else ""
            if code in (0, 5):
                return True
            if code == TOO_LONG or failed in self._sound:
                return False
            if code != 1:  # nothing could be imported or collected any more: it must be otherwise as the tree stands
                if self._run(["--collect-only", *asked]) not in (0, 5):
                    raise SystemExit(f"these tests cannot be collected in the copy: {' '.join(asked)}")
                return False
            if self._run([failed]) == 0:
                self._sound.add(failed)
                return False
            print(f"      fails in the copy as it stands, left out: {failed}", flush=True)
            self._unsound.add(failed)

    def _run(self, tests: list[str]) -> int:
        """The exit code of pytest, in a forked process of its own group, with the copy's package."""
        self._first.unlink(missing_ok=True)
        child = os.fork()
        if child == 0:
            code = 99
            try:
                code = self._run_tests(tests)
                sys.stdout.flush()
            except BaseException:  # noqa: BLE001 - whatever ends it, the fork must not go on as its parent
                sys.excepthook(*sys.exc_info())
                sys.stderr.flush()
            finally:
                os._exit(code)
        deadline = time.monotonic() + SECONDS
        while time.monotonic() < deadline:
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                code = os.waitstatus_to_exitcode(status)
                if code in (98, 99):
                    raise SystemExit("the tests of the copy imported another restonb, or could not be started (--say)")
                return code
            time.sleep(0.02)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return TOO_LONG

    def _run_tests(self, tests: list[str]) -> int:
        os.setpgid(0, 0)
        os.chdir(self.tree)
        os.environ.update(_environment(self.tree))
        sys.dont_write_bytecode = True
        sys.path[:] = [str(self.tree), *(p for p in sys.path if p not in ("", str(TOP), str(TOP / "tests")))]
        if not self.say:
            sink = os.open(os.devnull, os.O_RDWR)
            for stream in (0, 1, 2):
                os.dup2(sink, stream)
        import pytest

        first = self._first

        class Failures:
            def pytest_runtest_logreport(self, report: Any) -> None:
                if report.failed and not first.exists():
                    first.write_text(report.nodeid, encoding="utf-8")

        words = ["-x", "-q", "-p", "no:randomly", "-p", "no:cacheprovider", *tests]
        code = int(pytest.main(words, plugins=[Failures()]))
        used = sys.modules.get("restonb")
        return 98 if used is not None and not str(used.__file__).startswith(str(self.tree)) else code


@contextmanager
def _changed(file: Path, text: str) -> Iterator[None]:
    """The file with this text; afterwards it is as it was, with its time, so that its compiled form holds again."""
    before, stamp = file.read_bytes(), file.stat()
    file.write_text(text, encoding="utf-8")
    try:
        yield
    finally:
        file.write_bytes(before)
        os.utime(file, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))


def same() -> dict[str, str]:
    """Mutants that say the same as the code: key -> reason, one a line with ' ## ' between the parts."""
    if not SAME.exists():
        return {}
    lines = [
        line for line in SAME.read_text(encoding="utf-8").splitlines() if BETWEEN in line and not line.startswith("#")
    ]
    return dict(line.rsplit(BETWEEN, 1) for line in lines)


def wanted(args: argparse.Namespace) -> list[tuple[int, Mutant]]:
    """What to try, with its number in the sample."""
    if args.at:
        file, _, lines = args.at.rpartition(":")
        numbers = {int(n) for n in lines.split(",")}
        return [(n, m) for n, m in enumerate(mutants(Path(file))) if m.line in numbers]
    taken = list(enumerate(sample(args.room, args.count, args.seed)))
    if args.only:
        numbers = {int(n) for n in args.only.split(",")}
        return [one for one in taken if one[0] in numbers]
    begin, end = (int(n) for n in args.part.split("-"))
    rooms = args.rooms.split(",") if args.rooms else None
    return [one for one in taken[begin:end] if rooms is None or one[1].room in rooms]


def main() -> int:
    asked = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    asked.add_argument("--count", type=int, default=300)
    asked.add_argument("--seed", type=int, default=1971)
    asked.add_argument("--room", help="a sample of only this room")
    asked.add_argument("--rooms", help="of the sample only these rooms, with commas between")
    asked.add_argument("--part", default="0-1000000", help="of the sample only from this to that number")
    asked.add_argument("--only", help="numbers of the sample, with commas between")
    asked.add_argument("--at", help="FILE:LINE,LINE: every change of these lines")
    asked.add_argument("--learn", default="", help="folders of tests to run under coverage again")
    asked.add_argument("--tests", nargs="+", help="run these tests, instead of those that pass through the line")
    asked.add_argument("--known", action="store_true", help="learn nothing: take what is known already")
    asked.add_argument("--say", action="store_true", help="print what the tests print")
    asked.add_argument(
        "--work",
        type=Path,
        default=Path(tempfile.gettempdir()) / "restonb-mutants",
        help="where the copy and the coverage lie",
    )
    args = asked.parse_args()
    args.work.mkdir(parents=True, exist_ok=True)
    if not args.known:
        learn(args.work, set(args.learn.split(",")) - {""})
    passing, trying, known = Passing(args.work), wanted(args), same()
    trial = Trial(copy_of_tree(args.work), args.say)
    for library in LIBRARIES:
        importlib.import_module(library)
    print(f"seed {args.seed}, {len(trying)} of {args.count} mutants", flush=True)
    alive, tried, equal = Counter[str](), Counter[str](), Counter[str]()
    for number, mutant in trying:
        if mutant.key in known:
            equal[mutant.room] += 1
            continue
        tried[mutant.room] += 1
        tests = args.tests or passing.tests_of(mutant)
        if trial.lives(mutant, tests):
            alive[mutant.room] += 1
            print(f"{number:4}  lives  {mutant}   [{len(tests)} tests]\n      {mutant.key}", flush=True)
        elif args.at or args.only:
            print(f"{number:4}  killed {mutant}", flush=True)
    for room in sorted(tried | equal):
        share = 100 * alive[room] / max(tried[room], 1)
        print(f"{room:12} {alive[room]:4} of {tried[room]:4} live, {share:.0f} %; {equal[room]} say the same")
    shutil.rmtree(trial.tree, ignore_errors=True)
    total, living = tried.total(), alive.total()
    print(
        f"{'all':12} {living:4} of {total:4} live, {100 * living / max(total, 1):.1f} %; {equal.total()} say the same"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
