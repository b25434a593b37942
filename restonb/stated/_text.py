"""Reading a text file that a person edits: the encoding, and a collector for every mistake in it."""

from __future__ import annotations

import codecs
import re
from pathlib import Path

from restonb.errors import BuildError, Mistake, PositionError, RestonbError

__all__ = ["Report", "quoted", "read_text", "refused"]


class Report:
    """The mistakes and warnings found in one file, so that all of them can be told at once."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.mistakes: list[Mistake] = []
        self.warnings: list[Mistake] = []

    def add(self, line: int, column: int, found: str, write: str) -> None:
        self.mistakes.append(Mistake(self.file, line, column, found, write))

    def warn(self, line: int, column: int, found: str, write: str) -> None:
        self.warnings.append(Mistake(self.file, line, column, found, write, warning=True))

    def stop(self) -> None:
        """Raises BuildError when anything is wrong."""
        if self.mistakes:
            raise BuildError(mistakes=sorted(self.mistakes, key=lambda m: (m.line, m.column)))


def quoted(text: object) -> str:
    """What was found, short enough for one line."""
    shown = repr(str(text))
    return shown if len(shown) <= 60 else shown[:56] + "...'"


def refused(error: RestonbError) -> tuple[str, str]:
    """What was found and what to write, from the message of a lower room ('... is a torque: write mm')."""
    found, cut, write = str(error).rpartition("; " if isinstance(error, PositionError) else ": ")
    found = re.sub(r"^there is no (unit '.*') in the list$", r"\1, which is not in the list", found)
    found = re.sub(r"^('.*') (is|has) ", r"\1, which \2 ", found)
    return (found, write) if cut else (str(error), "correct it")


_MARKS = (
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16"),
    (codecs.BOM_UTF16_BE, "UTF-16"),
)
_SAVE = "save the file as UTF-8 (in the editor's 'save as' box: encoding UTF-8)"


def read_text(path: Path, report: Report, missing: str) -> str:
    """The text of `path`; a UTF-8 byte order mark is allowed.

    `missing` is what to write when there is no such file. Raises BuildError: without text nothing else
    in the file can be checked.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        report.add(0, 0, "no such file", missing)
    except IsADirectoryError:
        report.add(0, 0, "a folder", f"put a text file in its place: {missing}")
    except OSError as error:
        report.add(0, 0, f"a file that cannot be read ({error.strerror})", "give yourself permission to read the file")
    report.stop()
    for mark, name in _MARKS:
        if data.startswith(mark):
            report.add(1, 1, f"{name} text", _SAVE)
            report.stop()
    if b"\0" in data:
        wide = data.count(b"\0") * 3 > len(data)
        report.add(*_place(data, data.index(b"\0")), "UTF-16 text" if wide else "a null byte", _SAVE)
        report.stop()
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # The codec counts from after the mark that it has taken off.
        body = data.removeprefix(codecs.BOM_UTF8)
        byte = body[error.start]
        report.add(*_place(body, error.start), f"byte 0x{byte:02X}, which is not UTF-8 text", _SAVE)
        report.stop()
        raise AssertionError from error


def _place(data: bytes, at: int) -> tuple[int, int]:
    before = data[:at]
    start = before.rfind(b"\n") + 1
    return before.count(b"\n") + 1, len(before[start:].decode("utf-8", "replace")) + 1
