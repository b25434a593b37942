"""The boundary of a formula: from what a person gives to a plain value in the declared unit."""

from __future__ import annotations

import collections.abc
import math
import types
import typing
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from restonb.errors import FormulaError, QuantityError
from restonb.formulas._result import Given
from restonb.quantity import Quantity, convert, convert_difference, read, same_kind
from restonb.quantity import unit as unit_of
from restonb.words import near

if TYPE_CHECKING:
    from restonb.formulas._core import In


def take(name: str, value: Any, kind: Any, mark: In) -> Given:
    """The argument `name` as a plain value in its declared unit; FormulaError says what to write instead.

    The error carries the argument's name (`field`), what it was given (`given`) and what is wanted there (`write`).
    """
    try:
        return _take(name, value, kind, mark)
    except (FormulaError, QuantityError) as error:
        text = str(error) if isinstance(error, FormulaError) else f"'{name}': {error}"
        write = error.write or wanted(kind, mark)
        given = value if error.given is None else error.given
        raise FormulaError(text, field=error.field or name, write=write, given=given) from None


def wanted(kind: Any, mark: In) -> str:
    """What an argument is to be, in a few words: 'a number in mm', 'yes or no', 'one of fine, medium, coarse'."""
    kind, _ = _without_none(kind)
    words = mark.choices or (typing.get_args(kind) if typing.get_origin(kind) is typing.Literal else ())
    if words:
        return f"one of {', '.join(words)}"
    if kind is bool:
        return "yes or no"
    if kind in (float, int):
        return ("a whole number" if kind is int else "a number") + _in_unit(mark)
    if _is_sequence(kind):
        return f"a list{_in_unit(mark)}"
    return "a thread, such as M8x1.25" if getattr(kind, "__name__", "") == "Thread" else mark.what or "text"


def _take(name: str, value: Any, kind: Any, mark: In) -> Given:
    kind, optional = _without_none(kind)
    if value is None or (isinstance(value, str) and optional and value.strip() in ("", "none")):
        if optional:
            return Given(name, None, mark.unit, mark.what, symbol=mark.symbol)
        raise FormulaError(f"'{name}' is missing; give {mark.what or 'a value'}{_in_unit(mark)}")
    typed = value.strip() if isinstance(value, str) else ""
    if kind is float:
        number, u = _number(name, value, mark)
        return Given(name, number, mark.unit, mark.what, typed, u, symbol=mark.symbol)
    plain = _other(name, value, kind, mark)
    stands_for = mark.stands_for(plain) if mark.stands_for else ""
    return Given(name, plain, mark.unit, mark.what, typed, None, stands_for, mark.symbol)


def shared_unit(arguments: Mapping[str, tuple[Any, In]], given: Mapping[str, Any]) -> str | None:
    """The first unit that is stated among the arguments that share one; None where these are plain numbers."""
    from restonb.formulas._core import SAME

    for name, value in given.items():
        if name in arguments and arguments[name][1].unit == SAME:
            for one in _flat(value):
                stated = one.unit if hasattr(one, "unit") else _unit_of(one) if isinstance(one, str) else ""
                if stated:
                    try:
                        return unit_of(stated).name
                    except QuantityError as error:
                        raise FormulaError(f"'{name}': {error}", field=name, given=value) from None
    return None


def with_defaults(
    arguments: Mapping[str, tuple[Any, In]], given: Mapping[str, Any], shared: str | None
) -> dict[str, Any]:
    """What is given, and the stated defaults of arguments that share a unit, once that is known."""
    left = {name: mark.default for name, (_, mark) in arguments.items() if mark.default and name not in given}
    for name, default in left.items() if shared else ():
        if not same_kind(_unit_of(default), shared or ""):
            raise FormulaError(
                f"'{name}' is missing; give it in {shared}, since its usual {default} says nothing of that",
                field=name,
                write=f"a number in {shared}",
            )
    return {**given, **(left if shared else {})}


def _flat(value: Any) -> list[Any]:
    if isinstance(value, str):
        return [part for part in value.split(",") if part.strip()]
    if isinstance(value, (list, tuple)):
        return [one for part in value for one in _flat(part)]
    return [value]


def _other(name: str, value: Any, kind: Any, mark: In) -> Any:
    if kind is bool:
        return _yes_or_no(name, value)
    if kind is int:
        number, _ = _number(name, value, mark)
        if number != int(number):
            raise FormulaError(f"'{name}' is {value!s}; give a whole number")
        return int(number)
    if kind is str or typing.get_origin(kind) is typing.Literal:
        return _word(name, value, mark.choices or typing.get_args(kind))
    if getattr(kind, "__name__", "") == "Thread":
        return value if isinstance(value, kind) else _thread(name, value)
    if _is_sequence(kind):
        return _sequence(name, value, kind, mark)
    if isinstance(value, kind):
        return value
    raise FormulaError(f"'{name}' is {value!r}; give {mark.what}")


def _sequence(name: str, value: Any, kind: Any, mark: In) -> tuple[Any, ...]:
    item = next((a for a in typing.get_args(kind) if a is not Ellipsis), float)
    nested = _is_sequence(item)
    if isinstance(value, str):
        rows = [[p for p in row.split(",") if p.strip()] for row in value.split(";")] if nested else []
        parts: Sequence[Any] = rows if nested else [p for p in value.split(",") if p.strip()]
        if nested:
            flat = iter(_with_unit(name, [p for row in rows for p in row]))
            parts = [[next(flat) for _ in row] for row in rows if row]
        elif item is float:
            parts = _with_unit(name, parts)
    else:
        try:
            parts = list(value.tolist() if hasattr(value, "tolist") else value)
        except TypeError:
            raise FormulaError(f"'{name}' is {value!r}; give a list, such as {_example(nested)}") from None
    if not parts:
        raise FormulaError(f"'{name}' is an empty list; give {mark.what or 'values'}{_in_unit(mark)}")
    return tuple(take(f"{name}[{i}]", part, item, mark).value for i, part in enumerate(parts, 1))


def _with_unit(name: str, parts: Sequence[str]) -> list[str]:
    """'0.05, 0.1, 0.2 mm' and '0,0; 12,0 in': one unit behind the last number holds for the whole list.

    A list in which some numbers have a unit and others do not is refused, unless those others are zero.
    """
    units = [_unit_of(part) for part in parts]
    bare = [part.strip() for part, unit in zip(parts, units, strict=True) if not unit and part.strip().strip("0.")]
    if not any(units) or not bare:
        return list(parts)
    if any(units[:-1]):
        raise FormulaError(f"'{name}' gives {bare[0]} no unit; give each number its unit, or one behind the last")
    return [part if unit else f"{part.strip()} {units[-1]}" for part, unit in zip(parts, units, strict=True)]


def _unit_of(text: str) -> str:
    """What stands behind the number; '' where nothing does. An uncertainty belongs to the number."""
    number = text.replace("+/-", " ").replace("±", " ").strip()
    return number.lstrip("+-.0123456789/ ").removeprefix("e").lstrip("+-0123456789 ") if number else ""


def _number(name: str, value: Any, mark: In) -> tuple[float, float | None]:
    unit = mark.unit or "1"
    if isinstance(value, bool):
        raise FormulaError(f"'{name}' is {value}; give a number{_in_unit(mark)}")
    try:
        if isinstance(value, str):
            return _text(value, unit)
        if isinstance(value, Quantity):
            if not same_kind(value.unit, unit):
                raise FormulaError(f"'{name}' is {value.write()}; give it in {unit}")
            return _finite(name, value.to(unit).value, mark), None
    except QuantityError as error:
        raise FormulaError(f"'{name}': {error}") from None
    if hasattr(value, "nominal_value") and hasattr(value, "std_dev"):
        return _finite(name, float(value.nominal_value), mark), float(value.std_dev)
    if hasattr(value, "parts") and hasattr(value, "formula"):
        inner = value.unit
        if inner is None or not same_kind(inner, unit):
            raise FormulaError(f"'{name}' is a result in {inner}; give it in {unit}")
        u = value.u
        return float(convert(float(value), inner, unit)), None if u is None else float(
            convert_difference(u, inner, unit)
        )
    try:
        return _finite(name, float(value), mark), None
    except (TypeError, ValueError):
        raise FormulaError(f"'{name}' is {value!r}; give a number{_in_unit(mark)}") from None


def _text(text: str, unit: str) -> tuple[float, float | None]:
    """'24 N m' or '24 +/- 1 N m'; behind the sign stands an expanded uncertainty (k = 2)."""
    for sign in ("+/-", "±"):
        if sign in text:
            front, _, back = text.partition(sign)
            spread = read(back.strip(), unit)
            tail = back.strip().lstrip("+-.0123456789/ eE").strip()
            front = front.strip()
            if tail and not any(c.isalpha() or c in "\"'%°µ" for c in front):
                front = f"{front} {tail}"
            u = float(convert_difference(spread.value, spread.unit, unit)) / 2
            return float(read(front, unit).to(unit).value), abs(u)
    return float(read(text, unit).to(unit).value), None


def _finite(name: str, value: float, mark: In) -> float:
    if not math.isfinite(value):
        raise FormulaError(f"'{name}' is {value}; give a finite number{_in_unit(mark)}")
    return value


def _word(name: str, value: Any, choices: tuple[str, ...]) -> str:
    text = str(value).strip()
    if not choices or text in choices:
        return text
    same = [c for c in choices if c.casefold() == text.casefold()]
    if same:
        return same[0]
    alike = near(text, choices)
    hint = f" (did you mean '{alike[0]}'?)" if alike else ""
    raise FormulaError(f"'{name}' is '{text}'; write one of {', '.join(choices)}{hint}")


def _yes_or_no(name: str, value: Any) -> bool:
    if isinstance(value, bool):
        return value
    text = str(value).strip().casefold()
    if text in ("yes", "true", "1"):
        return True
    if text in ("no", "false", "0"):
        return False
    raise FormulaError(f"'{name}' is {value!r}; write yes or no")


def _thread(name: str, value: Any) -> Any:
    from restonb.quantity import read_thread

    try:
        return read_thread(str(value))
    except QuantityError as error:
        raise FormulaError(f"'{name}': {error}") from None


def _without_none(kind: Any) -> tuple[Any, bool]:
    if typing.get_origin(kind) in (types.UnionType, typing.Union):
        rest = [a for a in typing.get_args(kind) if a is not type(None)]
        if len(rest) == 1:
            return rest[0], len(rest) < len(typing.get_args(kind))
    return kind, False


def _is_sequence(kind: Any) -> bool:
    return typing.get_origin(kind) in (collections.abc.Sequence, tuple, list)


def _in_unit(mark: In) -> str:
    return f" in {mark.unit}" if mark.unit and mark.unit != "1" else ""


def _example(nested: bool) -> str:
    return "'0,0; 300,0; 300,200'" if nested else "'0.05, 0.1, 0.2'"
