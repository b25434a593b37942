"""The record for somebody else: HTML, PDF and data that anyone can check."""

from __future__ import annotations

from typing import TYPE_CHECKING

from restonb._face import face

if TYPE_CHECKING:
    from restonb.handover._sign import sign as sign
    from restonb.handover._sign import signed_by as signed_by
    from restonb.handover._verify import Checked as Checked
    from restonb.handover._verify import verify as verify
    from restonb.handover.export import Handover as Handover
    from restonb.handover.export import hand_over as hand_over
    from restonb.handover.export import preview as preview
    from restonb.handover.privacy import CHOICES as CHOICES

_HOMES = {
    "_sign": "sign signed_by",
    "_verify": "Checked verify",
    "export": "Handover hand_over preview",
    "privacy": "CHOICES",
}
"""Module -> what it gives to other rooms. After a change: python tests/structure/faces.py"""

__all__, __getattr__, __dir__ = face(__name__, _HOMES)
