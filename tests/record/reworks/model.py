"""What a rework spoils: a plain, slow definition to hold the product against. It imports nothing of the product.

Words
-----
place          what is measured: "sheet.characteristic", or "sheet.characteristic @ position" where positions differ.
joint          parts held together. It may rest on others. With one of those it comes apart, or it stays together (`stays_on`).
event          one thing that happened, in order: a reading, a disturbance, a state of a joint, a part renewed, a place moved.

Rules
-----
1. A reading is spoiled only by what happens after it. A newer reading of the same place begins anew.
2. `removed` and `replaced` open the joint, and every joint that rests on it and does not stay together, and so on upwards.
   `loosened` opens the joint alone. What came apart with another counts as removed.
3. A joint that is stated to be in a lower state than it was, was opened: down to apart like `removed` (rule 2, upwards too), down to
   dry-fitted or temporary like `loosened`. A joint of which nothing was known opens when it is stated to be apart. A state that is no
   lower opens nothing. Closing a joint spoils nothing. What was removed is apart, and what was loosened is held for the time being,
   till somebody states another state.
4. A *size* is not spoiled by opening. It is spoiled when the part is renewed or worked on; and by `replaced` at a joint that it
   names, if nothing says which parts were replaced. If something does, then only by those.
5. A *condition* is spoiled when one of its own joints is opened.
6. A *line* is spoiled when one of its own joints is opened, or any joint below them, however far; also below a joint that stays together.
7. A place that names `opened_by = removed` is not spoiled by loosening (rules 5 and 6).
8. A job that moves something without opening its joint says so: that spoils the places it names, of whatever kind.
   A part that is renewed spoils the places that are said to be of that part, of whatever kind.
9. A place is measured open, dry-fitted, tight, or in any state. A reading in another state, as far as the states of its own joints are known
   at that moment, is remarked. It counts all the same, but for one case: what is measured tight cannot be read with its joint apart; that
   reading does not count. Tight here means put together: a trial with dry faces is a right time to measure a float or an offset. A joint
   of which nothing was stated hinders no reading.
10. What came apart or was loosened is closed again from below, what carries before what is carried. A joint that stays together without another
   (a disc on its hub) may be closed before it. Closing a joint on one that is apart is remarked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

STATES = ("apart", "dry-fitted", "temporary", "tightened", "final")
HELD_IN = {
    "any": STATES,
    "open": ("apart", "dry-fitted", "temporary"),
    "dry-fitted": ("dry-fitted", "temporary"),
    "tight": ("dry-fitted", "temporary", "tightened", "final"),
}
CLOSED = ("tightened", "final")


@dataclass(frozen=True)
class Joint:
    """A joint, the joints it rests on, and those of them that may come apart while it stays together."""

    rests_on: tuple[str, ...] = ()
    stays_on: tuple[str, ...] = ()


@dataclass(frozen=True)
class Place:
    """What spoils one place: its kind, its own joints, whether loosening is enough, and the state it is measured in."""

    kind: str
    joints: tuple[str, ...] = ()
    opened_by: str = ""
    measured: str = "any"


@dataclass(frozen=True)
class Reading:
    place: str


@dataclass(frozen=True)
class Disturb:
    """`what` is loosened, removed or replaced. `parts`: the places that are of the replaced parts; None if nobody said which parts."""

    joint: str
    what: str
    parts: tuple[str, ...] | None = None


@dataclass(frozen=True)
class State:
    joint: str
    state: str


@dataclass(frozen=True)
class Renewed:
    """A part that is new, or worked on, and the places that are of it."""

    places: tuple[str, ...]


@dataclass(frozen=True)
class Moved:
    """Places that a job moved without opening their joints."""

    places: tuple[str, ...]


Event = Reading | Disturb | State | Renewed | Moved


@dataclass
class Standing:
    """Where a place is: `read` if there is a reading that counts, and why it is to be measured again. `remarks`: readings in another state (rule 9)."""

    read: bool = False
    spoiled_by: list[tuple[int, str]] = field(default_factory=list)
    remarks: list[int] = field(default_factory=list)

    @property
    def good(self) -> bool:
        return self.read and not self.spoiled_by


def opened(joints: Mapping[str, Joint], joint: str, what: str) -> dict[str, str]:
    """Return every joint that one disturbance opens, with how: loosened or removed (rule 2). A joint the file does not know opens alone."""
    if what == "loosened":
        return {joint: "loosened"}
    found = {joint: "removed"}
    grew = True
    while grew:
        grew = False
        for name, one in joints.items():
            if name in found:
                continue
            if any(lower in found and lower not in one.stays_on for lower in one.rests_on):
                found[name] = "removed"
                grew = True
    return found


def below(joints: Mapping[str, Joint], names: Sequence[str]) -> set[str]:
    """Return these joints and everything they rest on (rule 6)."""
    found = set(names)
    grew = True
    while grew:
        grew = False
        for name in sorted(found):
            for lower in joints[name].rests_on if name in joints else ():
                if lower not in found:
                    found.add(lower)
                    grew = True
    return found


def _relied_on(joints: Mapping[str, Joint], place: Place) -> set[str]:
    if place.kind == "size":
        return set()
    if place.kind == "condition":
        return set(place.joints)
    if place.kind == "line":
        return below(joints, place.joints)
    raise ValueError(f"no such kind: {place.kind!r}; write size, condition or line")


def standings(joints: Mapping[str, Joint], places: Mapping[str, Place], events: Sequence[Event]) -> dict[str, Standing]:
    """Return how each place stands after `events`, in order. Slow on purpose: every event is held against every place."""
    stand = {name: Standing() for name in places}
    states: dict[str, str] = {}
    for number, event in enumerate(events):
        if isinstance(event, Reading):
            place = places[event.place]
            known = [states[joint] for joint in place.joints if joint in states]
            if not all(state in HELD_IN[place.measured] for state in known):
                stand[event.place].remarks.append(number)
            if not (place.measured == "tight" and "apart" in known):
                stand[event.place].read, stand[event.place].spoiled_by = True, []
        elif isinstance(event, Renewed | Moved):
            for name in event.places:
                stand[name].spoiled_by.append((number, "renewed" if isinstance(event, Renewed) else "moved"))
        else:
            came_open = step(joints, states, event)
            for name, place in places.items():
                for one in sorted(_relied_on(joints, place) & came_open.keys()):
                    if not (place.opened_by == "removed" and came_open[one] == "loosened"):
                        stand[name].spoiled_by.append((number, f"{one} {came_open[one]}"))
                if isinstance(event, Disturb) and event.what == "replaced" and _is_of_it(name, place, event):
                    stand[name].spoiled_by.append((number, f"{event.joint} replaced"))
    return stand


def _is_of_it(name: str, place: Place, event: Disturb) -> bool:
    """Whether a replacement at a joint replaced what this place measures (rule 4)."""
    if event.parts is not None:
        return name in event.parts
    return place.kind == "size" and event.joint in place.joints


def step(joints: Mapping[str, Joint], states: dict[str, str], event: Disturb | State) -> dict[str, str]:
    """Carry `states` over one event, in place, and return the joints that it opened, with how (rules 2 and 3)."""
    if isinstance(event, Disturb):
        came_open = opened(joints, event.joint, event.what)
    elif event.state == "apart" and states.get(event.joint) != "apart":
        came_open = opened(joints, event.joint, "removed")
    elif STATES.index(event.state) < STATES.index(states.get(event.joint, "apart")):
        came_open = opened(joints, event.joint, "loosened")
    else:
        came_open = {}
    for one, how in came_open.items():
        if how == "removed":
            states[one] = "apart"
        elif states.get(one) not in ("apart", "dry-fitted"):
            states[one] = "temporary"
    if isinstance(event, State):
        states[event.joint] = event.state
    return came_open


def carried_by(joints: Mapping[str, Joint], joint: str) -> set[str]:
    """Return what must be closed before this joint is: what it rests on and does not stay together without, however far down."""
    found: set[str] = set()
    todo = [joint]
    while todo:
        one = joints.get(todo.pop(), Joint())
        new = set(one.rests_on) - set(one.stays_on) - found
        found |= new
        todo += sorted(new)
    return found


def to_close(joints: Mapping[str, Joint], events: Sequence[Event]) -> list[str]:
    """Return the joints that were opened and are not closed, each after what carries it; equals in the order of their names (rule 10)."""
    states: dict[str, str] = {}
    open_ones: set[str] = set()
    for event in events:
        if isinstance(event, Disturb | State):
            open_ones |= step(joints, states, event).keys()
    left = sorted(one for one in open_ones if states[one] not in CLOSED)
    order: list[str] = []
    while left:
        ready = [one for one in left if not carried_by(joints, one) & set(left)]
        if not ready:
            raise ValueError(f"joints that rest on each other in a ring: {left}")
        order.append(ready[0])
        left.remove(ready[0])
    return order


def closed_on_open(joints: Mapping[str, Joint], events: Sequence[Event]) -> list[int]:
    """Return the numbers of the events that closed a joint on one that was apart (rule 10)."""
    states: dict[str, str] = {}
    found = []
    for number, event in enumerate(events):
        if isinstance(event, Disturb | State):
            step(joints, states, event)
            if not isinstance(event, State) or event.state not in CLOSED:
                continue
            if any(states.get(one) == "apart" for one in carried_by(joints, event.joint)):
                found.append(number)
    return found


def spoiled(joints: Mapping[str, Joint], places: Mapping[str, Place], events: Sequence[Event]) -> set[str]:
    """Return the places that were read and must be measured again after `events`."""
    return {name for name, one in standings(joints, places, events).items() if one.read and one.spoiled_by}
