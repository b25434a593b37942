"""Rework: what a disturbance spoils, in which order it is put right, and what is left open."""

from restonb.record.rework.gate import Gate
from restonb.record.rework.impact import Impact, SheetImpact, ToBuy, ToTighten, impact
from restonb.record.rework.open_ends import OpenEnd, open_ends
from restonb.record.rework.order import Step, closing_order
from restonb.record.rework.rounds import Round, RoundRow, Rounds, compare_runs
from restonb.record.rework.stale import Reason, SheetStanding
from restonb.record.rework.standing import Standing, standing

__all__ = [
    "Gate",
    "Impact",
    "OpenEnd",
    "Reason",
    "Round",
    "RoundRow",
    "Rounds",
    "SheetImpact",
    "SheetStanding",
    "Standing",
    "Step",
    "ToBuy",
    "ToTighten",
    "closing_order",
    "compare_runs",
    "impact",
    "open_ends",
    "standing",
]
