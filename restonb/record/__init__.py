"""The append-only journal of one build, and what it adds up to."""

from restonb.record._canonical import digest_of
from restonb.record._journal import Entry, Record
from restonb.record._verify import Verification, verify
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
from restonb.record.views import JointState, Run, disturbances, in_force, joint_states, readings, runs

__all__ = [
    "Entry",
    "JointState",
    "Record",
    "Run",
    "Verification",
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
    "in_force",
    "joint_states",
    "readings",
    "runs",
    "verify",
]
