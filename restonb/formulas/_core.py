"""How a formula is declared, called and shown with its working.

A formula is a plain function on plain floats. Its signature declares, in code, the unit of every argument and
of every result; `@formula` adds what it stands on. The decorated name converts whatever a person gives
(numbers, quantities, shop text, values with an uncertainty) once at the boundary and answers with a `Result`.
The undecorated function stays at `.plain`, for one formula to use another.

    @formula(text="T = K d F", source=("shigley",), valid="K between 0.05 and 0.5", not_for="critical joints")
    def torque(
        preload: Annotated[float, In("N", "wanted preload")],
        diameter: Annotated[float, In("mm", "nominal thread diameter")],
        nut_factor: Annotated[float, In("1", "nut factor K")] = 0.2,
    ) -> Annotated[float, Out("N m", "tightening torque")]:
        '''Which torque gives a wanted preload.'''

Kinds of argument, told by the annotation: `float`, `int`, `bool`, `str` (with `choices`), `Thread`,
`Sequence[float]` ("0.05, 0.1, 0.2 mm"), `Sequence[Sequence[float]]` or `Sequence[tuple[float, float]]` for points
and grids ("0,0; 300,0"), `Sequence[str]`, and any of them `| None`. A result of several parts is a frozen
dataclass whose fields are annotated with `Out` too; fields named `notes`, `steps` and `cautions` (tuples of text)
are shown as such.
"""

from __future__ import annotations

import dataclasses
import inspect
import math
import typing
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Annotated, Any, Generic, ParamSpec, TypeVar

from restonb.errors import FormulaError
from restonb.formulas import _boundary, _show
from restonb.formulas._result import Given, Part, Result

__all__ = ["SAME", "Formula", "Given", "In", "Out", "Part", "Result", "formula"]

P = ParamSpec("P")
R = TypeVar("R")

HIDDEN = ("formula", "given", "value", "parts", "unit", "u", "to", "texts", "working", "data")
"""Names that a result has of its own: a field called so could not be reached."""
TEXT_FIELDS = ("notes", "steps", "cautions")
SAME = "any one unit"
"""Unit of arguments that may be in any unit, the same for all of them; results declared so are in it too."""


@dataclasses.dataclass(frozen=True, slots=True)
class In:
    """What an argument is: its unit (None for text), what it means, and the words it may be.

    `default`: for an argument in SAME, what its default is with its unit, for when the others are given with theirs.
    `symbol`: what the formula's text calls it.
    """

    unit: str | None = None
    what: str = ""
    choices: tuple[str, ...] = ()
    default: str = ""
    symbol: str = ""
    stands_for: Callable[[Any], str] | None = None
    """What a word looks up in a table, in words: shown beside it wherever the answer is shown."""


@dataclasses.dataclass(frozen=True, slots=True)
class Out:
    """What a result is: its unit (None for text), what it means, and what the formula's text calls it."""

    unit: str | None = None
    what: str = ""
    symbol: str = ""


class Formula(Generic[P, R]):
    """A plain function with its units, its source and its limits of use. Calling it answers with a `Result`."""

    def __init__(
        self,
        function: Callable[P, R],
        text: str,
        source: tuple[str, ...],
        valid: str,
        not_for: str,
        remarks: Callable[..., tuple[str, ...]] | None = None,
    ) -> None:
        self.plain: Callable[P, R] = function
        self._remarks = remarks
        self.text = text
        self.source = source
        self.valid = valid
        self.not_for = not_for
        self._question = inspect.cleandoc(function.__doc__ or "")
        self.__name__ = function.__name__
        self.__wrapped__ = function
        self.__module__ = function.__module__

    @property
    def family(self) -> str:
        """The family that it belongs to: the first name below restonb.formulas."""
        return self.__module__.removeprefix("restonb.formulas.").split(".")[0]

    @property
    def name(self) -> str:
        return f"{self.family}.{self.__name__}"

    @property
    def answers(self) -> str:
        """What it answers: the first line of its docstring."""
        return self._question.split("\n")[0]

    @property
    def __doc__(self) -> str:  # type: ignore[override]
        """Everything that a person must know to use it, worked out when it is asked for: `help(formula)`."""
        return _show.as_doc(self)

    @property
    def question(self) -> str:
        """Its docstring as written: what it answers, and what else must be known of it."""
        return self._question

    def remarks(self, **given: Any) -> tuple[str, ...]:
        """What must be known of an answer beside its numbers, such as rows of a table that are recalled."""
        if self._remarks is None:
            return ()
        bound = self.signature.bind(**given)
        bound.apply_defaults()
        return self._remarks(**bound.arguments)

    @cached_property
    def signature(self) -> inspect.Signature:
        return inspect.signature(self.plain)

    @cached_property
    def arguments(self) -> dict[str, tuple[Any, In]]:
        """Type and declaration of each argument."""
        found = {}
        hints = typing.get_type_hints(self.plain, include_extras=True)
        for name in self.signature.parameters:
            kind, mark = _split(hints[name], In)
            found[name] = (kind, mark or In())
        return found

    def words(self, argument: str) -> tuple[str, ...]:
        """The words that an argument may be; empty where it may be any."""
        return self.arguments[argument][1].choices

    @cached_property
    def result_type(self) -> tuple[Any, Out]:
        kind, mark = _split(typing.get_type_hints(self.plain, include_extras=True)["return"], Out)
        return kind, mark or Out()

    @property
    def results(self) -> list[tuple[str, str | None, str, str]]:
        """Name, unit, meaning and symbol of each number that it answers with."""
        kind, mark = self.result_type
        if not dataclasses.is_dataclass(kind):
            return [(self.__name__, mark.unit, mark.what, mark.symbol)]
        hints = typing.get_type_hints(kind, include_extras=True)
        names = [f.name for f in dataclasses.fields(kind) if f.name not in TEXT_FIELDS]
        outs = [(name, _split(hints[name], Out)[1] or Out()) for name in names]
        return [(name, out.unit, out.what, out.symbol) for name, out in outs]

    def card(self) -> str:
        """What it takes and gives, where it holds, what it is not good for and what it stands on, as lines of text."""
        return _show.card_text(self)

    def data(self) -> dict[str, Any]:
        """The same as plain data, ready for JSON."""
        return _show.card_data(self)

    def read(self, texts: Mapping[str, str]) -> dict[str, Any]:
        """Check the names of arguments given as `key=value` text; the values are read when it is called."""
        for name in texts:
            if name not in self.arguments:
                takes = ", ".join(self.arguments)
                raise FormulaError(
                    f"{self.name} has no '{name}'; it takes {takes}",
                    field=name,
                    place=self.name,
                    write=f"one of {takes}",
                    given=texts[name],
                )
        return dict(texts)

    def __call__(self, *args: Any, **kwargs: Any) -> Result:
        try:
            bound = self.signature.bind(*args, **kwargs)
        except TypeError as error:
            takes = _show.call_line(self)
            raise FormulaError(f"{self.name}: {error}; it takes {takes}", place=self.name, write=takes) from None
        given: list[Given] = []
        faults: list[FormulaError] = []
        try:
            shared = _boundary.shared_unit(self.arguments, bound.arguments)
            told = _boundary.with_defaults(self.arguments, bound.arguments, shared)
        except FormulaError as error:
            raise self._refusal([error]) from None
        for name, value in told.items():
            kind, mark = self.arguments[name]
            mark = dataclasses.replace(mark, unit=shared) if mark.unit == SAME else mark
            try:
                given.append(_boundary.take(name, value, kind, mark))
            except FormulaError as error:
                faults.append(error)
        if faults:
            raise self._refusal(faults)
        values = {g.name: g.value for g in given}
        answer = self._run(values)
        parts = self._parts(answer, values, tuple(given))
        parts = tuple(dataclasses.replace(p, unit=shared) if p.unit == SAME else p for p in parts)
        return Result(self, tuple(given), answer, parts)

    def _run(self, values: Mapping[str, Any]) -> R:
        try:
            answer = typing.cast(Callable[..., R], self.plain)(**values)
        except FormulaError as error:
            if error.field in values:
                kind, mark = self.arguments[error.field]
                error.given = values[error.field] if error.given is None else error.given
                error.write = error.write or _boundary.wanted(kind, mark)
            raise self._refusal([error]) from None
        except (ZeroDivisionError, OverflowError):
            raise FormulaError(
                f"{self.name}: these numbers lie outside what it can work out; check each against its unit",
                place=self.name,
            ) from None
        if isinstance(answer, float) and not math.isfinite(answer):
            raise FormulaError(
                f"{self.name}: these numbers have no finite answer; check each against its unit", place=self.name
            )
        return answer

    def _refusal(self, faults: list[FormulaError]) -> FormulaError:
        """One error for all that is wrong with a call; each names this formula as its place."""
        first = faults[0]
        for one in faults:
            one.place = one.place or self.name
        text = "; ".join(map(str, faults))
        text = text if text.startswith(self.name) else f"{self.name}: {text}"
        whole = FormulaError(text, field=first.field, place=first.place, write=first.write, given=first.given)
        whole.each = tuple(faults)
        return whole

    def _parts(self, answer: R, values: Mapping[str, Any], given: tuple[Given, ...]) -> tuple[Part, ...]:
        kind, mark = self.result_type
        if not dataclasses.is_dataclass(kind):
            us = self._spread(values, given, lambda a: {"": a})
            return (Part(self.__name__, answer, mark.unit, mark.what, us.get(""), mark.symbol),)
        hints = typing.get_type_hints(kind, include_extras=True)
        names = [f.name for f in dataclasses.fields(kind) if f.name not in TEXT_FIELDS]
        us = self._spread(values, given, lambda a: {n: getattr(a, n) for n in names})
        parts = []
        for name in names:
            _, out = _split(hints[name], Out)
            out = out or Out()
            parts.append(Part(name, getattr(answer, name), out.unit, out.what, us.get(name), out.symbol))
        return tuple(parts)

    def _spread(
        self, values: Mapping[str, Any], given: tuple[Given, ...], pick: Callable[[R], dict[str, Any]]
    ) -> dict[str, float]:
        """Standard uncertainty of each number, from changing each input by its own: JCGM 100:2008, 5.1.3 note 2."""
        squares: dict[str, float] = {}
        for g in given:
            if not g.u:
                continue
            ends = []
            for sign in (1.0, -1.0):
                try:
                    ends.append(pick(self._run({**values, g.name: g.value + sign * g.u})))
                except FormulaError:
                    ends.append(pick(self._run(values)))
            for name, high in ends[0].items():
                low = ends[1][name]
                if isinstance(high, float) and isinstance(low, float):
                    squares[name] = squares.get(name, 0.0) + ((high - low) / 2) ** 2
        return {name: math.sqrt(s) for name, s in squares.items()}

    def __repr__(self) -> str:
        return f"<formula {self.name}: {self.answers}>"

    def _repr_html_(self) -> str:
        return _show.formula_html(self)


def formula(
    *,
    text: str,
    source: str | tuple[str, ...],
    valid: str,
    not_for: str = "",
    remarks: Callable[..., tuple[str, ...]] | None = None,
) -> Callable[[Callable[P, R]], Formula[P, R]]:
    """Declare a formula. `source` names keys of sources.toml, each with a place behind a colon: 'iso-898-1: Table 3'.

    `remarks` takes the same arguments and answers with what must be known beside the numbers: a row of a table that is recalled, a
    value that is worked out where others are printed. They stand among the notes of the result.
    """
    keys = (source,) if isinstance(source, str) else tuple(source)

    def declare(function: Callable[P, R]) -> Formula[P, R]:
        _check_fields(function)
        return Formula(function, text, keys, valid, not_for, remarks)

    return declare


def _check_fields(function: Callable[..., Any]) -> None:
    """A result class whose field no one could reach is refused where it is written, and not when it is first called."""
    answers = function.__annotations__.get("return", "")
    found = function.__globals__.get(answers) if isinstance(answers, str) else answers
    hidden = [name for name in getattr(found, "__dataclass_fields__", ()) if name in HIDDEN]
    if hidden:
        raise TypeError(
            f"{function.__name__}: a result has its own '{hidden[0]}'; call that field of {getattr(found, '__name__', '')} something else"
        )


M = TypeVar("M", In, Out)


def _split(hint: Any, mark: type[M]) -> tuple[Any, M | None]:
    if typing.get_origin(hint) is Annotated:
        kind, *marks = typing.get_args(hint)
        return kind, next((m for m in marks if isinstance(m, mark)), None)
    return hint, None
