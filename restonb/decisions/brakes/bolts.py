"""Torques of bolts and nuts of brakes and wheels: too little and too much need different work."""

from __future__ import annotations

from restonb.decisions.steps import Step, judged
from restonb.measure import Verdicts

__all__ = ["torque_steps"]


def torque_steps(rows: Verdicts, finding: str, what: str, measure: str, inside: str) -> list[Step]:
    """What the torques say; `what` as in 'the torque of the axle nuts'. Nothing is cured by slackening and pulling again."""
    return judged(
        rows, finding, what,
        measure=measure,
        inside=inside,
        below="Tightened too little: {at}. Find out why: take it out, look at the thread, clean it, renew whatever locks it as the plan says, "
        "and tighten it to the plan with a wrench that passed its check.",
        above="Overtightened: {at}. Slackening it and tightening it again is no cure. Take it out, look at bolt and thread for "
        "stretch, necking and torn threads, fit a new one where you are not sure, and then tighten it to the plan.",
        close="Too close to the limit of its torque to call: {at}. Take a wrench with a smaller error, and tighten to the middle.",
        no_limit="The spec book gives no torque for {at}: write the manual's figure there, so that it can be judged.",
        stops=True,
    )  # fmt: skip
