"""What was entered for a fastener, held against its plan in joints.toml: over, under, missing, or of no plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from restonb.measure import Instrument
    from restonb.quantity import Quantity
    from restonb.stated import Fastener, Joint

__all__ = ["FAR_OFF_PLAN", "WORDS", "Allowed", "Off", "allowed", "off_plan", "runs_down_hard", "sealing_remark"]

WORDS = ("over", "under", "missing", "unmatched")
"""How a fastener can be off its plan, the gravest first."""

SMALL, BAND_SMALL, BAND = 10.0, 0.06, 0.04
"""Below and above 10 N m: the share by which a hand torque tool may be wrong. ISO 6789 (2003, seen summed up): 4 % of
the setting, 6 % for tools up to 10 N m. Which tool it was is not known here, so the planned torque stands for its size."""

TURN = 0.1
"""Share by which a turn in degrees may be off: what is read from a mark on the socket (common practice, no source)."""

FAR_OFF_PLAN = 0.25
"""Share beyond which a torque is far off: a unit or a digit is wrong, or the bolt must be looked at. A bolt of a joint that is
opened again is planned near three quarters of its proof load (handbook practice), so a quarter more comes near to it."""


class Allowed(NamedTuple):
    """Between which torques a fastener is as planned, in the unit of the plan, and why so."""

    least: float
    most: float
    unit: str
    why: str


class Off(NamedTuple):
    """One fastener that is not as planned. `word` is one of WORDS."""

    word: str
    position: str
    entered: str = ""
    """As entered, with its unit; '' where nothing was."""
    plan: str = ""
    """Of joints.toml; '' where it plans nothing for it."""
    why: str = ""
    """What is allowed round the plan."""
    far: bool = False
    """Off by more than FAR_OFF_PLAN: more likely a slip, or a fastener that must be looked at."""


def allowed(group: Fastener, wrench: Instrument | None = None) -> Allowed | None:
    """What counts as tightened to the plan: the plan's own range, else what the wrench may be wrong by and at least what
    ISO 6789 allows a hand torque tool. None where no torque is planned.
    """
    if group.torque is None:
        return None
    plan, unit = group.torque.value, group.torque.unit
    share, why = _band(group.torque, wrench)
    ends = (group.torque_from, group.torque_to)
    if any(ends):
        low, high = (None if end is None else end.to(unit).value for end in ends)
        written = " to ".join(end.write() for end in ends if end)
        said = written if all(ends) else f"{'from' if ends[0] else 'up to'} {written}"
        return Allowed(
            plan * (1 - share) if low is None else low,
            plan * (1 + share) if high is None else high,
            unit,
            f"{said} by joints.toml" + ("" if all(ends) else f", else {why}"),
        )
    return Allowed(plan * (1 - share), plan * (1 + share), unit, why)


def _band(torque: Quantity, wrench: Instrument | None) -> tuple[float, str]:
    small = torque.to("N m").value <= SMALL
    share = BAND_SMALL if small else BAND
    if wrench is not None and wrench.error is not None and torque.value > 0:
        from restonb.quantity import convert

        wrong = float(convert(wrench.error, wrench.unit, torque.unit)) / torque.value + wrench.percent / 100
        if wrong > share:
            return wrong, f"{100 * wrong:.2g} % either way, as {wrench.key} may be wrong"
    return share, f"{100 * share:g} % either way, as ISO 6789 allows a hand torque tool of that size"


def off_plan(
    joint: Joint, rows: Iterable[Mapping[str, Any]], closed: bool, wrenches: Mapping[str, Instrument] | None = None
) -> tuple[Off, ...]:
    """Every fastener that is off its plan, gravest first.

    `rows`: what was entered, each {position, torque, unit, ...} and, where it is known, the key of the `wrench`. An open joint
    can have a torque that is over; only a `closed` one can lack any. A joint without a plan is never off it.
    """
    planned = joint.planned
    if not planned:
        return ()
    found: list[Off] = []
    reached: set[str] = set()
    for row in rows:
        name = joint.find(str(row.get("position") or ""))
        entered = f"{row['torque']} {row.get('unit') or ''}".strip() if row.get("torque") else ""
        if name is None:
            if entered or row.get("position"):
                found.append(Off("unmatched", str(row.get("position") or "a fastener without a name"), entered))
            continue
        if not entered:
            continue
        reached.add(name)
        off = _of_one(name, planned[name], row, entered, closed, (wrenches or {}).get(str(row.get("wrench") or "")))
        if off:
            found.append(off)
    if closed:
        found += [
            Off("missing", name, "", group.torque.write())
            for name, group in planned.items()
            if group.torque is not None and name not in reached
        ]
    return tuple(sorted(found, key=lambda off: WORDS.index(off.word)))


def _of_one(
    name: str, group: Fastener, row: Mapping[str, Any], entered: str, closed: bool, wrench: Instrument | None
) -> Off | None:
    from restonb.errors import QuantityError
    from restonb.quantity import Quantity

    if group.torque is None:
        return None
    no_torque = Off("unmatched", name, entered, group.torque.write(), "no torque, where one is planned")
    try:
        value = Quantity(float(row["torque"]), row.get("unit") or "N m")
    except QuantityError:
        return no_torque
    if value.kind not in ("torque", "angle"):
        return no_torque
    if value.kind == "angle":
        turn = group.stages[-1] if group.stages and group.stages[-1].kind == "angle" else None
        if turn is None:
            return Off("unmatched", name, entered, group.torque.write(), "a turn, where a torque is planned")
        plan = turn
        within = Allowed(turn.value * (1 - TURN), turn.value * (1 + TURN), turn.unit, f"{100 * TURN:g} % either way")
    else:
        plan, within = group.torque, allowed(group, wrench) or Allowed(0.0, 0.0, "N m", "")
    at = value.to(within.unit).value
    share = at / plan.value if plan.value > 0 else 1.0
    if at > within.most * (1 + 1e-9):
        return Off("over", name, entered, plan.write(), within.why, share > 1 + FAR_OFF_PLAN)
    if closed and at < within.least * (1 - 1e-9):
        return Off("under", name, entered, plan.write(), within.why, share < 1 - FAR_OFF_PLAN)
    return None


def runs_down_hard(joint: Joint, position: str) -> bool:
    """Whether it is a self-locking nut: what it takes to run it down is added to its torque, and may stand in the figure."""
    group = joint.planned.get(position)
    words = f"{group.what} {group.treatment or joint.treatment}".casefold() if group else ""
    return any(word in words for word in ("self-locking", "self locking", "prevailing"))


# -- what goes on the thread of a brake line

SEALING = ("tape", "ptfe", "paste", "sealant", "sealer", "hemp", "thread seal", "jointing")
"""Words of a treatment that put something into a thread to seal it."""

LINES = ("union", "banjo", "hose", "brake pipe", "brake line", "bleed", "flare", "tube nut", "pipe nut")
"""Words of a fastener that carries brake fluid."""

HOLDING = ("bolt", "screw", "stud", "clamp", "pin")
"""Words of a fastener of a hydraulic joint that holds a part, and carries no fluid."""


def sealing_remark(joint: Joint, rows: Iterable[Mapping[str, Any]]) -> str:
    """Why tape or paste on a union of a brake line is wrong; '' where none was entered."""
    return "; ".join(_sealed(joint, rows))


def _sealed(joint: Joint, rows: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    groups = joint.planned
    wet = "hydraulic" in f"{joint.key} {joint.what}".casefold()
    for row in rows:
        name = joint.find(str(row.get("position") or "")) or str(row.get("position") or "")
        what = (groups[name].what if name in groups else name).casefold()
        treatment = str(row.get("treatment") or "").casefold()
        brake = wet or joint.subsystem == "brakes" or "brake" in joint.what.casefold()
        fluid = brake and (any(word in what for word in LINES) or (wet and not any(word in what for word in HOLDING)))
        if fluid and any(word in treatment for word in SEALING):
            yield (
                f"{name}: '{row.get('treatment')}' does not belong in a hydraulic line: the seat or the washer seals it, shreds "
                "and paste block it, and the torque is no longer what it says. Clean the thread, and fit it dry or as the manual says"
            )
