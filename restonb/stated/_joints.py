"""Reading and checking joints.toml."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from restonb import quantity
from restonb.errors import QuantityError
from restonb.quantity import Quantity
from restonb.stated import _graph
from restonb.stated._cells import is_name
from restonb.stated._tables import Table, wording
from restonb.stated._text import Report, quoted, refused
from restonb.stated._toml import Document, read_toml
from restonb.stated.joints import Fastener, Joint, JointMap
from restonb.words import listed, nearest

__all__ = ["FASTENER_KEYS", "JOINT_KEYS", "read_joints"]

JOINT_KEYS = (
    "what",
    "rests_on",
    "fasteners",
    "treatment",
    "replace_on_removal",
    "retighten",
    "safety",
    "subsystem",
    "source",
)
FASTENER_KEYS = (
    "what",
    "count",
    "thread",
    "strength",
    "torque",
    "torque_from",
    "torque_to",
    "stages",
    "order",
    "layout_mm",
    "treatment",
    "replace_on_removal",
    "retighten",
    "source",
)


def read_joints(path: Path, report: Report) -> tuple[JointMap, Document]:
    """The joints of the file. Mistakes go to `report`; BuildError only where it cannot be read at all."""
    document = read_toml(path, report, "create it with the line: [joints]")
    top = Table(document, (), document.data, report)
    document.keys(document.data, (), ("joints", "sheets"), report)
    joints = {}
    table = top.table("joints")
    for key in table.data:
        if not is_name(key):
            table.wrong(key, f"joint {quoted(key)}", "name it in small letters, digits and _, as in front_wheel")
        if isinstance(table.data[key], dict):
            joints[key] = _joint(key, table.table(key))
        else:
            table.wrong(
                key,
                f"{key} = {wording(table.data[key])}",
                f'write a table: [joints.{key}], and below it: what = "..."',
            )
    _known_names(joints, document, report)
    sheets = _sheets(joints, top.table("sheets"))
    return JointMap(joints, sheets), document


def _joint(key: str, table: Table) -> Joint:
    table.document.keys(table.data, table.path, JOINT_KEYS, table.report)
    what = table.text("what", 'say which parts it holds together: what = "gearbox to engine plates"')
    return Joint(
        key,
        what,
        table.texts("rests_on"),
        _fasteners(table),
        table.text("treatment"),
        table.texts("replace_on_removal"),
        _retighten(table),
        table.flag("safety"),
        table.text("subsystem"),
        table.text("source"),
    )


def _fasteners(table: Table) -> tuple[Fastener, ...]:
    value = table.data.get("fasteners", [])
    if isinstance(value, dict):
        value = [value]
    if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
        table.wrong(
            "fasteners",
            f"fasteners = {wording(value)}",
            f"write a table for each group of like ones: [[{'.'.join(map(str, table.path))}.fasteners]]",
        )
        return ()
    single = isinstance(table.data["fasteners"], dict) if value else False
    groups = []
    for i, item in enumerate(value):
        path = (*table.path, "fasteners") if single else (*table.path, "fasteners", i)
        groups.append(_fastener(Table(table.document, path, item, table.report)))
    names = [group.what for group in groups]
    for i, group in enumerate(names):
        if len(names) > 1 and group and group in names[:i]:
            table.wrong(
                "fasteners",
                f"a second group of fasteners {quoted(group)}",
                "give each group its own words in 'what'",
                i,
            )
    return tuple(groups)


def _fastener(table: Table) -> Fastener:
    table.document.keys(table.data, table.path, FASTENER_KEYS, table.report)
    count = table.count("count")
    torque = table.quantity("torque", ("torque",), '"25 ft-lb"')
    source = table.text("source")
    if torque is not None and not source:
        table.report.warn(
            *table.document.place(*table.path, "torque"),
            f"no source for the torque {quoted(torque.typed)}",
            'write where it comes from: source = "workshop manual p. 12"',
        )
    return Fastener(
        table.text("what", 'say which fasteners these are: what = "stud nut"'),
        count,
        _thread(table),
        table.text("strength"),
        torque,
        *_range(table, torque),
        _stages(table, torque),
        _order(table, count),
        _layout(table, count),
        table.text("treatment"),
        table.flag("replace_on_removal"),
        _retighten(table),
        source,
    )


def _retighten(table: Table) -> Quantity | None:
    return table.quantity("retighten", ("length", "time"), '"500 mile" or "24 h"')


def _thread(table: Table) -> str:
    text = table.text("thread")
    if text:
        try:
            quantity.read_thread(text)
        except QuantityError as error:
            table.wrong("thread", *refused(error))
    return text


def _range(table: Table, torque: Quantity | None) -> tuple[Quantity | None, Quantity | None]:
    """The torques between which the manual takes it as tightened."""
    least, most = (table.quantity(key, ("torque",), '"22 N m"') for key in ("torque_from", "torque_to"))
    for key, end, sign in (("torque_from", least, 1), ("torque_to", most, -1)):
        if end is not None and "torque" not in table.data:
            table.wrong(key, f"{key} without a torque", 'write the torque to set as well: torque = "24 N m"')
        elif end is not None and torque is not None and sign * (end.to(torque.unit).value - torque.value) > 0:
            table.wrong(
                key,
                f"{key} = {quoted(end.typed)} beside torque = {quoted(torque.typed)}",
                "write a range that the torque lies in: torque_from below it, torque_to above it",
            )
    return least, most


def _stages(table: Table, torque: Quantity | None) -> tuple[Quantity, ...]:
    """Each step as a torque in the unit of the final one, or as an angle."""
    value = table.data.get("stages", [])
    example = '["30 %", "60 %", "100 %"] or ["10 ft-lb", "25 ft-lb", "90 deg"]'
    if not isinstance(value, list):
        table.wrong("stages", f"stages = {wording(value)}", f"write a list: {example}")
        return ()
    if value and torque is None:
        if "torque" not in table.data:
            table.wrong("stages", "stages without a torque", 'write the final torque too: torque = "25 ft-lb"')
        return ()
    steps: list[Quantity] = []
    for i, item in enumerate(value):
        step = table.read("stages", item, ("ratio", "torque", "angle"), example, i)
        if step is None or torque is None:
            return ()
        if step.kind == "ratio":
            step = Quantity(step.to("1").value * torque.value, torque.unit, step.typed)
        elif step.kind == "torque":
            step = step.to(torque.unit)
        steps.append(step)
    torques = [s.value for s in steps if s.kind != "angle"]
    for i, (before, after) in enumerate(pairwise(torques)):
        if after < before:
            table.wrong("stages", "a stage below the one before", "write the stages in rising order", i + 1)
    last = steps[-1] if steps else None
    if last and torque and last.kind != "angle" and abs(last.value - torque.value) > 0.005 * torque.value:
        table.wrong(
            "stages",
            f"a last stage that is not the torque {quoted(torque.typed)}",
            "let the last stage be the torque, 100 %, or a turn in degrees",
            len(steps) - 1,
        )
    return tuple(steps)


def _order(table: Table, count: int) -> tuple[str, ...]:
    value = table.data.get("order", [])
    if not isinstance(value, list):
        table.wrong("order", f"order = {wording(value)}", "write a list: order = [1, 3, 2, 4]")
        return ()
    order = [str(item).strip() for item in value]
    wanted = [str(i + 1) for i in range(count)]
    if order and sorted(order) != sorted(wanted):
        table.wrong(
            "order",
            f"order = {quoted(', '.join(order))} for {count} fasteners",
            f"write each of {wanted[0]} to {wanted[-1]} once",
        )
        return ()
    return tuple(order)


def _layout(table: Table, count: int) -> tuple[tuple[float, float], ...]:
    value = table.data.get("layout_mm", [])
    points = [p for p in value if _is_point(p)] if isinstance(value, list) else []
    if value != [] and (not isinstance(value, list) or len(points) != len(value)):
        table.wrong("layout_mm", f"layout_mm = {wording(value)}", "write one [x, y] in mm for each fastener")
        return ()
    if points and len(points) != count:
        table.wrong(
            "layout_mm",
            f"{len(points)} of {count} points",
            "write one [x, y] in mm for each fastener",
        )
        return ()
    return tuple((float(x), float(y)) for x, y in points)


def _is_point(value: object) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 2
        and all(isinstance(v, int | float) and not isinstance(v, bool) and abs(v) < 1e5 for v in value)
    )


def _known_names(joints: dict[str, Joint], document: Document, report: Report) -> None:
    """Every `rests_on` names a joint, and nothing rests on itself."""
    sound = {}
    for key, joint in joints.items():
        for below in joint.rests_on:
            if below not in joints:
                _unknown(below, joints, report, *document.place("joints", key, "rests_on"))
        sound[key] = tuple(below for below in joint.rests_on if below in joints)
    for loop in _graph.loops(sound):
        places = document.place("joints", loop[0], "rests_on")
        shown = " -> ".join((*loop, loop[0]))
        report.add(
            *places,
            f"joints that rest on each other in a loop: {shown}",
            "take one of them out of rests_on: name only what must be closed before",
        )


def _sheets(joints: dict[str, Joint], table: Table) -> dict[str, tuple[str, ...]]:
    found = {}
    for sheet in table.data:
        found[sheet] = table.texts(sheet)
        for joint in found[sheet]:
            if joint not in joints:
                _unknown(joint, joints, table.report, *table.document.place("sheets", sheet))
    return found


def _unknown(name: str, joints: dict[str, Joint], report: Report, line: int, column: int) -> None:
    meant = nearest(name, joints)
    if meant:
        write = f"write {quoted(meant)}"
    else:
        write = f"add a table [joints.{name}]" + (f", or use one of: {listed(joints, 12, ',')}" if joints else "")
    report.add(line, column, f"joint {quoted(name)}, which is not defined", write)
