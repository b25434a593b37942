"""Tables of readings and joints, and what to do where there is nothing to show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from restonb.bench._evidence import Spoiled
from restonb.bench._look import HtmlCell, Shown, bullets, chip, table
from restonb.measure import Characteristic, Reading, Verdict, Verdicts, error_words, expand, limits_text
from restonb.quantity import Quantity, write
from restonb.record import Record, joint_states
from restonb.stated import Build

__all__ = ["budgets", "history", "joints", "measured", "no_row"]

TO_DO = HtmlCell("□ to measure", '<span class="word not-measured">□ to measure</span>')
AGAIN = chip("measure again")


def measured(
    row: Characteristic,
    found: Sequence[Reading],
    spoiled: Mapping[tuple[str, str], tuple[Reading, Spoiled]],
    build: Build,
    occasion: str = "as found",
) -> Shown:
    """The readings in force, one row per position, and how to enter those that are missing, with their occasion."""
    at = {r.position: r for r in found}
    rows, missing = [], []
    again: dict[str, None] = {}
    for position in expand(row.positions):
        name = "" if position == "once" else position
        reading = at.get(position)
        gone = spoiled.get((row.key, position))
        if reading is not None:
            rows.append((name, _value(reading, row.unit), _typed(reading, row.unit), *_about(reading, build)))
        elif gone is not None:
            was, why = gone
            missing.append(position)
            again[str(why)] = None
            rows.append((name, AGAIN, f"was {was.typed or _value(was, row.unit)}", *_about(was, build)))
        else:
            missing.append(position)
            rows.append((name, TO_DO, "", "", "", "", ""))
    heads = ("position", "reading", "as typed", "instrument", "occasion", "date", "remark")
    shown = table(heads, rows, _caption(row, build), numeric=("reading",))
    html, text = shown.html, shown.text
    if missing:
        places = " ".join(f"'{p}=VALUE'" if " " in p else f"{p}=VALUE" for p in missing[:4])
        more = " ..." if len(missing) > 4 else ""
        command = f"restonb read {row.sheet} {row.key} {'VALUE' if missing == ['once'] else places + more}"
        command += "" if occasion == "as found" else f" --occasion '{occasion}'"
        html += f'<p class="small">Enter readings with <code>{escape(command)}</code></p>'
        text += f"\nEnter readings with: {command}"
    for reason in again:
        html += f'<p class="small">{escape(reason)}.</p>'
        text += f"\n{reason}."
    return Shown(html, text)


def history(row: Characteristic, readings: Sequence[Reading]) -> Shown:
    """Every reading, oldest first."""
    if not readings:
        return bullets([f"{row.what or row.key}: no reading yet"], "todo")
    heads = ("date", "occasion", "position", "reading", "as typed", "instrument", "remark")
    rows = [
        (r.at[:10], r.occasion, "" if r.position == "once" else r.position, _value(r, row.unit),
         _typed(r, row.unit), r.instrument or "", r.note)
        for r in readings
    ]  # fmt: skip
    what = row.what or row.key
    many = "1 reading" if len(readings) == 1 else f"{len(readings)} readings"
    return table(heads, rows, HtmlCell(f"{what}: {many}", f"<b>{escape(what)}</b>: {many}"),
                 numeric=("reading",))  # fmt: skip


def budgets(verdicts: Verdicts) -> Shown:
    """One line for each characteristic, and its parts folded below it."""
    parts, lines = [], []
    for key in dict.fromkeys(v.characteristic.key for v in verdicts if v.budget is not None):
        budget, row = verdicts.budget(characteristic=key), next(v for v in verdicts if v.characteristic.key == key)
        what = row.characteristic.what or key
        parts.append(
            f"<details><summary><b>{escape(what)}</b>: {escape(budget.summary())}</summary>"
            f"{budget._repr_html_()}</details>"
        )
        lines.append(f"{what}: {budget.summary()}")
    if not parts:
        return bullets(["no uncertainty yet: none of this is measured"], "todo")
    return Shown("".join(parts), "\n".join(lines))


def joints(build: Build, record: Record, sheet: str, as_of: int | None) -> Shown:
    """The joints that a sheet relies on: which, through which, in which state since when."""
    relied = build.joints.relied_on(sheet)
    if not relied and sheet in build.joints.sheets:
        return bullets(["no joint: joints.toml says that this is measured on loose parts"], "filed")
    if not relied:
        return bullets([f"joints.toml names no joint that {sheet} relies on; write one under [sheets]"], "todo")
    states = joint_states(record, build.joints, as_of)
    rows = []
    for key, chain in relied.items():
        joint, state = build.joints.get(key), states[key]
        waiting = {"part": "waiting for a part", "cure": "curing"}.get(state.waiting, "")
        until = f" until {state.until}" if state.until else ""
        why = "; ".join(t for t in (state.label, state.why, f"{waiting}{until}".strip()) if t)
        word = state.state or "not recorded"
        shown = HtmlCell(word, f'<span class="word {_JOINT.get(word, "not-measured")}">{escape(word)}</span>')
        rows.append((joint.what or key, shown, state.at[:10], " → ".join(chain) if len(chain) > 1 else "", why))
    return table(("joint", "state", "since", "through", "why"), rows)


def no_row(sheet: str, characteristic: str, expected: tuple[str, str, str] | None = None) -> Shown:
    """What to write where the spec book lacks a row; no limit is made up.

    `expected`: what is measured, positions and unit, as the template knows them.
    """
    what = expected[0] if expected else characteristic
    text = (
        f"To measure: {what}. The spec book has no row for it yet, so it can be neither entered nor checked. Write one "
        "into a file of specs/, with the limits of your manual and the page they are on"
    )
    html = f"<p>{escape(text)}{':' if expected else '.'}</p>"
    if expected:
        row = f'{sheet},{characteristic},"{expected[0]}",{_quoted(expected[1])},,,,,{expected[2]},,,'
        text += f":\n  {row}"
        html += f"<pre>{escape(row)}</pre>"
    return Shown(f'<div class="todo">{html}</div>', text)


def _quoted(text: str) -> str:
    return f'"{text}"' if "," in text else text


def _caption(row: Characteristic, build: Build) -> str:
    instrument = build.instruments.get(row.instrument or "")
    with_ = f", with {instrument.what or instrument.key}" if instrument else ""
    if instrument and instrument.resolution:
        with_ += f" (resolution {write(instrument.resolution, instrument.unit)}"
        with_ += f", error ± {error_words(instrument)})" if instrument.error or instrument.percent else ")"
    limits = limits_text(Verdict(row, "", "not measured"))
    limit = "no limit given" if limits == "none" else f"limit {limits}"
    what = row.what or row.key
    return HtmlCell(f"{what}: {limit}{with_}", f"<b>{escape(what)}</b><br>{escape(limit + with_)}")


def _value(reading: Reading, unit: str) -> str:
    quantity = Quantity(reading.value, reading.unit, reading.typed, reading.resolution)
    return quantity.write() if reading.unit == unit else quantity.to(unit).write()


def _typed(reading: Reading, unit: str) -> str:
    """Only where it says more than the reading beside it."""
    value = _value(reading, unit)
    return "" if reading.typed in (value, value.rpartition(" ")[0]) else reading.typed


def _about(reading: Reading, build: Build) -> tuple[str, str, str, str]:
    instrument = build.instruments.get(reading.instrument or "")
    name = instrument.what or instrument.key if instrument else reading.instrument or "not stated"
    return name, reading.occasion, reading.at[:10], reading.note


_JOINT = {
    "apart": "not-measured",
    "dry-fitted": "too-close",
    "temporary": "too-close",
    "tightened": "inside",
    "final": "inside",
}
