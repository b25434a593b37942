"""Every error that restonb raises on purpose. The message says what to write or do instead.

RestonbError
 ├── QuantityError     text that is not a quantity, thread or drill; or a unit of the wrong kind
 ├── PositionError     an unknown position pattern, or a position that the pattern does not have
 ├── MeasureError      readings from which the asked result cannot be worked out
 ├── FormulaError      an argument out of range, of the wrong kind, or an impossible geometry
 ├── BuildError        a mistake in a file that a person edits; carries all mistakes at once
 ├── RecordError       an entry that the record refuses, or a record that cannot be read
 ├── RunError          a template that cannot be started or that failed
 └── HandoverError     an export or a verification that could not be done
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

__all__ = [
    "BuildError",
    "FormulaError",
    "HandoverError",
    "MeasureError",
    "Mistake",
    "PositionError",
    "QuantityError",
    "RecordError",
    "RestonbError",
    "RunError",
]


class RestonbError(Exception):
    """Base of all errors raised on purpose; one line, ending with what to do next.

    What it is about is in attributes too, so that a program need not read the sentence; each is empty where it does not apply.

    Attributes
    ----------
    field : str
        Name of what was wrong: an argument, a column, a key.
    place : str
        Where that is: a formula, a file and line.
    write : str
        What is wanted there instead.
    given : object
        What was given; None where nothing was.
    """

    def __init__(self, *args: object, field: str = "", place: str = "", write: str = "", given: object = None) -> None:
        super().__init__(*args)
        self.field = field
        self.place = place
        self.write = write
        self.given = given


class QuantityError(RestonbError):
    """Text that is not a quantity, thread or drill, or a unit of the wrong kind."""


class PositionError(RestonbError):
    """An unknown position pattern, or a position that the pattern does not have."""


class MeasureError(RestonbError):
    """Readings from which the asked result cannot be worked out."""


class FormulaError(RestonbError):
    """An argument out of range or of the wrong kind, or an impossible geometry.

    Where several arguments of one call are wrong, `each` holds an error for every one of them, and `field`, `write` and `given` are
    those of the first.
    """

    each: tuple[FormulaError, ...] = ()


class Mistake(NamedTuple):
    """One mistake in a file that a person edits. `line` and `column` count from 1; 0 is 'the whole file'."""

    file: str
    line: int
    column: int
    found: str
    write: str
    warning: bool = False

    def __str__(self) -> str:
        place = self.file
        if self.line:
            place += f":{self.line}"
        if self.column:
            place += f":{self.column}"
        return f"{place}: found {self.found}; {self.write}"


class BuildError(RestonbError):
    """A mistake, or all the mistakes, in what a person wrote into the build folder."""

    def __init__(self, message: str = "", mistakes: Iterable[Mistake] = ()) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__(message or "\n".join(str(m) for m in self.mistakes))


class RecordError(RestonbError):
    """An entry that the record refuses, or a record that cannot be read."""


class RunError(RestonbError):
    """A template that cannot be started, or that failed."""


class HandoverError(RestonbError):
    """An export or a verification that could not be done."""
