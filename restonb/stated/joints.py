"""joints.toml: what is bolted to what, how it is tightened, and which sheets rely on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from restonb.errors import BuildError
from restonb.quantity import Quantity
from restonb.stated import _graph
from restonb.stated._text import quoted
from restonb.words import listed, nearest

__all__ = ["Fastener", "Joint", "JointMap"]


class Fastener(NamedTuple):
    """A group of like fasteners in one joint, and the plan for tightening them."""

    what: str
    count: int = 1  # type: ignore[assignment]  # of tuples, which have a method of that name
    thread: str = ""
    strength: str = ""
    """Class or grade as marked: '8.8', 'grade 5'."""
    torque: Quantity | None = None
    """The final torque, as written."""
    torque_from: Quantity | None = None
    torque_to: Quantity | None = None
    """Within which torques the manual takes it as tightened; None is 'not given'."""
    stages: tuple[Quantity, ...] = ()
    """The steps up to the final torque, in its unit; a step in degrees turns on from the one before."""
    order: tuple[str, ...] = ()
    """Positions in the order of tightening, '1' to the count; empty is 'any order'."""
    layout: tuple[tuple[float, float], ...] = ()
    """Where position 1, 2, ... sits in plan, in mm; empty is 'not given'."""
    treatment: str = ""
    replace_on_removal: bool = False
    retighten: Quantity | None = None
    """A distance or a time after which it is tightened again."""
    source: str = ""


class Joint(NamedTuple):
    """Parts held together."""

    key: str
    what: str
    rests_on: tuple[str, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    treatment: str = ""
    replace_on_removal: tuple[str, ...] = ()
    """Parts that do not go back in: gaskets, seals, tab washers."""
    retighten: Quantity | None = None
    safety: bool = False
    subsystem: str = ""
    source: str = ""

    @property
    def positions(self) -> tuple[str, ...]:
        """Every single fastener: '1', '2', ... or, where there are several groups, 'stud nut 1', ..."""
        if len(self.fasteners) == 1:
            return tuple(str(i + 1) for i in range(self.fasteners[0].count))
        return tuple(f"{group.what} {i + 1}" for group in self.fasteners for i in range(group.count))

    @property
    def planned(self) -> dict[str, Fastener]:
        """Every single fastener with the group that it belongs to."""
        groups = (group for group in self.fasteners for _ in range(group.count))
        return dict(zip(self.positions, groups, strict=True))

    def find(self, position: str) -> str | None:
        """The fastener that a person means by a name or a number; None where the plan has no such one.

        A number counts through all groups of the joint in the order of the plan. A joint without a plan takes any name.
        """
        word = " ".join(position.split())
        names = self.positions
        if not names or word in names:
            return word or None
        if word.isdecimal():
            return names[int(word) - 1] if 1 <= int(word) <= len(names) else None
        spoken = {name.casefold(): name for name in names}
        if len(self.fasteners) == 1:
            spoken |= {f"{self.fasteners[0].what} {name}".casefold(): name for name in names}
        for group in self.fasteners:
            if group.count == 1:
                spoken[group.what.casefold()] = f"{group.what} 1" if len(self.fasteners) > 1 else "1"
        return spoken.get(word.casefold())


class JointMap:
    """The joints of a build, and which sheets rely on which of them."""

    def __init__(self, joints: Mapping[str, Joint], sheets: Mapping[str, tuple[str, ...]]) -> None:
        self.joints = dict(joints)
        self.sheets = dict(sheets)
        self._below = {key: joint.rests_on for key, joint in self.joints.items()}

    def get(self, key: str) -> Joint:
        """One joint. Raises BuildError naming the near one."""
        try:
            return self.joints[key]
        except KeyError:
            meant = nearest(key, self.joints)
            raise BuildError(
                f"no joint {quoted(key)} in joints.toml; "
                + (
                    f"write {quoted(meant)}"
                    if meant
                    else f"it has: {listed(self.joints, 12, ',')}"
                    if self.joints
                    else "write it there first"
                )
            ) from None

    def relied_on(self, sheet: str) -> dict[str, tuple[str, ...]]:
        """Every joint that `sheet` relies on, directly or through others.

        Each with its chain: from the joint that the sheet names, down to this one. A sheet that joints.toml
        does not name relies on nothing.
        """
        return _graph.chains(self._below, self.sheets.get(sheet, ()))

    def relying_on(self, joint: str) -> dict[str, tuple[str, ...]]:
        """Every sheet that relies on `joint`, with the chain of joints that leads from the sheet to it."""
        return {sheet: reached[joint] for sheet in self.sheets if joint in (reached := self.relied_on(sheet))}

    def resting_on(self, joint: str) -> tuple[str, ...]:
        """Every joint that rests on `joint`, directly or through others, in closing order."""
        above = set(_graph.chains(_graph.turned(self._below), [joint])) - {joint}
        return tuple(key for key in self.closing_order() if key in above)

    def closing_order(self, joints: Iterable[str] | None = None) -> tuple[str, ...]:
        """The joints (all, or those given) in an order in which they can be closed: what carries first."""
        wanted = None if joints is None else set(joints)
        return tuple(key for key in _graph.order(self._below) if wanted is None or key in wanted)

    def loops(self) -> list[tuple[str, ...]]:
        """Joints that rest on themselves through others; none in a map that was read from a file."""
        return _graph.loops(self._below)
