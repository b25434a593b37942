"""Restoration notebook toolkit: measure, decide, rework, and hand over a record that anyone can check.

For people who write Python:

>>> import restonb
>>> restonb.quantity("10 thou").to("mm").value
0.254
>>> torque = restonb.calc("fasteners.torque", preload="15.9 kN", diameter="8 mm", nut_factor=0.2)
>>> print(round(torque.to("N m"), 1))
25.4

and `restonb.open("my-build")` for what a build holds, as pandas tables. Nothing heavy is loaded before it is used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

    from restonb.formulas import Result
    from restonb.machine import Machine

__all__ = ["__version__", "calc", "open", "quantity"]

__version__ = "0.2.0"


def open(folder: str | Path, as_of: str | None = None) -> Machine:
    """A build, opened for reading.

    Parameters
    ----------
    folder : str or Path
        The build folder, which holds build.toml.
    as_of : str, optional
        A date such as '2026-03-14': the record is seen as it was at the end of that day. Spec book, joints and
        gauges are always those of today, since text files keep no history.

    Returns
    -------
    Machine
        With `.readings()`, `.verdicts()`, `.joints()`, `.runs()` and `.standing()`, each a pandas table.

    Raises
    ------
    BuildError
        Where the folder holds no build, or its files hold mistakes: all of them at once, each with file, line and column.
    RecordError
        Where the record cannot be read.
    """
    from restonb.machine import open_machine

    return open_machine(folder, as_of)


def calc(name: str, /, **given: Any) -> Result:
    """Work out a formula.

    Parameters
    ----------
    name : str
        Its full name, such as 'fasteners.torque'; `restonb calc` lists them. `help(restonb.formulas.fasteners.torque)`
        shows what it takes, with units, symbols, validity and source.
    **given
        Its arguments: numbers in the unit that it declares, text with a unit ('15.9 kN', '24 +/- 1 N m'), quantities, or
        values with an uncertainty.

    Returns
    -------
    Result
        `float(result)` where it is one number, `result.u` its standard uncertainty, `result.parts` the numbers of a
        result of several; `print(result)` shows the working and the source.

    Raises
    ------
    FormulaError
        For an unknown name (near ones are offered), an argument of the wrong kind or out of range, an impossible geometry.

    Examples
    --------
    >>> import restonb
    >>> answer = restonb.calc("fasteners.preload", torque="24 N m", diameter="8 mm", nut_factor=0.2)
    >>> round(float(answer)), answer.unit
    (15000, 'N')
    """
    from restonb.formulas.catalogue import find

    return find(name)(**given)


def __getattr__(name: str) -> Any:
    if name in ("formulas", "measure", "quantity"):
        return import_module(f"restonb.{name}")
    raise AttributeError(f"module 'restonb' has no attribute {name!r}")
