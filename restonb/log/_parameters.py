"""The parameters of a template: read from its `parameters` cell without running it, merged, written back."""

from __future__ import annotations

import ast
import io
import json
import math
import tokenize
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from restonb.errors import QuantityError, RunError
from restonb.words import nearest

__all__ = ["Parameter", "merged", "parsed", "read_cell", "write_cell"]


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter: its default, and the comment beside it, which begins with its unit if it has one.

    `like` is a value of its type: the default, or what its annotation says ('list[float]', 'float | None').
    """

    name: str
    default: Any
    comment: str = ""
    like: Any = None
    optional: bool = True

    @property
    def unit(self) -> str | None:
        """The unit that the comment begins with ('mm, plan position of ...'), or None."""
        from restonb.quantity import unit

        word = self.comment.split(",")[0].split(":")[0].strip()
        try:
            return unit(word).name if word else None
        except QuantityError:
            return None

    @property
    def amount(self) -> str:
        """An amount that it takes as text, '0.05 mm': its default, or 'with its unit' where only the comment says so."""
        if isinstance(self.like, str) and self.default and _unit_of(self.default):
            return str(self.default)
        texts = isinstance(self.like, str) or (isinstance(self.like, list) and self.like[:1] == [""])
        return _WITH_UNIT if texts and _WITH_UNIT in self.comment else ""

    @property
    def wants(self) -> str:
        """What may be written for it, in words."""
        if self.amount and isinstance(self.like, str):
            return "an amount with its unit, as text" + ("" if self.amount == _WITH_UNIT else f": {self.amount!r}")
        if self.amount and isinstance(self.like, list):
            return """a list of amounts, each with its unit, such as '["0.1 mm", "0.25 mm"]'"""
        if self.like is None:
            return "any plain value"
        if isinstance(self.like, list):
            depth, leaves = _depth(self.like), list(_leaves(self.like))
            words = {bool: "yes/no values", str: "texts", int: "whole numbers"}
            what = words.get(_leaf_type(leaves), "numbers") if leaves else "values"
            return ("a list of lists of " if depth > 1 else "a list of ") + what
        return {bool: "true or false", str: "text", int: "a whole number"}.get(type(self.like), "a number")

    def take(self, value: Any) -> Any:
        """The value as the template will get it. Raises RunError, without saying where it came from."""
        if value is None and self.optional:
            return None
        taken = self._converted(value)
        if not _fits(self.like, taken):
            raise RunError(f"parameter {self.name} takes {self.wants}, not {json.dumps(value, default=str)}")
        if self.amount:
            for text in taken if isinstance(taken, list) else [taken]:
                self._check_amount(text)
        return _like(self.like, taken)

    def _check_amount(self, text: str) -> None:
        """Refused before the template starts: what is not an amount at all, or one of another kind than the default."""
        from restonb.quantity import read

        if not text.strip() or _is_number(text):  # nothing is 'not given'; a bare number takes the template's unit
            return
        try:
            read(text, _unit_of(self.amount) or None)
        except QuantityError as error:
            raise RunError(f"parameter {self.name}: {error}") from None

    def _converted(self, value: Any) -> Any:
        """'2 thou' for a parameter in mm is 0.0508: shop text is read where a number is wanted."""
        numeric = isinstance(self.like, (int, float)) and not isinstance(self.like, bool)
        if not (numeric and isinstance(value, str)):
            return value
        from restonb.quantity import read

        try:
            return read(value, self.unit).to(self.unit).value if self.unit else float(value)
        except QuantityError as error:
            raise RunError(f"parameter {self.name}: {error}") from None
        except ValueError:
            return value


_WITH_UNIT = "with its unit"


def _unit_of(text: Any) -> str:
    """'mm' of '0.05 mm'; '' of what is not an amount with a unit."""
    from restonb.quantity import read

    try:
        return read(text).unit if isinstance(text, str) and text[:1].isdigit() else ""
    except QuantityError:
        return ""


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def read_cell(source: str, where: str = "the parameters cell") -> tuple[Parameter, ...]:
    """The parameters of a cell of plain assignments; nothing is executed.

    A comment on the same line belongs to the parameter; else the comment lines directly above it.
    """
    try:
        statements = ast.parse(source).body
    except (ValueError, RecursionError, MemoryError):  # half a character, a NUL, brackets without end
        raise RunError(f"{where}: not Python; write name = value") from None
    except SyntaxError as error:
        raise RunError(f"{where}, line {error.lineno}: not Python; write name = value") from None
    comments = _comments(source)
    found = []
    for statement in statements:
        name, value = _assignment(statement, where)
        annotation = statement.annotation if isinstance(statement, ast.AnnAssign) else None
        try:
            default = ast.literal_eval(value)
        except ValueError:
            default = ...
        default = list(default) if isinstance(default, tuple) else default
        if not _is_plain(default):
            raise RunError(
                f"{where}, line {statement.lineno}: {name} is not a plain value; "
                "write a number, a text, True, False, None or a list of these"
            )
        like, optional = (default, default is None) if annotation is None else _sample(annotation, where)
        found.append(Parameter(name, default, _comment_of(statement, comments), like, optional))
    return tuple(found)


def merged(
    parameters: Sequence[Parameter],
    layers: Iterable[tuple[str, Mapping[str, Any]]],
    of: str,
    former: Mapping[str, str] = MappingProxyType({}),
) -> dict[str, Any]:
    """The values to run with: the defaults, then each layer (named for messages) over what came before.

    `former`: parameters that earlier versions of the template took -> what is written instead of each.
    Raises RunError in one line on an unknown name or a value of the wrong type.
    """
    known = {p.name: p for p in parameters}
    values = {p.name: p.default for p in parameters}
    for where, layer in layers:
        for name, value in layer.items():
            if name in former and name not in known:
                raise RunError(f"{of} takes no {name} any more ({where}): {former[name]}")
            if name not in known:
                raise RunError(_unknown(name, known, of, where))
            try:
                values[name] = known[name].take(value)
            except RunError as error:
                raise RunError(f"{error} ({where})") from None
    return values


def parsed(parameters: Sequence[Parameter], texts: Mapping[str, str] | Iterable[str], of: str) -> dict[str, Any]:
    """`name=value` texts of a command line (or name -> text) as values, checked.

    A text is JSON where it is JSON, else what it says. Raises RunError as `merged` does.
    """
    if not isinstance(texts, Mapping):
        texts = dict(_split(text, parameters) for text in texts)
    texted = {p.name for p in parameters if isinstance(p.like, str)}
    values: dict[str, Any] = {}
    for name, text in texts.items():
        try:
            values[name] = text if name in texted else json.loads(text)
        except ValueError:
            values[name] = text
    taken = merged(parameters, [("command line", values)], of)
    return {name: taken[name] for name in values}


def _split(text: str, parameters: Sequence[Parameter]) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name.strip():
        known = f"; it takes {', '.join(p.name for p in parameters)}" if parameters else ""
        raise RunError(f"{text!r} is not a parameter; write NAME=VALUE{known}")
    return name.strip(), value.strip()


def write_cell(source: str, values: Mapping[str, Any]) -> str:
    """The same cell with other values; comments and layout stay."""
    lines = [line.encode() for line in source.splitlines(keepends=True)]
    for statement in reversed(ast.parse(source).body):
        name, value = _assignment(statement, "the parameters cell")
        if name not in values or ast.literal_eval(value) == values[name]:
            continue
        first, last = value.lineno - 1, (value.end_lineno or value.lineno) - 1
        head, tail = lines[first][: value.col_offset], lines[last][value.end_col_offset :]
        lines[first : last + 1] = [head + repr(values[name]).encode() + tail]
    return b"".join(lines).decode()


def _assignment(statement: ast.stmt, where: str) -> tuple[str, ast.expr]:
    if isinstance(statement, ast.Assign) and len(statement.targets) == 1:
        target = statement.targets[0]
        if isinstance(target, ast.Name):
            return target.id, statement.value
    if isinstance(statement, ast.AnnAssign) and statement.value and isinstance(statement.target, ast.Name):
        return statement.target.id, statement.value
    raise RunError(f"{where}, line {statement.lineno}: only assignments belong here; write name = value")


def _sample(annotation: ast.expr, where: str) -> tuple[Any, bool]:
    """A value of the annotated type, and whether None is one too."""
    if isinstance(annotation, ast.BinOp) and isinstance(annotation.op, ast.BitOr):
        return _sample(annotation.left, where)[0], True
    if isinstance(annotation, ast.Subscript) and ast.unparse(annotation.value) == "list":
        return [_sample(annotation.slice, where)[0]], False
    samples: dict[str, Any] = {"float": 0.0, "int": 0, "str": "", "bool": False}
    try:
        return samples[ast.unparse(annotation)], False
    except KeyError:
        raise RunError(
            f"{where}, line {annotation.lineno}: no type of a parameter; write float, int, str, bool, "
            "list[...] of one of them, or '... | None'"
        ) from None


def _comments(source: str) -> dict[int, tuple[str, bool]]:
    """Line number -> the comment on it, and whether it stands alone."""
    found = {}
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT:
            line, column = token.start
            found[line] = (token.string.lstrip("# ").rstrip(), not token.line[:column].strip())
    return found


def _comment_of(statement: ast.stmt, comments: Mapping[int, tuple[str, bool]]) -> str:
    last = statement.end_lineno or statement.lineno
    beside = [comments[n][0] for n in range(statement.lineno, last + 1) if n in comments]
    if beside:
        return " ".join(beside)
    above: list[str] = []
    line = statement.lineno - 1
    while line in comments and comments[line][1]:
        above.insert(0, comments[line][0])
        line -= 1
    return " ".join(above)


def _is_plain(value: Any) -> bool:
    if isinstance(value, list):
        return all(_is_plain(v) for v in value)
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, int):
        return abs(value) < 2**53  # the record takes no larger ones as numbers
    if isinstance(value, str):
        return value.isascii() or not any("\ud800" <= sign <= "\udfff" for sign in value)  # halves of characters
    return value is None


def _fits(default: Any, value: Any) -> bool:
    if not _is_plain(value):
        return False
    if default is None:
        return True
    if isinstance(default, list):
        leaves = list(_leaves(default))
        if not isinstance(value, list) or (leaves and _depth(value) not in (_depth(default), 0)):
            return False
        return not leaves or all(_leaf_fits(_leaf_type(leaves), v) for v in _leaves(value))
    return not isinstance(value, list) and _leaf_fits(type(default), value)


def _leaf_fits(kind: type, value: Any) -> bool:
    if kind in (bool, str) or isinstance(value, bool):
        return type(value) is kind
    if kind is int:
        return isinstance(value, int) or (isinstance(value, float) and value.is_integer())
    return isinstance(value, (int, float))


def _like(default: Any, value: Any) -> Any:
    """Whole numbers for whole numbers, floats for floats."""
    if isinstance(value, list):
        leaf = next(iter(_leaves(default if isinstance(default, list) else [])), None)
        kind = _leaf_type(list(_leaves(default))) if leaf is not None else None
        return [_like([leaf], v) if isinstance(v, list) else (int(v) if kind is int else v) for v in value]
    if isinstance(default, bool) or isinstance(value, (bool, str)) or value is None:
        return value
    if isinstance(default, int):
        return int(value)
    return float(value) if isinstance(default, float) else value


def _leaves(value: Any) -> Iterable[Any]:
    for item in value:
        if isinstance(item, list):
            yield from _leaves(item)
        else:
            yield item


def _leaf_type(leaves: Sequence[Any]) -> type:
    """float where any number has a decimal point, else the type of the first."""
    if any(isinstance(v, float) for v in leaves):
        return float
    return type(leaves[0]) if leaves else float


def _depth(value: Any) -> int:
    """1 for a flat list, 2 for a list of lists, 0 for an empty or uneven one."""
    if not isinstance(value, list) or not value:
        return 0
    depths = {_depth(v) if isinstance(v, list) else 0 for v in value}
    return 1 + depths.pop() if len(depths) == 1 else 0


def _unknown(name: str, known: Mapping[str, Parameter], of: str, where: str) -> str:
    meant = nearest(name, known)
    hint = f"did you mean {meant}? " if meant else ""
    takes = f"it takes {', '.join(known)}" if known else "it takes none"
    return f"{of} has no parameter {name!r} ({where}); {hint}{takes}"
