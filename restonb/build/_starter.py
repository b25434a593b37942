"""The files of a new build: they explain themselves, pass every check, and hold no limits."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from restonb.build.instruments import INSTRUMENT_COLUMNS
from restonb.build.specs import SPEC_COLUMNS

__all__ = ["SUBSYSTEMS", "write_starter"]

SUBSYSTEMS = ("drivetrain", "brakes", "electrical", "fasteners")
"""The spec files of a new build; a person may add more (engine, chassis ...)."""


def write_starter(folder: Path, name: str, machine: Mapping[str, str]) -> None:
    """Writes the files and folders of a new build into `folder`, which is there and empty."""
    stated = "\n".join(f"{_text(key)} = {_text(str(value))}" for key, value in machine.items())
    _write(folder / "build.toml", _BUILD.format(name=_text(name), machine=stated or _MACHINE))
    _write(folder / "instruments.csv", _INSTRUMENTS.format(header=",".join(INSTRUMENT_COLUMNS)))
    _write(folder / "joints.toml", _JOINTS)
    (folder / "specs").mkdir()
    for subsystem in SUBSYSTEMS:
        text = _SPECS.format(subsystem=subsystem, example=_EXAMPLES[subsystem], header=",".join(SPEC_COLUMNS))
        _write(folder / "specs" / f"{subsystem}.csv", text)
    for part in ("photos", "notebooks", "log", "handover"):
        (folder / part).mkdir()


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


def _text(value: str) -> str:
    """A TOML basic string; JSON escapes are valid there, and DEL is the one sign that JSON leaves bare."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


_BUILD = """\
# Who this machine is, and how it is shown and decided. Edit it in any text editor; restonb only reads it.

name = {name}

# How a reading is judged near a limit:
#   "prove"   it must be inside by more than it is uncertain (the careful way)
#   "simple"  the reading alone decides
rule = "prove"

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
# positions       once | repeat 5 | feet 4 | clock 8 | depth 10mm,40mm x axis A,B | links 20 | phases AB,BC |
#                 names, with commas between
# nominal, lower, upper, wear_limit   as in the manual, with or without a unit; empty is 'none'
# unit            of everything in the row, and of readings typed without one
# instrument      the usual one, by its name in instruments.csv
# safety          yes where a person may be hurt when it is wrong
# source          where the limits come from. Copy them from the manual that you own; none is shipped
# remedy          what your source allows where it is outside. This column may be left out
#
# Example, with your own limits and without the # in front:
# {example}
{header}
"""

_EXAMPLES = {
    "drivetrain": 'gearbox_mounting,gap,"gap under gearbox foot, nuts off",feet 4,'
    ',,YOUR LIMIT,,mm,feeler,,"manual, page"',
    "brakes": 'disc,run_out,"disc run-out, near the rim",clock 8,,,YOUR LIMIT,,mm,dial_indicator,yes,"manual, page"',
    "electrical": 'charging,regulated_voltage,"battery voltage at 3000 rpm",once,'
    ',YOUR LIMIT,YOUR LIMIT,,V,multimeter,,"manual, page"',
    "fasteners": 'tightening_plan,applied_torque,"torque of each cylinder head nut",nuts 4,'
    ',YOUR LIMIT,YOUR LIMIT,,N m,torque_wrench,yes,"manual, page"',
}

_JOINTS = """\
# What is held together by what. restonb reads this to say which results a loosened joint spoils.
#
# rests_on            the joints that must be closed before this one, and that move it when they are disturbed
# treatment           what goes on the faces or threads: threadlocker, anti-seize paste, sealant, dry
# replace_on_removal  parts that do not go back in
# retighten           after which distance or time it is tightened again
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

# Which joints each sheet relies on. What those rest on counts by itself.
# gearbox_mounting = ["gearbox_mounting"]
[sheets]
"""
