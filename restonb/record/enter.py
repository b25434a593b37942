"""What a person enters: checked against the build, said back in plain words when refused, then appended."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from restonb.errors import RecordError
from restonb.record._journal import Entry, Record
from restonb.record._typed import gauge_of, reading_body
from restonb.record.bodies import KINDS, number_text, what_to_write
from restonb.record.fastener_text import fastener_of, fasteners_of
from restonb.record.occasions import occasion_of

if TYPE_CHECKING:
    from restonb.stated import Build, Joint

__all__ = [
    "enter_check",
    "enter_disturb",
    "enter_handover",
    "enter_joint",
    "enter_note",
    "enter_part",
    "enter_photo",
    "enter_reading",
    "enter_readings",
    "enter_run",
    "enter_strike",
    "enter_usage",
    "enter_work",
]


def enter_reading(
    record: Record,
    build: Build,
    sheet: str,
    characteristic: str,
    position: str,
    typed: str,
    occasion: str | None = None,
    instrument: str | None = None,
    temperature: str | None = None,
    note: str = "",
    new_occasion: bool = False,
) -> Entry:
    """One measured value, as typed, at one position; on disk when this returns.

    `occasion` is 'as found' when left out, `instrument` the spec row's. An occasion that is nearly one in use is
    refused as a slip, unless `new_occasion` says that it is another. Raises BuildError, PositionError,
    QuantityError or RecordError, each naming what was meant or saying what to write.
    """
    why = occasion_of(record, occasion, sheet, new_occasion)
    body = reading_body(build, sheet, characteristic, position, typed, why, instrument, temperature, note)
    return record.append("reading", body)


def enter_readings(
    record: Record,
    build: Build,
    sheet: str,
    characteristic: str,
    typed: Mapping[str, str],
    occasion: str | None = None,
    instrument: str | None = None,
    temperature: str | None = None,
    note: str = "",
    new_occasion: bool = False,
) -> list[Entry]:
    """Several positions of one characteristic, position -> what was typed: all are taken, or none."""
    why = occasion_of(record, occasion, sheet, new_occasion)
    bodies = [
        reading_body(build, sheet, characteristic, position, text, why, instrument, temperature, note)
        for position, text in typed.items()
    ]
    numbers = record.append_many([("reading", body) for body in bodies])
    return [entry for seq in numbers if (entry := record.entry(seq))]


def enter_strike(record: Record, seq: int, why: str) -> Entry:
    """Strike an entry out. It stays, and so does the reason. Raises RecordError if it cannot be struck."""
    target = record.entry(seq) if isinstance(seq, int) and not isinstance(seq, bool) else None
    if target is None:
        last = record.upto(None)
        raise RecordError(
            f"there is no entry {seq}: write a number from 1 to {last}"
            if last
            else f"there is no entry {seq}: nothing has been entered yet"
        )
    if not KINDS[target.kind].strikeable:
        raise RecordError(f"entry {seq} is a {target.kind}, which cannot be struck: {_INSTEAD[target.kind]}")
    _say("why it is struck", why, "'misread the vernier'")
    already = record.rows("SELECT seq FROM said WHERE kind <> 'reading' AND kind = 'strike' AND strikes = ?", (seq,))
    if already:
        raise RecordError(f"entry {seq} was struck already, by entry {already[0][0]}: nothing is left to do")
    return record.append("strike", {"seq": seq, "why": why.strip()})


def enter_disturb(record: Record, build: Build, joint: str, what: str, why: str = "") -> Entry:
    """A joint loosened, removed or replaced. Ask `impact` first what that spoils."""
    return record.append("disturb", {"joint": build.joints.get(joint).key, "what": what, "why": why})


def enter_joint(
    record: Record,
    build: Build,
    joint: str,
    state: str,
    why: str = "",
    label: str = "",
    waiting: str = "",
    until: str | date | None = None,
    fasteners: Iterable[Mapping[str, Any]] | str = (),
    wrench: str = "",
    accepted: str = "",
) -> Entry:
    """The state that a joint was put into, with the torques reached.

    `waiting` is 'part' or 'cure', `until` when it is over. A fastener: {position, torque, unit, treatment,
    new, stage}; a torque with its unit in the text ('24 N m') is taken apart. Or all of them in one line of text, as
    `fasteners_of` reads it. `wrench` is the instrument that they were tightened with; `accepted` why torques that are not as
    planned are left as they are. A position that the plan does not have is refused.
    """
    known = build.joints.get(joint)
    if isinstance(fasteners, str):
        fasteners = fasteners_of(known, fasteners)
    rows = [_fastener(known, fastener) for fastener in fasteners]
    if until is not None:
        until = _day(until)
    if wrench:
        wrench = _wrench(build, wrench)
    if accepted and accepted.strip().casefold() in ("yes", "y", "true", "ok", "1", "no"):
        raise RecordError(
            'say why it is accepted as it is: write for example accepted="bolt and thread looked at: sound"'
        )
    return record.append(
        "joint",
        {
            "joint": known.key,
            "state": state,
            "why": why,
            "label": label,
            "waiting": waiting,
            "until": until,
            "fasteners": rows,
            "wrench": wrench,
            "accepted": accepted.strip(),
        },
    )


def enter_check(record: Record, build: Build, instrument: str, good: bool, against: str = "", note: str = "") -> Entry:
    """An instrument checked: good or not, and against what. One that is not puts its readings in doubt."""
    key = gauge_of(build, instrument)
    return record.append("check", {"instrument": key, "good": good, "against": against, "note": note})


def enter_usage(record: Record, value: str | float, unit: str = "mile", note: str = "", replaced: str = "") -> Entry:
    """The odometer or the running hours, as shown; the unit may be written with the value.

    They never show less than before, unless another meter was fitted: `replaced` says why.
    """
    from restonb.quantity import read
    from restonb.record.meters import check_forward

    text = str(value).strip()
    unit = {"miles": "mile", "hours": "h", "hour": "h"}.get(unit, unit)
    bare = not text[-1:].isalpha()
    if bare and unit not in _METERS:
        raise RecordError(f"no meter shows {unit!r}: write unit=mile, unit=km or unit=h")
    shown = read(text, unit) if bare else read(text)
    if shown.unit not in _METERS:
        raise RecordError(f"no meter shows {shown.unit!r}: write it in mile, km or h")
    number = number_text(shown.value)
    if number.startswith("-"):
        raise RecordError(f"{number} {shown.unit} is not possible: write what the odometer or the hour meter shows")
    if not replaced.strip():
        check_forward(record, number, shown.unit)
    return record.append("usage", {"value": number, "unit": shown.unit, "note": note, "replaced": replaced.strip()})


def enter_part(
    record: Record,
    build: Build,
    what: str,
    state: str,
    quantity: str | float = 1,
    thread: str = "",
    length: str = "",
    strength: str = "",
    cost: str | float | None = None,
    currency: str = "",
    joint: str | None = None,
    note: str = "",
) -> Entry:
    """A part wanted, ordered or fitted. `strength` is its class or grade as marked."""
    return record.append(
        "part",
        {
            "what": what,
            "thread": thread,
            "length": length,
            "class": strength,
            "quantity": _not_below_0("the quantity", quantity),
            "state": state,
            "cost": None
            if cost is None
            else _amount("the cost", cost, " and the currency beside it: cost=12.50 currency=EUR"),
            "currency": currency,
            "joint": None if joint is None else build.joints.get(joint).key,
            "note": note,
        },
    )


def enter_work(
    record: Record,
    build: Build,
    what: str,
    who: str = "",
    where: str = "",
    hours: str | float | None = None,
    cost: str | float | None = None,
    currency: str = "",
    state: str = "",
    sheet: str | None = None,
    joint: str | None = None,
    note: str = "",
) -> Entry:
    """Work done by the owner (`who` ''), or outside: sent, returned, accepted, sent back."""
    return record.append(
        "work",
        {
            "what": what,
            "who": who,
            "where": where,
            "hours": None if hours is None else _not_below_0("the hours", hours),
            "cost": None
            if cost is None
            else _amount("the cost", cost, " and the currency beside it: cost=12.50 currency=EUR"),
            "currency": currency,
            "state": state,
            "sheet": _sheet(build, sheet),
            "joint": None if joint is None else build.joints.get(joint).key,
            "note": note,
        },
    )


def enter_note(record: Record, build: Build, text: str, private: bool = False, sheet: str | None = None) -> Entry:
    """Something written down. A private note is not handed over."""
    return record.append("note", {"text": text, "private": private, "sheet": _sheet(build, sheet)})


def enter_photo(
    record: Record,
    build: Build,
    file: Path | str,
    caption: str = "",
    sheet: str | None = None,
    position: str | None = None,
) -> Entry:
    """A photo: the original is copied, untouched, into photos/ under the name of its content, and entered.

    Raises RecordError where it is not a picture that can be shown later; then nothing is copied.
    """
    from restonb.record._photos import check_picture, keep

    where = _sheet(build, sheet)
    check_picture(Path(file))
    name, digest = keep(Path(file), Path(build.photos))
    return record.append(
        "photo",
        {
            "file": f"{Path(build.photos).name}/{name}",
            "sha256": digest,
            "caption": caption,
            "sheet": where,
            "position": position,
        },
    )


def enter_run(record: Record, body: Mapping[str, Any]) -> Entry:
    """A template executed and filed; the keys are those of a run in `bodies`."""
    return record.append("run", body)


def enter_handover(record: Record, file: str, digest: str, head: Any = None) -> Entry:
    """The record was exported for somebody else."""
    return record.append("handover", {"file": file, "digest": digest, "head": head})


_METERS = ("mile", "km", "h")

_INSTEAD = {
    "strike": "enter again what it struck",
    "run": "run the template again",
    "handover": "hand over again",
}


def _fastener(joint: Joint, fastener: Mapping[str, Any]) -> dict[str, Any]:
    """One row as it is kept: the torque taken apart, the position as the plan has it."""
    row = dict(fastener)
    if row.get("torque") is not None:
        row |= _torque(str(row["torque"]), row.get("unit") or None)
    position = str(row.get("position") or "")
    if not position and len(joint.positions) == 1:
        position = joint.positions[0]
    if position or (row.get("torque") is not None and joint.positions):
        row["position"] = fastener_of(joint, position)
    return row


def _wrench(build: Build, key: str) -> str:
    """The name of a torque wrench, as instruments.csv has it."""
    from restonb.quantity import Quantity

    found = gauge_of(build, key)
    unit = build.instruments[found].unit
    if Quantity(0.0, unit).kind not in ("torque", "angle"):
        wrenches = [k for k, gauge in build.instruments.items() if Quantity(0.0, gauge.unit).kind == "torque"]
        raise RecordError(f"{found} measures in {unit}, which is not a torque: {what_to_write(key, wrenches)}")
    return found


def _not_below_0(what: str, value: str | float) -> str:
    number = _amount(what, value)
    if number.startswith("-"):
        raise RecordError(f"{what} cannot be {number}: write a number from 0 up")
    return number


def _amount(what: str, value: str | float, more: str = "") -> str:
    """A bare number, else a refusal that names the thing and says how it is written."""
    text = str(value).strip()
    if re.fullmatch(r"[0-9]+,[0-9]{1,2}", text):
        raise RecordError(f"{what} {text!r} has a decimal comma: write {text.replace(',', '.')}")
    try:
        return number_text(value)
    except RecordError:
        raise RecordError(f"{what} {text!r} is not a number: write digits only, such as 12.5{more}") from None


def _torque(text: str, unit: str | None) -> dict[str, str]:
    from restonb.quantity import read

    if unit is None and text.strip()[-1:].isdigit():
        raise RecordError(
            f"the torque {text!r} has no unit: write it as '{text.strip()} N m' or '{text.strip()} ft-lb'"
        )
    quantity = read(text, unit) if unit else read(text)
    if quantity.kind not in ("torque", "angle"):
        article = "an" if quantity.kind[0] in "aeiou" else "a"
        raise RecordError(f"{text!r} is {article} {quantity.kind}, not a torque: write it as '24 N m' or '18 ft-lb'")
    if quantity.value < 0:
        raise RecordError(f"a torque cannot be negative: write {number_text(-quantity.value)} {quantity.unit}")
    return {"torque": number_text(quantity.value), "unit": quantity.unit}


def _day(until: str | date) -> str:
    try:
        return (date.fromisoformat(until) if isinstance(until, str) else until).isoformat()[:10]
    except ValueError:
        raise RecordError(f"{until!r} is not a date: write it as 2026-03-14") from None


def _sheet(build: Build, sheet: str | None) -> str | None:
    if sheet is None:
        return None
    known = dict.fromkeys((*build.specs.sheets, *build.joints.sheets))
    if sheet not in known:
        raise RecordError(f"no sheet {sheet!r}: {what_to_write(sheet, known)}")
    return sheet


def _say(what: str, text: str, example: str) -> None:
    if not isinstance(text, str) or not text.strip():
        raise RecordError(f"say {what}: write for example {example}")
