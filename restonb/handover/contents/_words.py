"""How dates, amounts and limits are worded in the document."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from restonb import quantity
from restonb.errors import QuantityError
from restonb.handover.report import Cell, Column, Table

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip


def day(at: str) -> str:
    """'14 March 2026' of an ISO time."""
    moment = datetime.fromisoformat(at)
    return f"{moment.day} {_MONTHS[moment.month - 1]} {moment.year}"


def date(at: str) -> str:
    """'2026-03-14' of an ISO time."""
    return at[:10]


def minute(at: str) -> str:
    """'2026-03-14 18:05' with its offset."""
    return f"{at[:10]} {at[11:16]} {at[19:]}".strip()


def title(key: str) -> str:
    """'Gearbox mounting' of 'gearbox_mounting'."""
    text = key.replace("_", " ").strip()
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """The text with a capital and a full stop."""
    text = text.strip()
    text = text[:1].upper() + text[1:]
    return text if not text or text[-1] in ".!?:" else f"{text}."


def amount(value: float | None, unit: str, units: Mapping[str, str], U: float | None = None) -> str:
    """The value in the person's unit, with its expanded uncertainty where it has one."""
    if value is None:
        return ""
    try:
        shown = _unit_to_show(unit, units)
        value = quantity.convert(value, unit, shown)
        if not U or quantity.unit(shown).kind == "date":  # a date is written as the span that it stands for
            return quantity.write(value, shown, u=U)
        U = abs(quantity.convert_difference(U, unit, shown))
        return f"{quantity.write(value, shown, u=U)} ± {quantity.write_number(U, u=U)}"
    except QuantityError:
        return f"{value:g} {unit}"


def as_typed(value: float, unit: str, units: Mapping[str, str]) -> str:
    """A torque as it was set: in its own unit, and beside it in the person's, to three digits."""
    own = amount(value, unit, {})
    try:
        shown = quantity.unit_to_show(unit, units)
        if shown == quantity.unit(unit).name:
            return own
        other = quantity.convert(value, unit, shown)
        return f"{own} ({quantity.write(float(f'{other:.3g}'), shown)})"
    except QuantityError:
        return own


_KEY = re.compile(r"\b[a-z0-9]+(?:_[a-z0-9]+)+\b")


def key_as_words(text: str) -> str:
    """The text with the names of the files, gearbox_mounting, as words."""
    return _KEY.sub(lambda match: match.group().replace("_", " "), text)


def limits(row: Mapping[str, Any], units: Mapping[str, str]) -> str:
    """'0 to 0.1 mm', 'at most 0.1 mm', with the wear limit."""
    unit, lower, upper = str(row["unit"]), row.get("lower"), row.get("upper")
    high = amount(upper, unit, units)
    if lower is not None and upper is not None:
        text = f"{_bare(lower, unit, units)} to {high}"
    elif lower is not None:
        text = f"at least {amount(lower, unit, units)}"
    else:
        text = f"at most {high}" if high else ""
    worn = amount(row.get("wear_limit"), unit, units)
    return "; ".join(part for part in (text, f"wear limit {worn}" if worn else "") if part)


def _unit_to_show(unit: str, units: Mapping[str, str]) -> str:
    """The person's unit, unless it is of another scale: 54 m is not shown as 54000 mm."""
    shown = quantity.unit_to_show(unit, units)
    ratio = quantity.unit(unit).factor / quantity.unit(shown).factor
    return shown if 1 / 3000 < ratio < 300 else unit


def _bare(value: float, unit: str, units: Mapping[str, str]) -> str:
    """The number of `amount` without its unit."""
    try:
        return quantity.write_number(quantity.convert(value, unit, _unit_to_show(unit, units)))
    except QuantityError:
        return f"{value:g}"


def cells(*texts: str | Cell) -> tuple[Cell, ...]:
    return tuple(t if isinstance(t, Cell) else Cell(t) for t in texts)


def word_cell(word: str) -> Cell:
    """A cell that shows a word of the toolkit with its sign."""
    return Cell(word, word)


def table(
    heading: str, columns: Sequence[Column], rows: Sequence[tuple[Cell, ...]], note: str = "", drop_empty: bool = True
) -> Table:
    """A table without the columns in which no row says anything."""
    full = [row for row in rows if len(row) > 1]
    kept = [
        i for i in range(len(columns)) if not drop_empty or not i or any(row[i].text or row[i].strip for row in full)
    ]
    shown = tuple(row if len(row) == 1 else tuple(row[i] for i in kept) for row in rows)
    return Table(heading, tuple(columns[i] for i in kept), shown, note)
