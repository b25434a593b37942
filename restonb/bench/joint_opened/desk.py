"""The clerk behind it: which joints a sheet relies on that are still closed, what opening one spoils, and its entry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from restonb.bench._answers import answered
from restonb.errors import RestonbError
from restonb.record import Entry, Impact, enter_disturb, impact, joint_states

if TYPE_CHECKING:
    from restonb.bench.basis import Basis

__all__ = ["OpeningDesk", "impact_lines"]

WHATS = ("loosened", "removed", "replaced")


class OpeningDesk:
    """The joints of one sheet. Every message gets one answer; 'page' comes when what it tells is on disk."""

    def __init__(self, sheet: Basis) -> None:
        self.sheet = sheet

    def answer(self, message: dict[str, Any], _buffers: Any = ()) -> dict[str, Any]:
        """What to send back for one message of the page."""
        return answered(
            message,
            {
                "open": self.page,
                "ask": lambda: {"type": "told", "lines": impact_lines(self._impact(message))},
                "disturb": lambda: self._enter(message),
            },
        )

    def page(self, entry: Entry | None = None) -> dict[str, Any]:
        """The joints that can be opened, nearest first; with what was entered just now, if anything was."""
        joints = self.sheet.build.joints
        states = joint_states(self.sheet.record, joints)
        rows = []
        for key in joints.relied_on(self.sheet.key):
            state = states[key]
            if state.state != "apart":
                since = f" since {state.at[:10]}" if state.at else ""
                rows.append([key, f"{joints.get(key).what or key} ({state.state or 'not recorded'}{since})"])
        said = ""
        if entry is not None:
            said = f"{entry.body['joint']} {entry.body['what']}: entered as entry {entry.seq}. Run all cells to see what it changed."
        return {"type": "page", "joints": rows, "whats": list(WHATS), "entered": said}

    def _impact(self, message: dict[str, Any]) -> Impact:
        return impact(self.sheet.record, self.sheet.build, str(message["joint"]), str(message["what"]))

    def _enter(self, message: dict[str, Any]) -> dict[str, Any]:
        why = str(message.get("why") or "").strip()
        if not why:
            raise RestonbError("nothing is entered yet: say why it was opened, such as 'shims to be changed'")
        self._impact(message)  # refuses an unknown joint, and a word that is none
        return self.page(
            enter_disturb(self.sheet.record, self.sheet.build, str(message["joint"]), str(message["what"]), why)
        )


def impact_lines(found: Impact) -> list[str]:
    """What opening it costs, one line for each kind."""
    others = [joint for joint in found.opened if joint != found.joint]
    lines = [f"Opened with it: {', '.join(others)}."] if others else []
    sheets = [
        f"{s.sheet} ({', '.join(s.characteristics)})" if s.characteristics else s.sheet for s in found.measure_again
    ]
    lines.append(f"To measure again: {'; '.join(sheets)}." if sheets else "No reading is spoiled.")
    if found.tighten:
        lines.append(f"To tighten again: {'; '.join(f'{t.joint}: {t.count} x {t.what}' for t in found.tighten)}.")
    if found.buy:
        lines.append(
            f"To buy, used once only: {'; '.join(f'{b.count} x {b.what}' if b.count else b.what for b in found.buy)}."
        )
    return lines
