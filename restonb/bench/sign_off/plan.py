"""The plan of a joint and how far it has come, as data for the page."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from restonb.quantity import Quantity
from restonb.record import TorqueStanding
from restonb.stated import Fastener, Joint

__all__ = ["LAST", "groups", "reached", "stages"]

LAST = 99
"""A stage beyond every plan: what was entered without a stage was taken to its torque."""


def groups(joint: Joint) -> list[dict[str, Any]]:
    """Each group of like fasteners: positions, stages, order of tightening, and where each sits (x, y up)."""
    found, names = [], list(joint.positions)
    for group in joint.fasteners:
        mine, names = names[: group.count], names[group.count :]
        order = [mine[int(n) - 1] for n in group.order] or mine
        found.append(
            {
                "what": group.what,
                "thread": " ".join(t for t in (group.thread, group.strength) if t),
                "positions": mine,
                "order": order,
                "ordered": bool(group.order),
                "stages": stages(group),
                "spots": [list(spot) for spot in group.layout],
                "treatment": group.treatment or joint.treatment,
                "once": group.replace_on_removal,
                "source": group.source or joint.source,
            }
        )
    return found


def stages(group: Fastener) -> list[str]:
    """The torques to take it to, one after another; one '' where the plan has none."""
    steps = group.stages or ((group.torque,) if group.torque else ())
    return [_torque_text(step) for step in steps] or [""]


def reached(stands: TorqueStanding | None) -> dict[str, dict[str, Any]]:
    """Position -> stage, torque, treatment and whether it is new, as entered since the joint was last opened."""
    rows = stands.reached if stands else ()
    return {str(row["position"]): _fastener(row) for row in rows if row.get("position")}


def _fastener(row: Mapping[str, Any]) -> dict[str, Any]:
    said = re.search(r"\d+", str(row.get("stage") or ""))
    return {
        "stage": int(said[0]) if said else LAST,  # no stage said, or 'final': it is at its torque
        "torque": f"{row.get('torque') or ''} {row.get('unit') or ''}".strip(),
        "treatment": row.get("treatment") or "",
        "new": bool(row.get("new")),
    }


def _torque_text(step: Quantity) -> str:
    """As a torque or an angle, also where the plan says per cent: a wrench shows no per cent."""
    return step.write() if "%" in step.typed or not step.typed else step.typed
