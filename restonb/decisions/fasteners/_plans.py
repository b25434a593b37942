"""Each group of like fasteners with its plan and what was entered of it, and the same as rows of tables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from restonb.decisions.fasteners._bolts import Load, load, wrench_for
from restonb.decisions.not_yet import NotYet
from restonb.errors import QuantityError
from restonb.measure import Instrument
from restonb.quantity import Quantity, write
from restonb.record import JointState, Off, OpenEnd, OverTorque, TorqueStanding, off_plan
from restonb.stated import Fastener, Joint, JointMap
from restonb.words import listed

__all__ = [
    "Plan",
    "bolt_table",
    "drawn",
    "heaviest",
    "pattern",
    "plan_table",
    "plans",
    "remarks_of",
    "signed_off",
    "signed_table",
    "unchecked",
]

Rows: TypeAlias = list[tuple[str, ...]]

NEAR = 0.04
"""How far below a stage a torque may lie and still have reached it: what ISO 6789 allows a hand torque tool."""


@dataclass(frozen=True, slots=True)
class Plan:
    """One group of like fasteners: its plan, and what each was last taken to."""

    joint: Joint
    group: Fastener
    names: tuple[str, ...]
    state: str
    since: str
    signed: Mapping[str, Mapping[str, Any]]
    """Name -> the fastener as entered, since the joint was last disturbed; a name that is missing was not."""
    off: tuple[Off, ...]
    """What of it is off its plan now, and not accepted."""
    over: tuple[OverTorque, ...]
    """What was ever taken over its plan."""
    accepted: str
    """Why what is off besides that is accepted; '' where nothing is."""
    load: Load | None
    units: Mapping[str, str]

    @property
    def title(self) -> str:
        return f"{spoken(self.joint.key)}, {self.group.what}"

    @property
    def treatment(self) -> str:
        return self.group.treatment or self.joint.treatment

    @property
    def closed(self) -> bool:
        return self.state in ("tightened", "final")

    @property
    def stages(self) -> tuple[Quantity, ...]:
        return self.group.stages or ((self.group.torque,) if self.group.torque else ())

    @property
    def standing(self) -> str:
        """'no torque planned', 'over', 'unmatched', 'missing', 'under', 'accepted', 'signed off', 'under way' or 'not begun'."""
        if self.group.torque is None:
            return "no torque planned"
        if self.over_now:
            return "over"
        words = {off.word for off in self.off}
        if self.closed:
            open_words = (word for word in ("unmatched", "missing", "under") if word in words)
            return next(open_words, "accepted" if self.accepted else "signed off")
        return "under way" if any(row.get("torque") for row in self.signed.values()) else "not begun"

    @property
    def over_now(self) -> tuple[OverTorque, ...]:
        """Over-torque that was neither put right nor accepted."""
        return tuple(one for one in self.over if not (one.settled or one.accepted))

    @property
    def not_new(self) -> bool:
        """One-use fasteners that are signed off without the word 'new'."""
        return (
            self.group.replace_on_removal
            and self.closed
            and any(row.get("torque") and not row.get("new") for row in self.signed.values())
        )

    def torque_text(self, torque: Quantity) -> str:
        """In the person's unit, with what the plan says beside it where that is another unit."""
        unit = self.units.get(torque.kind, torque.unit)
        if unit == torque.unit:
            return torque.write()
        return f"{write(float(f'{torque.to(unit).value:.3g}'), unit)} ({torque.write()})"

    def at(self, word: str) -> tuple[str, ...]:
        """The fasteners that are off in that way."""
        return tuple(off.position for off in self.off if off.word == word)

    def reached(self, name: str) -> int:
        """The number of stages that a fastener was taken through."""
        value = _amount(self.signed.get(name) or {})
        if value is None:
            return 0
        if value.kind == "angle":
            return len(self.stages)
        steps = [s.to("N m").value for s in self.stages if s.kind == "torque"]
        return sum(value.to("N m").value >= step * (1 - NEAR) for step in steps)

    @property
    def word(self) -> str:
        """How far it has come, for a table."""
        at = self.standing
        if at == "over":
            return f"over the plan: {listed(one.off.position for one in self.over_now)}"
        if at in ("unmatched", "missing", "under"):
            what = {"unmatched": "not as planned", "missing": "no torque entered", "under": "short of the plan"}[at]
            return f"{what}: {listed(self.at(at))}" if len(self.at(at)) < len(self.names) else what
        if at == "accepted":
            return f"accepted: {self.accepted}"
        if at == "under way":
            return f"stage {max(self.reached(n) for n in self.names)} of {len(self.stages)}"
        return at


def plans(
    joints: JointMap,
    states: Mapping[str, JointState],
    standing: Mapping[str, TorqueStanding],
    instruments: Mapping[str, Instrument],
    units: Mapping[str, str],
    names: Sequence[str] = (),
) -> list[Plan]:
    """The plans of the joints named (all that have fasteners, where none is), in the order of closing.

    `standing`: what the record says of the torques of each joint since it was last disturbed.
    Raises BuildError for a joint that joints.toml does not have.
    """
    wanted = {joints.get(name).key for name in names} or {k for k, j in joints.joints.items() if j.fasteners}
    found = []
    for key in joints.closing_order(wanted):
        joint, state = joints.get(key), states.get(key, JointState(key))
        stands = standing.get(key, TorqueStanding(key))
        entered = {str(row["position"]): row for row in stands.reached}
        off = off_plan(joint, stands.reached, state.closed, instruments)
        at = iter(joint.positions)
        for number, group in enumerate(joint.fasteners):
            mine = tuple(next(at) for _ in range(group.count))
            own = [one for one in off if one.position in mine or (number == 0 and one.position not in joint.positions)]
            found.append(
                Plan(
                    joint, group, mine, state.state, state.at[:10], {n: entered[n] for n in mine if n in entered},
                    tuple(one for one in own if one.word != "over" and not stands.accepts(one)),
                    tuple(one for one in stands.over if one.off.position in mine),
                    stands.accepted if any(stands.accepts(one) for one in own) else "", load(joint, group), units,
                )
            )  # fmt: skip
    return found


def plan_table(found: Iterable[Plan], wrenches: Sequence[str] = ()) -> Rows:
    """Joint, fasteners, torque with stages and wrench, order, treatment, source: one row per group."""
    rows: Rows = []
    for p in found:
        torque = p.torque_text(p.group.torque) if p.group.torque else "no torque stated"
        ends = [p.torque_text(end) for end in (p.group.torque_from, p.group.torque_to) if end]
        torque += f", {' to '.join(ends)} allowed" if ends else ""
        if len(p.group.stages) > 1:
            torque += f" in stages: {', '.join(p.torque_text(s) for s in p.group.stages)}"
        wrench = wrench_for(p.load.torque, wrenches) if p.load else ""
        once = "new ones each time; " if p.group.replace_on_removal else ""
        rows.append((
            spoken(p.joint.key), ", ".join(t for t in (f"{p.group.count} x {p.group.what}", p.group.thread) if t),
            torque, wrench, ", ".join(p.group.order), once + p.treatment,
            p.group.source or p.joint.source or "no source given",
        ))  # fmt: skip
    return rows


def bolt_table(found: Iterable[Plan]) -> Rows:
    """Fastener, state of the thread, preload, proof load, share of it, what that means: where a class is known."""
    rows: Rows = []
    for p in found:
        at = p.load
        if at is None or at.pulls is None or at.proof is None:
            continue
        low, high = at.pulls[0] / 1000, at.pulls[2] / 1000
        thread = f"{at.state} (K {at.factors[0]:g} to {at.factors[2]:g})"
        pull = f"{at.pulls[1] / 1000:.1f} ({low:.1f} to {high:.1f})"
        share = f"{at.usual:.0f} % (up to {at.share:.0f} %)"
        rows.append((f"{p.title}, {p.group.strength}", thread, pull, f"{at.proof / 1000:.1f}", share, at.word))
    return rows


def unchecked(found: Iterable[Plan]) -> Rows:
    """Why a torque could not be held against its bolt, and which."""
    why: dict[str, list[str]] = {}
    for p in found:
        if p.load and p.load.share is None:
            why.setdefault(p.load.why, []).append(p.title)
    return [(reason, listed(names)) for reason, names in why.items()]


def signed_table(found: Iterable[Plan], remarks: Mapping[str, Sequence[str]]) -> Rows:
    """Fastener, joint state, since, what is signed off, and what the record says besides."""
    return [
        (p.title, p.state or "not recorded", p.since, p.word,
         "; ".join((*remarks.get(p.joint.key, ()), *(["'new' is not entered for one-use fasteners"] if p.not_new else []))))
        for p in found
    ]  # fmt: skip


def pattern(p: Plan, date: str = "") -> dict[str, Any]:
    """The arguments of charts.bolt_pattern for one group, with the torques in the person's unit."""
    numbers = [str(n) for n in range(1, p.group.count + 1)]
    states: dict[str, dict[str, Any]] = {}
    for number, name in zip(numbers, p.names, strict=True):
        entered = p.signed.get(name)
        if entered is not None:
            torque = _amount(entered)
            said = p.torque_text(torque) if torque else ""
            states[number] = {"stage": str(p.reached(name)), "torque": said, "new": bool(entered.get("new"))}
    return {
        "positions": p.group.layout or p.group.count,
        "order": p.group.order,
        "stages": [p.torque_text(s) for s in p.stages],
        "states": states,
        "what": p.title,
        "treatment": p.treatment,
        "date": p.since or date,
        "source": p.group.source,
    }


def _amount(row: Mapping[str, Any]) -> Quantity | None:
    """The torque or turn that was entered for a fastener; None where it is none."""
    try:
        value = Quantity(float(row["torque"]), row.get("unit") or "N m") if row.get("torque") else None
    except QuantityError:
        return None
    return value if value is not None and value.kind in ("torque", "angle") else None


def heaviest(found: Iterable[Plan]) -> Load | NotYet:
    """The group whose bolts come nearest to their proof load; NotYet where none can be checked."""
    checked = [(p.load.share, p.load) for p in found if p.load and p.load.share is not None]
    if not checked:
        return NotYet(("class and 60 degree thread of a fastener that has a torque, in joints.toml",))
    return max(checked, key=lambda pair: pair[0])[1]


def signed_off(found: Sequence[Plan]) -> int | None:
    """How many groups are signed off as planned; None where nothing is planned."""
    return sum(p.standing == "signed off" for p in found) if found else None


def remarks_of(ends: Iterable[OpenEnd], states: Mapping[str, JointState]) -> dict[str, list[str]]:
    """Joint -> what the record says is not finished about it, beyond its state."""
    said: dict[str, list[str]] = {}
    for end in ends:
        beyond = end.kind in ("waiting", "retighten", "torque", "doubt")
        state = states.get(end.joint or "")
        came_off = end.kind == "joint" and state is not None and state.closed
        if end.joint and (beyond or came_off):
            said.setdefault(end.joint, []).append(end.text)
    return said


def spoken(key: str) -> str:
    """A key as it is said."""
    return key.replace("_", " ")


def drawn(found: Iterable[Plan]) -> list[Plan]:
    """The groups of which a drawing says more than a line: several fasteners in a layout, an order or stages."""
    return [p for p in found if p.group.count > 2 and (p.group.layout or p.group.order or len(p.group.stages) > 1)]
