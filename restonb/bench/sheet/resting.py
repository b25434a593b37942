"""What a sheet rests on, and what else is in the record."""

from __future__ import annotations

from typing import Any

from restonb.bench import _tables
from restonb.bench._live import Several
from restonb.bench._look import Shown, bullets
from restonb.bench.basis import Basis
from restonb.bench.entry import opening
from restonb.measure import Reading
from restonb.record import Entry, JointState, OpenEnd, joint_states, open_ends, readings, standing, unstruck

__all__ = ["Resting"]


class Resting(Basis):
    """Joints, photographs and other entries."""

    def joints(self) -> Any:
        """The joints that this sheet relies on, directly and through others, with their states.

        Where something can be entered, also a panel to say that one of them was opened, and what that spoils.
        """
        shown, panel = _tables.joints(self.build, self.record, self.key, self.as_of), opening(self)
        return shown if panel is None else Several((shown, panel))

    def sign_off(self, joint: str) -> Any:
        """A joint to be tightened in stages and signed off; its pattern and fasteners, where nothing can be entered.

        '' says which parameter to fill in. Raises BuildError for a joint that joints.toml does not have.
        """
        if not joint:
            return bullets(["write the name of the joint into the parameter sign_off, to sign it off here"], "todo")
        from restonb.bench.entry import sign_off

        return sign_off(self, joint)

    def photos(self) -> Shown:
        """The photographs kept with this sheet, small, without what the camera wrote into them."""
        from restonb.bench._photos import photos

        return photos(self.build, self.record, self.key, self.as_of)

    def entries(self, *kinds: str) -> list[Entry]:
        """The entries of these kinds that are not struck, oldest first."""
        return sorted((e for kind in kinds for e in unstruck(self.record, kind, self.as_of)), key=lambda e: e.seq)

    def readings(self, occasion: str | None = None) -> list[Reading]:
        """The readings of every sheet that are not struck, oldest first."""
        return readings(self.record, occasion=occasion, as_of=self.as_of)

    def joint_states(self) -> dict[str, JointState]:
        """The state of every joint."""
        return joint_states(self.record, self.build.joints, self.as_of)

    def open_ends(self) -> tuple[OpenEnd, ...]:
        """Everything that is not finished."""
        return open_ends(self.record, self.build, self.as_of)

    def doubts(self) -> list[str]:
        """Why readings of this sheet are in doubt: a gauge that failed its check afterwards."""
        found = standing(self.record, self.build, self.as_of).sheets.get(self.key)
        return [reason.text for reason in found.reasons if reason.state == "in doubt"] if found else []
