"""The append-only journal of one build, and what it adds up to."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from restonb.record._canonical import digest_of
    from restonb.record._journal import Entry, Record
    from restonb.record._photos import PICTURES
    from restonb.record._verify import Verification, verify
    from restonb.record.against_plan import Off, off_plan, sealing_remark
    from restonb.record.enter import (
        enter_check,
        enter_disturb,
        enter_handover,
        enter_joint,
        enter_note,
        enter_part,
        enter_photo,
        enter_reading,
        enter_readings,
        enter_run,
        enter_strike,
        enter_usage,
        enter_work,
    )
    from restonb.record.occasions import known_occasions
    from restonb.record.stands.gate import Gate
    from restonb.record.stands.impact import Impact, SheetImpact, ToBuy, ToTighten, impact
    from restonb.record.stands.left import STANDINGS, Left
    from restonb.record.stands.open_ends import OpenEnd, open_ends, open_torques
    from restonb.record.stands.order import Step, closing_order
    from restonb.record.stands.rounds import Round, RoundRow, Rounds, compare_runs
    from restonb.record.stands.sheet import SheetStanding
    from restonb.record.stands.stale import Reason
    from restonb.record.stands.torques import OverTorque, TorqueStanding, torque_standing
    from restonb.record.stands.whole import Standing, standing, standing_if_filed
    from restonb.record.views import JointState, Run, disturbances, in_force, joint_states, readings, runs

__all__ = [
    "PICTURES",
    "STANDINGS",
    "Entry",
    "Gate",
    "Impact",
    "JointState",
    "Left",
    "Off",
    "OpenEnd",
    "OverTorque",
    "Reason",
    "Record",
    "Round",
    "RoundRow",
    "Rounds",
    "Run",
    "SheetImpact",
    "SheetStanding",
    "Standing",
    "Step",
    "ToBuy",
    "ToTighten",
    "TorqueStanding",
    "Verification",
    "closing_order",
    "compare_runs",
    "digest_of",
    "disturbances",
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
    "impact",
    "in_force",
    "joint_states",
    "known_occasions",
    "off_plan",
    "open_ends",
    "open_torques",
    "readings",
    "runs",
    "sealing_remark",
    "standing",
    "standing_if_filed",
    "torque_standing",
    "verify",
]

_HOMES = {
    "_canonical": "digest_of",
    "_journal": "Entry Record",
    "_photos": "PICTURES",
    "_verify": "Verification verify",
    "against_plan": "Off off_plan sealing_remark",
    "enter": "enter_check enter_disturb enter_handover enter_joint enter_note enter_part enter_photo enter_reading enter_readings enter_run enter_strike enter_usage enter_work",
    "occasions": "known_occasions",
    "stands.gate": "Gate",
    "stands.impact": "Impact SheetImpact ToBuy ToTighten impact",
    "stands.left": "STANDINGS Left",
    "stands.open_ends": "OpenEnd open_ends open_torques",
    "stands.order": "Step closing_order",
    "stands.rounds": "Round RoundRow Rounds compare_runs",
    "stands.sheet": "SheetStanding",
    "stands.stale": "Reason",
    "stands.torques": "OverTorque TorqueStanding torque_standing",
    "stands.whole": "Standing standing standing_if_filed",
    "views": "JointState Run disturbances in_force joint_states readings runs",
}
_HOME_OF = {name: module for module, names in _HOMES.items() for name in names.split()}


def __getattr__(name: str) -> Any:
    """What a command does not ask for is not loaded."""
    if name not in _HOME_OF:
        raise AttributeError(f"module 'restonb.record' has no attribute '{name}'")
    return getattr(import_module(f"restonb.record.{_HOME_OF[name]}"), name)
