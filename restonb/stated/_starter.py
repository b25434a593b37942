"""The files of a new build: they explain themselves, pass every check, and hold no limits."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from restonb.errors import BuildError
from restonb.stated._asked import rows_asked_for
from restonb.stated._shipped import shipped
from restonb.stated.instruments import INSTRUMENT_COLUMNS
from restonb.stated.specs import SPEC_COLUMNS

__all__ = ["SUBSYSTEMS", "write_starter"]

SUBSYSTEMS = ("drivetrain", "brakes", "electrical", "fasteners")
"""The spec files of a new build, besides those of the templates; a person may add more (engine, body ...)."""


def write_starter(folder: Path, name: str, machine: Mapping[str, str]) -> None:
    """Writes the files and folders of a new build into `folder`, which is there and empty."""
    stated = "\n".join(f"{_text(key)} = {_text(str(value))}" for key, value in machine.items())
    _write(folder / "build.toml", _BUILD.format(name=_text(name), machine=stated or _MACHINE))
    _write(folder / "instruments.csv", _INSTRUMENTS.format(header=",".join(INSTRUMENT_COLUMNS)))
    _write(folder / "joints.toml", _JOINTS)
    (folder / "specs").mkdir()
    rows = _rows_to_fill_in()
    for subsystem in dict.fromkeys((*SUBSYSTEMS, *rows)):
        text = _SPECS.format(subsystem=subsystem, header=",".join(SPEC_COLUMNS), rows="".join(rows.get(subsystem, ())))
        _write(folder / "specs" / f"{subsystem}.csv", text)
    for part in ("photos", "notebooks", "log", "handover"):
        (folder / part).mkdir()


def _rows_to_fill_in() -> dict[str, list[str]]:
    """Subsystem -> the rows that its templates look for, each as a remark; none in an installation without templates."""
    try:
        found = rows_asked_for(shipped("notebooks"))
    except BuildError:
        return {}
    lines: dict[str, list[str]] = {}
    last = ""
    for row in found:
        told = lines.setdefault(row.subsystem, [_TO_FILL_IN])
        if row.sheet != last:
            told.append(f"#\n# {row.sheet}: {row.title}\n")
        last = row.sheet
        cells = {"sheet": row.sheet, "characteristic": row.key, "what": row.what, "positions": row.positions}
        cells |= {"unit": row.unit, "safety": "yes" if row.safety else ""}
        told.append("# " + ",".join(_cell(cells.get(column, "")) for column in SPEC_COLUMNS) + "\n")
    return lines


def _cell(text: str) -> str:
    """A cell of a CSV file, in quotes where it has a comma or a quote."""
    return '"' + text.replace('"', '""') + '"' if "," in text or '"' in text else text


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


def _text(value: str) -> str:
    """A TOML basic string; JSON escapes are valid there, and DEL is the one sign that JSON leaves bare."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


_BUILD = """\
# What this machine is, what units to show, and how readings are judged. Edit it in any text editor; restonb only reads it.

name = {name}

# How a reading is judged near a limit:
#   "prove"   it must be inside by more than it is uncertain (the careful way)
#   "simple"  the reading alone decides
rule = "prove"

# Sheets about parts that this machine does not have, so that nothing waits for them.
# not_fitted = ["disc", "hydraulics"]

[machine]
{machine}

# The unit to show for a kind of quantity. Leave a line out, and the unit of the spec book is shown.
[units]
# length = "mm"
# torque = "ft-lb"
# pressure = "psi"

# Standing parameters of a template, by sheet, so that they need not be typed at each run.
# [parameters.gearbox_mounting]
# feet_mm = [[0, 0], [180, 0], [180, 140], [0, 140]]
"""

_MACHINE = """\
# make = "Wrenfield"
# model = "450"
# year = 1971
# frame_number = "..."
# engine_number = "..."\
"""

_INSTRUMENTS = """\
# The gauges of this workshop, one a row. A line that starts with # is a remark.
#
# instrument  a short name, used in the spec book and with readings: feeler, calliper, torque_wrench
# resolution  the smallest step that it shows
# error       how wrong it may be at most, either way (data sheet or certificate): 0.02 mm; or in % of the reading,
#             as for a multimeter or a torque wrench: 0.5 % + 2 digits, 4 %
# expansion   only where readings state a temperature: 11.5e-6 (per kelvin, steel)
# last_check  the day of the last check that it passed: 2026-03-14
# source      where resolution and error come from
#
# Example, without the # in front:
# calliper,"digital calliper, 150 mm",mm,0.01 mm,0.03 mm,11.5e-6,2026-03-14,data sheet
{header}
"""

_SPECS = """\
# The spec book: {subsystem}. One row is one thing that is measured. A line that starts with # is a remark.
#
# sheet           the measuring job that the row belongs to: small letters, digits and _
# characteristic  a short name, once in a sheet
# what            in words: what is measured, and where
# positions       where it is measured:
#                   once; repeat 5 (one place, five times); links 20 (once, over 20 links); clock 8 (round a turn)
#                   feet 4, nuts 4, plates 5 ... (numbered); "axis A,B", "phases AB,BC,CA" (lettered)
#                   "depth 10mm,40mm x axis A,B" (every depth on every axis); "front, rear" (names)
#                 or what it is worked out from: spread of gap, difference of a and b, run-out of face, age of hose_made
#                 or 'worked out from a and b' where the template works it out by a formula: nobody measures it
# nominal, lower, upper, wear_limit   as in the manual, with or without a unit; empty is 'none'
# unit            of everything in the row, and of readings typed without one; 'date' for a date of making (2319 is week 23
#                 of 2019), whose age is judged in a row of its own with the unit year
# instrument      the usual one, by its name in instruments.csv
# safety          yes where a person may be hurt when it is wrong
# source          where the limits come from. Copy them from the manual that you own; none is shipped
# remedy          what your source allows where it is outside. This column may be left out
{header}
{rows}"""

_TO_FILL_IN = """\
#
# The templates look for these rows. Take the '# ' away from those that your machine has, write how many there are of it
# (nuts 4), your limits, and the page that they are on. Rows of your own, under sheets of your own, are welcome too.
"""

_JOINTS = """\
# What is held together by what. restonb reads this to say which results a loosened joint spoils.
#
# rests_on            the joints that must be closed before this one, and that move it when they are disturbed
# treatment           what goes on the faces or threads: threadlocker, anti-seize paste, sealant, dry
# replace_on_removal  parts that do not go back in
# retighten           after which distance or time it is tightened again
# torque              of a group of fasteners: what the wrench is set to
# torque_from, torque_to   between which torques the manual takes it as tightened, where it says so
#
# Example, without the # in front:
# [joints.frame]
# what = "frame, bare and straight"
#
# [joints.gearbox_mounting]
# what = "gearbox to engine plates"
# rests_on = ["frame"]
# replace_on_removal = ["tab washers"]
# retighten = "500 mile"
# safety = false
#
# [[joints.gearbox_mounting.fasteners]]
# what = "stud nut"
# count = 4
# thread = "3/8-26 BSCyc"
# torque = "your manual's, with its unit"
# stages = ["50 %", "100 %"]
# order = [1, 3, 2, 4]
# layout_mm = [[0, 0], [180, 0], [180, 140], [0, 140]]
# source = "manual, page"

[joints]

# Which joints each sheet relies on. What those rest on counts without being named.
# gearbox_mounting = ["gearbox_mounting"]
[sheets]
"""
