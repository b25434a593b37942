"""The command line: finds the command, runs it, and turns errors into one line and an exit code.

Exit codes: 0 done, or asked and answered yes; 1 asked and answered no; 2 could not.
"""

from __future__ import annotations

import argparse
import gc
import io
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import NoReturn

from restonb import __version__
from restonb.errors import RestonbError

__all__ = ["COMMANDS", "command", "main", "parser"]

COMMANDS = {
    "new": "make an empty build folder",
    "demo": "make a fresh copy of the Wrenfield 450 and run everything on it",
    "bench": "open the build in JupyterLab",
    "read": "enter readings, or strike one out",
    "enter": "enter anything else: a joint's state, an instrument check, a part, work, a note, miles",
    "disturb": "say that a joint is opened, and see what that spoils",
    "run": "run templates into the dated build log",
    "status": "what is settled, what must be done again, what is open",
    "calc": "work out a formula, with its working and its source",
    "handover": "export the record for somebody else",
    "verify": "check a record, a bag or a zip",
}
"""Every command, in the order of a job, with what it does."""

TRACE = "RESTONB_TRACE"
"""Set to anything, it shows the whole trace of a bug in restonb itself."""


class _Help(argparse.RawDescriptionHelpFormatter):
    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=_columns() - 2)


def _columns() -> int:
    """The width of the screen. Asked here, since argparse would load all of shutil for it at every start."""
    stated = os.environ.get("COLUMNS", "")
    if stated.isdecimal() and int(stated) > 0:
        return int(stated)
    try:
        return os.get_terminal_size().columns or 80
    except OSError:
        return 80


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        print(f"{self.prog}: {message}; '{self.prog} --help' shows how", file=sys.stderr)
        raise SystemExit(2)


def parser(only: str | None = None) -> argparse.ArgumentParser:
    """The whole parser, or just enough of it for the command `only`: what is not asked is not imported."""
    top = _Parser(
        prog="restonb",
        description="Restoration notebook toolkit: measure, decide, rework, and hand over a record.",
        epilog="Start with: restonb demo",
        formatter_class=_Help,
    )
    top.add_argument("--version", action="version", version=f"restonb {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", prog=top.prog, parser_class=_Parser)
    for name in COMMANDS if only is None else (only,):
        about = COMMANDS[name]
        module = import_module(f"restonb.cli.{name}")
        command = commands.add_parser(
            name,
            help=about,
            description=about[0].upper() + about[1:] + ".",
            epilog=module.EXAMPLE,
            formatter_class=_Help,
        )
        module.add(command)
        command.set_defaults(answer=module.answer)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(
            stream, io.TextIOWrapper
        ):  # what the terminal has no sign for comes out as ?, the word beside it stays
            stream.reconfigure(errors="replace")
    words = list(sys.argv[1:] if argv is None else argv)
    only = words[0] if words and words[0] in COMMANDS else None
    args = argparse.Namespace()
    try:
        top = parser(only)
        args = top.parse_args(words)
        if args.command is None:
            top.print_help()
            return 0
        code = int(args.answer(args))
        sys.stdout.flush()
        return code
    except RestonbError as error:
        print(f"restonb: {_error_text(error, args)}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("restonb: stopped; what was entered before stays entered", file=sys.stderr)
        return 130
    except OSError as error:
        print(f"restonb: {error.strerror or error}: {error.filename or ''}".rstrip(": "), file=sys.stderr)
        return 2
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 2
    except Exception as error:  # a fault of ours is said in one line too
        if os.environ.get(TRACE):
            raise
        fault = " ".join(f"{type(error).__name__}: {error}".split())
        print(
            f"restonb: a bug in restonb itself ({fault}); what was entered before stays entered; {TRACE}=1 shows where",
            file=sys.stderr,
        )
        return 2


def _error_text(error: RestonbError, args: argparse.Namespace) -> str:
    """The mistakes of one file are no reason to keep silent about those of the others."""
    if getattr(error, "mistakes", ()) and "build" in args:
        from restonb.cli.common import build_of

        with suppress(RestonbError):
            return "\n".join(str(m) for m in build_of(args).check() if not m.warning) or str(error)
    return str(error)


def command() -> NoReturn:
    """What the shell runs. It soon ends, so the collector of what refers to itself need not look often, nor at the end."""
    gc.set_threshold(100_000)
    code = main()
    gc.freeze()
    raise SystemExit(code)


if __name__ == "__main__":
    command()
