"""A tightening plan: what is planned, what it does to the bolts, what is signed off, and what to do next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from restonb.bench._values import NotYet
from restonb.decisions._words import at_places, listed, unjudged
from restonb.decisions.fasteners._bolts import Load, load, wrench_for
from restonb.measure import Verdicts
from restonb.quantity import Quantity, write
from restonb.record import Entry, JointState, OpenEnd
from restonb.stated import Fastener, Joint, JointMap

__all__ = [
    "Plan",
    "bolt_table",
    "drawn",
    "heaviest",
    "next_steps",
    "pattern",
    "plan_table",
    "plans",
    "remarks_of",
    "signed_off",
    "signed_table",
    "unchecked",
]

Rows: TypeAlias = list[tuple[str, ...]]

NEAR = 0.03
"""How far a torque may lie from its plan and still be the planned one: what a scale can be read to."""


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
    load: Load | None
    units: Mapping[str, str]

    @property
    def title(self) -> str:
        return f"{spoken(self.joint.key)}, {self.group.what}"

    @property
    def treatment(self) -> str:
        return self.group.treatment or self.joint.treatment

    @property
    def stages(self) -> tuple[Quantity, ...]:
        return self.group.stages or ((self.group.torque,) if self.group.torque else ())

    def shown(self, torque: Quantity) -> str:
        """In the person's unit, with what the plan says beside it where that is another unit."""
        unit = self.units.get(torque.kind, torque.unit)
        if unit == torque.unit:
            return torque.write()
        return f"{write(float(f'{torque.to(unit).value:.3g}'), unit)} ({torque.write()})"

    def reached(self, name: str) -> int:
        """The number of stages that a fastener was taken through."""
        entered = self.signed.get(name)
        if entered is None:
            return 0
        if entered.get("torque") is None:
            return 0
        value = Quantity(float(entered["torque"]), entered["unit"] or "N m").to("N m").value
        steps = [s.to("N m").value for s in self.stages if s.kind == "torque"]
        return sum(value >= step * (1 - NEAR) for step in steps)

    @property
    def done(self) -> tuple[str, ...]:
        final = sum(s.kind == "torque" for s in self.stages)
        return tuple(n for n in self.names if final and self.reached(n) >= final)

    @property
    def over(self) -> tuple[str, ...]:
        """Fasteners entered with more than the planned torque."""
        if self.group.torque is None:
            return ()
        limit = self.group.torque.to("N m").value * (1 + NEAR)
        return tuple(n for n, s in self.signed.items() if s.get("torque") is not None
                     and Quantity(float(s["torque"]), s["unit"] or "N m").to("N m").value > limit)  # fmt: skip

    @property
    def not_new(self) -> bool:
        """One-use fasteners that are signed off without the word 'new'."""
        return self.group.replace_on_removal and any(not self.signed[n].get("new") for n in self.done)

    @property
    def word(self) -> str:
        if self.group.torque is None:
            return "no torque planned"
        if self.over:
            return f"over the plan: {', '.join(self.over)}"
        if len(self.done) == len(self.names):
            return "signed off"
        if self.state in ("tightened", "final") and not self.signed:
            return "tightened, no torque entered"
        if self.done:
            return f"{len(self.done)} of {len(self.names)} signed off"
        part = max((self.reached(n) for n in self.names), default=0)
        if part:
            return f"stage {part} of {len(self.stages)}"
        return "short of the plan" if any(s.get("torque") for s in self.signed.values()) else "not signed off"


def plans(
    joints: JointMap, states: Mapping[str, JointState], entries: Iterable[Entry], units: Mapping[str, str],
    names: Sequence[str] = (),
) -> list[Plan]:  # fmt: skip
    """The plans of the joints named (all that have fasteners, where none is), in the order of closing.

    `entries`: the joint entries of the record; what was entered before a joint was last disturbed is left out.
    Raises BuildError for a joint that joints.toml does not have.
    """
    wanted = {joints.get(name).key for name in names} or {k for k, j in joints.joints.items() if j.fasteners}
    entered: dict[str, list[Entry]] = {}
    for entry in entries:
        entered.setdefault(entry.body["joint"], []).append(entry)
    found = []
    for key in joints.closing_order(wanted):
        joint, state = joints.get(key), states.get(key, JointState(key))
        kept = {
            str(f["position"]): f
            for entry in entered.get(key, ())
            if entry.seq >= state.disturbed
            for f in entry.body["fasteners"]
        }
        at = iter(joint.positions)
        for group in joint.fasteners:
            mine = tuple(next(at) for _ in range(group.count))
            signed = {n: kept[n] for n in mine if n in kept}
            found.append(Plan(joint, group, mine, state.state, state.at[:10], signed, load(joint, group), units))
    return found


def plan_table(found: Iterable[Plan], wrenches: Sequence[str] = ()) -> Rows:
    """Joint, fasteners, torque with stages and wrench, order, treatment, source: one row per group."""
    rows: Rows = []
    for p in found:
        torque = p.shown(p.group.torque) if p.group.torque else "no torque stated"
        if len(p.group.stages) > 1:
            torque += f" in stages: {', '.join(p.shown(s) for s in p.group.stages)}"
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
            torque = entered.get("torque")
            said = p.shown(Quantity(float(torque), entered["unit"] or "N m")) if torque is not None else ""
            states[number] = {"stage": str(p.reached(name)), "torque": said, "new": bool(entered.get("new"))}
    return {
        "positions": p.group.layout or p.group.count,
        "order": p.group.order,
        "stages": [p.shown(s) for s in p.stages],
        "states": states,
        "what": p.title,
        "treatment": p.treatment,
        "date": p.since or date,
        "source": p.group.source,
    }


def heaviest(found: Iterable[Plan]) -> Load | NotYet:
    """The group whose bolts come nearest to their proof load; NotYet where none can be checked."""
    checked = [(p.load.share, p.load) for p in found if p.load and p.load.share is not None]
    if not checked:
        return NotYet(("class and 60 degree thread of a fastener that has a torque, in joints.toml",))
    return max(checked, key=lambda pair: pair[0])[1]


def signed_off(found: Sequence[Plan]) -> int | None:
    """How many groups are signed off as planned; None where nothing is planned."""
    return sum(p.word == "signed off" for p in found) if found else None


def remarks_of(ends: Iterable[OpenEnd]) -> dict[str, list[str]]:
    """Joint -> what the record says is not finished about it, beyond its state."""
    said: dict[str, list[str]] = {}
    for end in ends:
        if end.joint and (end.kind in ("waiting", "retighten") or "entered as" in end.text):
            said.setdefault(end.joint, []).append(end.text.removeprefix(f"{end.joint}: "))
    return said


def spoken(key: str) -> str:
    """A key as it is said."""
    return key.replace("_", " ")


def drawn(found: Iterable[Plan]) -> list[Plan]:
    """The groups of which a drawing says more than a line: several fasteners in a layout, an order or stages."""
    return [p for p in found if p.group.count > 2 and (p.group.layout or p.group.order or len(p.group.stages) > 1)]


def next_steps(found: Sequence[Plan], measured: Verdicts, doubts: Sequence[str] = ()) -> list[str]:
    """What to do next, the dangerous first."""
    if not found:
        return [
            "Write the joints with their fasteners, torques and order into joints.toml. Nothing is planned before that."
        ]
    said = []
    for p in found:
        if p.load and p.load.share is not None and p.load.share > 100:
            said.append(
                f"Do not tighten {p.title} to {p.shown(p.group.torque)} before the manual was read again: "  # type: ignore[arg-type]
                f"{p.load.word} ({p.load.usual:.0f} %, up to {p.load.share:.0f} % where the thread turns easily)."
            )
    slick = [f"{p.title} ({p.load.state}: {p.load.over_if_dry:.0f} % more)"
             for p in found if p.load and p.load.over_if_dry > 5]  # fmt: skip
    if slick:
        said.append(
            "Ask the manual whether its torque is meant dry or lubricated; a dry figure on a lubricated thread loads the "
            f"bolt more than meant: {listed(slick)}."
        )
    said += _to_do(found)
    said += _measured(measured)
    if doubts:
        said.append(f"That rests on a gauge in doubt; do it again with one that passes its check: {'; '.join(doubts)}.")
    return said


def _to_do(found: Sequence[Plan]) -> list[str]:
    said = []
    over = [p.title for p in found if p.over]
    if over:
        said.append(
            f"More torque than planned is entered at {listed(over)}: slacken, look at bolt and thread, do it again."
        )
    bare = [p.title for p in found if p.group.torque is None]
    if bare:
        said.append(f"No torque is stated for {listed(bare)}: copy it from the manual into joints.toml.")
    left = [p for p in found if p.group.torque is not None and not p.over and len(p.done) < len(p.names)]
    silent = [p.title for p in left if p.word == "tightened, no torque entered"]
    if silent:
        said.append(f"Entered as tightened without a torque: {listed(silent)}. Enter what each was taken to.")
    left = [p for p in left if p.word != "tightened, no torque entered"]
    done = sum(len(p.done) == len(p.names) for p in found)
    if done:
        said.append(f"{done} of {len(found)} groups of fasteners are signed off as planned.")
    if left:
        said.append(f"Still to tighten: {'; '.join(f'{p.title} ({p.word})' for p in left)}.")
    fresh = [p.title for p in found if p.not_new]
    if fresh:
        said.append(
            f"One-use fasteners whose entry does not say 'new': {listed(fresh)}. If an old one went back, change it."
        )
    return said


def _measured(measured: Verdicts) -> list[str]:
    if not len(measured):
        return []
    if told := unjudged(measured, "the measured torques"):
        return [told]
    outside, close, gone = (at_places(measured, w) for w in ("outside", "too close to call", "not measured"))
    said = [f"Measured torque outside its limits at {outside}: slacken and tighten again in stages."] if outside else []
    if close:
        said.append(f"Measured torque too close to call at {close}; the remark in the table says what would settle it.")
    if gone:
        said.append(f"Write down where the wrench clicked at {gone}.")
    return said or ["Every measured torque is inside its limits."]
