"""The append-only journal of one build, and what it adds up to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from restonb._face import face

if TYPE_CHECKING:
    from restonb.record._canonical import digest_of as digest_of
    from restonb.record._journal import Entry as Entry
    from restonb.record._journal import Record as Record
    from restonb.record._photos import PICTURES as PICTURES
    from restonb.record._verify import Verification as Verification
    from restonb.record._verify import verify as verify
    from restonb.record.against_plan import FAR_OFF_PLAN as FAR_OFF_PLAN
    from restonb.record.against_plan import Off as Off
    from restonb.record.against_plan import off_plan as off_plan
    from restonb.record.against_plan import sealing_remark as sealing_remark
    from restonb.record.changes import Change as Change
    from restonb.record.changes import Changes as Changes
    from restonb.record.changes import compare_filed as compare_filed
    from restonb.record.enter import enter_check as enter_check
    from restonb.record.enter import enter_disturb as enter_disturb
    from restonb.record.enter import enter_handover as enter_handover
    from restonb.record.enter import enter_joint as enter_joint
    from restonb.record.enter import enter_note as enter_note
    from restonb.record.enter import enter_part as enter_part
    from restonb.record.enter import enter_photo as enter_photo
    from restonb.record.enter import enter_reading as enter_reading
    from restonb.record.enter import enter_readings as enter_readings
    from restonb.record.enter import enter_run as enter_run
    from restonb.record.enter import enter_strike as enter_strike
    from restonb.record.enter import enter_usage as enter_usage
    from restonb.record.enter import enter_work as enter_work
    from restonb.record.far_off import far_off_remark as far_off_remark
    from restonb.record.filed import FILED_FORMAT as FILED_FORMAT
    from restonb.record.filed import decided_lines as decided_lines
    from restonb.record.filed import verdict_word as verdict_word
    from restonb.record.jobs import job_of as job_of
    from restonb.record.kinds import KINDS as KINDS
    from restonb.record.kinds import STANDARD_OCCASIONS as STANDARD_OCCASIONS
    from restonb.record.meters import usage_totals as usage_totals
    from restonb.record.occasions import known_occasions as known_occasions
    from restonb.record.stands.basis import basis_of as basis_of
    from restonb.record.stands.basis import basis_used as basis_used
    from restonb.record.stands.basis import judged_by as judged_by
    from restonb.record.stands.box import BOX_MIME as BOX_MIME
    from restonb.record.stands.box import CLOSING_FINDING as CLOSING_FINDING
    from restonb.record.stands.box import SHAPES as SHAPES
    from restonb.record.stands.box import Box as Box
    from restonb.record.stands.box import box_of as box_of
    from restonb.record.stands.evidence import checks_of as checks_of
    from restonb.record.stands.evidence import day_of_view as day_of_view
    from restonb.record.stands.gate import Gate as Gate
    from restonb.record.stands.gate import safety_joints as safety_joints
    from restonb.record.stands.impact import Impact as Impact
    from restonb.record.stands.impact import SheetImpact as SheetImpact
    from restonb.record.stands.impact import ToBuy as ToBuy
    from restonb.record.stands.impact import ToTighten as ToTighten
    from restonb.record.stands.impact import impact as impact
    from restonb.record.stands.left import STANDINGS as STANDINGS
    from restonb.record.stands.left import Left as Left
    from restonb.record.stands.open_ends import OpenEnd as OpenEnd
    from restonb.record.stands.open_ends import open_ends as open_ends
    from restonb.record.stands.open_ends import open_torques as open_torques
    from restonb.record.stands.order import ClosingStep as ClosingStep
    from restonb.record.stands.order import closing_order as closing_order
    from restonb.record.stands.rounds import Round as Round
    from restonb.record.stands.rounds import RoundRow as RoundRow
    from restonb.record.stands.rounds import Rounds as Rounds
    from restonb.record.stands.rounds import compare_runs as compare_runs
    from restonb.record.stands.sheet import SheetStanding as SheetStanding
    from restonb.record.stands.since import edited_since as edited_since
    from restonb.record.stands.spoils import Disturbance as Disturbance
    from restonb.record.stands.spoils import disturbances_under as disturbances_under
    from restonb.record.stands.spoils import doubt_of as doubt_of
    from restonb.record.stands.spoils import is_repeated as is_repeated
    from restonb.record.stands.spoils import one_place as one_place
    from restonb.record.stands.spoils import split_spoiled as split_spoiled
    from restonb.record.stands.stale import Reason as Reason
    from restonb.record.stands.torques import OverTorque as OverTorque
    from restonb.record.stands.torques import TorqueStanding as TorqueStanding
    from restonb.record.stands.torques import torque_standing as torque_standing
    from restonb.record.stands.whole import Standing as Standing
    from restonb.record.stands.whole import standing as standing
    from restonb.record.stands.whole import standing_if_filed as standing_if_filed
    from restonb.record.views import JointState as JointState
    from restonb.record.views import Run as Run
    from restonb.record.views import disturbances as disturbances
    from restonb.record.views import in_force as in_force
    from restonb.record.views import joint_states as joint_states
    from restonb.record.views import readings as readings
    from restonb.record.views import runs as runs
    from restonb.record.views import unstruck as unstruck

_HOMES = {
    "_canonical": "digest_of",
    "_journal": "Entry Record",
    "_photos": "PICTURES",
    "_verify": "Verification verify",
    "against_plan": "FAR_OFF_PLAN Off off_plan sealing_remark",
    "changes": "Change Changes compare_filed",
    "enter": "enter_check enter_disturb enter_handover enter_joint enter_note enter_part enter_photo enter_reading enter_readings enter_run enter_strike enter_usage enter_work",
    "far_off": "far_off_remark",
    "filed": "FILED_FORMAT decided_lines verdict_word",
    "jobs": "job_of",
    "kinds": "KINDS STANDARD_OCCASIONS",
    "meters": "usage_totals",
    "occasions": "known_occasions",
    "stands.basis": "basis_of basis_used judged_by",
    "stands.box": "BOX_MIME Box CLOSING_FINDING SHAPES box_of",
    "stands.evidence": "checks_of day_of_view",
    "stands.gate": "Gate safety_joints",
    "stands.impact": "Impact SheetImpact ToBuy ToTighten impact",
    "stands.left": "Left STANDINGS",
    "stands.open_ends": "OpenEnd open_ends open_torques",
    "stands.order": "ClosingStep closing_order",
    "stands.rounds": "Round RoundRow Rounds compare_runs",
    "stands.sheet": "SheetStanding",
    "stands.since": "edited_since",
    "stands.spoils": "Disturbance disturbances_under doubt_of is_repeated one_place split_spoiled",
    "stands.stale": "Reason",
    "stands.torques": "OverTorque TorqueStanding torque_standing",
    "stands.whole": "Standing standing standing_if_filed",
    "views": "JointState Run disturbances in_force joint_states readings runs unstruck",
}
"""Module -> what it gives to other rooms. After a change: python tests/structure/faces.py"""

__all__, __getattr__, __dir__ = face(__name__, _HOMES)
