"""What measuring is about: an instrument, a characteristic with its limits, a reading. Plain data, no logic."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Characteristic", "Instrument", "Reading"]


class Instrument(NamedTuple):
    """A gauge. `resolution` and `error` (maximum permissible error, +/-) are in `unit`; None is 'not known'.

    `percent` of the reading is added to `error`: so data sheets of electrical and torque instruments state it.
    """

    key: str
    what: str
    unit: str
    resolution: float | None = None
    error: float | None = None
    expansion: float | None = None
    """Thermal expansion coefficient of the gauge in 1/K, for readings that state a temperature."""
    percent: float = 0.0


class Characteristic(NamedTuple):
    """One thing that is measured: one row of the spec book. Limits are in `unit`; None is 'no limit'."""

    sheet: str
    key: str
    what: str
    positions: str
    unit: str
    nominal: float | None = None
    lower: float | None = None
    upper: float | None = None
    wear_limit: float | None = None
    instrument: str | None = None
    safety: bool = False
    source: str = ""
    subsystem: str = ""
    """The file of the spec book that the row stands in, without '.csv': drivetrain, brakes, electrical ..."""
    remedy: str = ""
    """What may be done where it is outside, in the words of the person's source; '' where the row states none."""


class Reading(NamedTuple):
    """One measured value at one position. `value` and `resolution` are in `unit`, which is as it was typed."""

    sheet: str
    characteristic: str
    position: str
    value: float
    unit: str
    typed: str = ""
    resolution: float | None = None
    instrument: str | None = None
    occasion: str = "as found"
    temperature: float | None = None
    """Of the part, in degC."""
    at: str = ""
    """When it was entered, ISO 8601 with offset."""
    seq: int = 0
    """The entry of the record that holds it; 0 is 'not recorded'."""
    note: str = ""
