"""The clerk behind the sign-off: says how far a joint has come, and enters what was done to it."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from restonb.bench._answers import answered
from restonb.bench.sign_off.plan import groups, reached
from restonb.errors import RestonbError
from restonb.quantity import Quantity, read
from restonb.record import (
    FAR_OFF_PLAN,
    Entry,
    enter_joint,
    impact,
    joint_states,
    open_torques,
    sealing_remark,
    torque_standing,
    unstruck,
)

if TYPE_CHECKING:
    from restonb.bench.basis import Basis

__all__ = ["SignDesk"]

_OPENED = {"apart": "removed", "dry-fitted": "loosened", "temporary": "loosened"}


class SignDesk:
    """One joint at the bench. Every message gets one answer; 'page' comes when what it tells is on disk."""

    def __init__(self, sheet: Basis, joint: str) -> None:
        self.sheet, self.joint = sheet, sheet.build.joints.get(joint)

    def answer(self, message: dict[str, Any], _buffers: Any = ()) -> dict[str, Any]:
        """What to send back for one message of the page."""
        return answered(
            message,
            {
                "open": self.page,
                "sign": lambda: self._sign(message["fasteners"], str(message.get("wrench") or "")),
                "state": lambda: self._state(message),
                "accept": lambda: self._accept(str(message.get("why") or "")),
            },
        )

    def page(self, entry: Entry | None = None) -> dict[str, Any]:
        """Everything that the page needs; with what was entered just now, if anything was."""
        joint, record, build = self.joint, self.sheet.record, self.sheet.build
        state = joint_states(record, build.joints)[joint.key]
        stands = torque_standing(record, build).get(joint.key)
        remarks = [{"text": e.text, "due": e.due} for e in open_torques(record, build) if e.joint == joint.key]
        if entry and (sealed := sealing_remark(joint, entry.body["fasteners"])):
            remarks.append({"text": sealed, "due": True})
        return {
            "type": "page",
            "what": joint.what or joint.key,
            "safety": joint.safety,
            "state": state.state or "not recorded",
            "since": state.at[:10],
            "about": "; ".join(t for t in (state.label, state.why, _waits(state.waiting, state.until)) if t),
            "closed": state.closed,
            "groups": groups(joint),
            "reached": reached(stands),
            "remarks": remarks,
            "wrenches": self._wrenches(),
            "wrench": next((str(row["wrench"]) for row in reversed(stands.reached) if row["wrench"]), "")
            if stands
            else "",
            "parts": list(joint.replace_on_removal),
            "entered": entry.seq if entry else 0,
            "store": f"joint/{joint.key}/{zlib.crc32(str(self.sheet.build.record_path).encode()):08x}",
        }

    def _wrenches(self) -> list[dict[str, str]]:
        """The torque wrenches of instruments.csv, each with what its last check said."""
        last = {c.body["instrument"]: c.body["good"] for c in unstruck(self.sheet.record, "check")}
        return [
            {"key": key, "what": gauge.what + ("" if last.get(key, True) else " (failed its last check)")}
            for key, gauge in self.sheet.build.instruments.items()
            if Quantity(0.0, gauge.unit).kind == "torque"
        ]

    def _sign(self, rows: list[dict[str, Any]], wrench: str = "") -> dict[str, Any]:
        """Fasteners with what each was taken to. The state follows: tightened when all are at their last stage.

        One far from its plan is asked about first: its row says `sure` with the same text when it is meant so.
        """
        plan = {name: group for group in groups(self.joint) for name in group["positions"]}
        last = {name: len(group["stages"]) for name, group in plan.items()}
        done = {str(row["position"]): row for row in rows}
        unknown = [name for name in done if name not in plan]
        if unknown:
            raise RestonbError(f"{self.joint.key} has no fastener '{unknown[0]}'; open the notebook again")
        for name, row in done.items():
            bad = _not_a_torque(str(row.get("torque") or ""))
            if bad:
                return {"type": "refused", "position": name, "why": f"{name}: {bad}"}
        before = self._before(done)
        for name, row in done.items():
            typed = str(row.get("torque") or "").strip()
            far = (
                ""
                if typed in (str(row.get("sure") or ""), before.get(name))
                else _far_off(typed, row, plan[name]["stages"])
            )
            if far:
                return {"type": "ask", "position": name, "typed": typed, "why": f"{name}: {far}"}
        finished = all(name in done and int(done[name]["stage"]) >= last[name] for name in plan)
        was = joint_states(self.sheet.record, self.sheet.build.joints)[self.joint.key]
        if was.closed and not finished:
            raise RestonbError(
                "this joint is tightened already: check all of its fasteners, or say that it is loosened"
            )
        stage = max((min(int(row["stage"]), last[name]) for name, row in done.items()), default=0)
        label = "" if finished else f"stage {stage} of {max(last.values(), default=1)}"
        closed = "final" if was.state == "final" else "tightened"  # a check of torques opens nothing
        entry = enter_joint(
            self.sheet.record, self.sheet.build, self.joint.key, closed if finished else "temporary",
            why="tightened again and checked" if was.closed else "", label=label,
            fasteners=[_fastener(done[name], last[name]) for name in plan if name in done], wrench=wrench,
        )  # fmt: skip
        return self.page(entry)

    def _before(self, done: Mapping[str, Any]) -> dict[str, str]:
        """What the record holds for these fasteners, as it was written: that is not asked about again."""
        stands = torque_standing(self.sheet.record, self.sheet.build).get(self.joint.key)
        return {name: row["torque"] for name, row in reached(stands).items() if name in done}

    def _accept(self, why: str) -> dict[str, Any]:
        """Torques off their plan are left as they are, with the reason."""
        state = joint_states(self.sheet.record, self.sheet.build.joints)[self.joint.key]
        if not state.state:
            raise RestonbError(f"nothing is entered about {self.joint.key} yet, so there is nothing to accept")
        if not why.strip():
            return {"type": "ask", "why": "Say why it is left as it is, and press accept again."}
        return self.page(enter_joint(self.sheet.record, self.sheet.build, self.joint.key, state.state,
                                     label=state.label, waiting=state.waiting, until=state.until, accepted=why))  # fmt: skip

    def _state(self, message: dict[str, Any]) -> dict[str, Any]:
        """Another state, in one go. One that opens a closed joint is told what it spoils, and asked for the reason."""
        before = joint_states(self.sheet.record, self.sheet.build.joints)[self.joint.key]
        state, why = str(message["state"]), str(message.get("why") or "").strip()
        if before.closed and state in _OPENED and not why:
            spoiled = impact(self.sheet.record, self.sheet.build, self.joint.key, _OPENED[state]).measure_again
            sheets = ", ".join(s.sheet for s in spoiled)
            told = f"{self.joint.key} is {before.state}. Opening it spoils " + (
                f"the readings of {sheets}" if sheets else "no reading"
            )
            return {"type": "ask", "why": f"{told}. Say why it is opened, and press {state} again."}
        entry = enter_joint(
            self.sheet.record, self.sheet.build, self.joint.key, state, why=why, label=str(message.get("label") or ""),
            waiting=str(message.get("waiting") or ""), until=message.get("until") or None,
            fasteners=before.fasteners if state == "final" else (),
        )  # fmt: skip
        return self.page(entry)


def _fastener(row: Mapping[str, Any], last: int) -> dict[str, Any]:
    """One row for the record; the torque is read as a person types it."""
    typed, stage = str(row.get("torque") or "").strip(), int(row["stage"])
    return {
        "position": str(row["position"]), "torque": typed or None, "treatment": str(row.get("treatment") or ""),
        "new": bool(row.get("new")), "stage": "final" if stage >= last else str(stage),
    }  # fmt: skip


def _not_a_torque(typed: str) -> str:
    """What is wrong with a torque as typed; '' where nothing is, or none was reached."""
    if not typed.strip():
        return ""
    try:
        value = read(typed)
    except RestonbError as error:
        return str(error)
    if value.value < 0:
        return f"'{typed}' is below zero; write it without a sign"
    kind = value.kind
    return "" if kind in ("torque", "angle") else f"'{typed}' is not a torque; write it as '24 N m' or '18 ft-lb'"


def _far_off(typed: str, row: Mapping[str, Any], stages: list[str]) -> str:
    """Why a torque is asked about before it is taken; '' where it is near the stage of the plan."""
    stage = min(max(int(row["stage"]), 1), len(stages))
    planned = stages[stage - 1]
    if not typed or not planned:
        return ""
    value, plan = read(typed), read(planned)
    if value.kind == plan.kind and abs(value.to(plan.unit).value - plan.value) <= FAR_OFF_PLAN * plan.value * (
        1 + 1e-9
    ):
        return ""
    return (
        f"{typed} is far from the {planned} of the plan. Check the number and the unit; press Enter again to keep it."
    )


def _waits(waiting: str, until: str | None) -> str:
    if not waiting:
        return ""
    return ("waiting for a part" if waiting == "part" else "curing") + (f" until {until}" if until else "")
