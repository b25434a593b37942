"""Random joints and random histories, against plain definitions that know nothing of SQL or of the record.

The definitions are those of the design: a result is good only if nothing that it relies on changed after its
readings. They are written as loops over a list of events, on purpose without a thought for speed.
"""

from __future__ import annotations

import itertools
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import RecordError
from restonb.measure.model import Characteristic, Instrument
from restonb.record import STANDINGS, Record, in_force, joint_states, readings, standing
from restonb.record.stands.order import steps
from restonb.stated import Joint, JointMap, SpecBook

JOINTS = ("a", "b", "c", "d", "e")
SHEETS = ("one", "two")
KEYS = ("x", "y")
GAUGES = ("dial", "feeler")
WORST = ("current", "out of date", "in doubt", "measure again")

Event = tuple[str, dict[str, Any]]


@dataclass
class World:
    """Who rests on whom, what each sheet relies on, and what happened."""

    rests: dict[str, tuple[str, ...]]
    relies: dict[str, tuple[str, ...]]
    events: list[Event] = field(default_factory=list)

    def book(self) -> SpecBook:
        return SpecBook(
            [
                Characteristic(s, k, f"movement {k}", "once", "mm", upper=1.0, subsystem="d")
                for s in SHEETS
                for k in KEYS
            ],
            {},
        )

    def build(self) -> Any:
        joints = {key: Joint(key, key, rests_on=self.rests[key]) for key in JOINTS}
        return SimpleNamespace(
            specs=self.book(),
            joints=JointMap(joints, self.relies),
            instruments={key: Instrument(key, key, "mm") for key in GAUGES},
            rule="prove",
            record_path=None,
        )

    # -- plain definitions, over the first `upto` events

    def below(self, joint: str) -> set[str]:
        return {joint}.union(*(self.below(other) for other in self.rests[joint]))

    def struck(self, upto: int) -> set[int]:
        return {body["seq"] for kind, body in self.events[:upto] if kind == "strike"}

    def alive(self, upto: int) -> list[tuple[int, str, dict[str, Any]]]:
        gone = self.struck(upto)
        return [(n, kind, body) for n, (kind, body) in enumerate(self.events[:upto], 1) if n not in gone]

    def force(self, upto: int) -> dict[tuple[str, str], int]:
        found = {}
        for n, kind, body in self.alive(upto):
            if kind == "reading":
                found[body["sheet"], body["characteristic"]] = n
        return found

    def disturbed_after(self, joint: str, reading: int, upto: int) -> bool:
        closed = {"apart": 0, "dry-fitted": 1, "temporary": 1, "tightened": 2, "final": 3}
        state = None
        for n, kind, body in self.alive(upto):
            if body.get("joint") != joint:
                continue
            if kind == "disturb":
                if n > reading:
                    return True
                state = 0
            elif kind == "joint":
                now = closed[body["state"]]
                if n > reading and state is not None and now < state:
                    return True
                state = now
        return False

    def doubted(self, reading: int, upto: int) -> bool:
        gauge = self.events[reading - 1][1]["instrument"]
        checks = [
            (n, body["good"]) for n, kind, body in self.alive(upto) if kind == "check" and body["instrument"] == gauge
        ]
        before = [good for n, good in checks if n < reading]
        after = [good for n, good in checks if n > reading]
        return (bool(before) and not before[-1]) or (bool(after) and not after[0])

    def state(self, sheet: str, upto: int) -> str:
        runs = [(n, body) for n, kind, body in self.alive(upto) if kind == "run" and body["sheet"] == sheet]
        good = [(n, body) for n, body in runs if body["state"] == "good"]
        if not good:
            return "failed" if runs else "not run"
        run = good[-1][1]
        force = [n for (s, _), n in self.force(upto).items() if s == sheet]
        relied = set().union(*(self.below(joint) for joint in self.relies[sheet]))
        found = ["current"]
        if any(self.disturbed_after(joint, n, upto) for joint in relied for n in force):
            found.append("measure again")
        if any(self.doubted(n, upto) for n in force):
            found.append("in doubt")
        if any(n > run["head"]["seq"] for n in force):
            found.append("out of date")
        if any(n in self.struck(upto) for n in run["filed"]["readings"]):
            found.append("out of date")
        if not force and any(self.disturbed_after(j, run["head"]["seq"], upto) for j in relied):
            found.append("out of date")
        return max(found, key=WORST.index)

    def joint_at(self, joint: str, upto: int) -> tuple[str, int]:
        """Its state, and the event that says so."""
        said = ("", 0)
        for n, kind, body in self.alive(upto):
            if body.get("joint") == joint and kind == "joint":
                said = (body["state"], n)
            elif body.get("joint") == joint and kind == "disturb":
                said = ("temporary" if body["what"] == "loosened" else "apart", n)
        return said

    def came_off(self, joint: str, upto: int) -> int:
        """The last event that took it off."""
        off = 0
        for n, kind, body in self.alive(upto):
            if body.get("joint") == joint and (
                (kind == "joint" and body["state"] == "apart") or (kind == "disturb" and body["what"] != "loosened")
            ):
                off = n
        return off

    def is_open(self, joint: str, upto: int) -> bool:
        """Entered as open, or as closed before something that it rests on came off."""
        state, since = self.joint_at(joint, upto)
        if state in ("apart", "dry-fitted", "temporary"):
            return True
        return bool(state) and any(self.came_off(other, upto) > since for other in self.below(joint) - {joint})

    def word(self, sheet: str, upto: int) -> str:
        """The worst of all that is left: the result, what has no reading or no verdict, the joints below it."""
        state = self.state(sheet, upto)
        found = [state] if state != "current" else []
        runs = [body["state"] for _, kind, body in self.alive(upto) if kind == "run" and body["sheet"] == sheet]
        if "good" in runs:
            measured = {key for (s, key) in self.force(upto) if s == sheet}
            found += ["not known" if key in measured else "to do" for key in KEYS]  # these runs file no verdicts
        if any(self.is_open(j, upto) for relied in self.relies[sheet] for j in self.below(relied)):
            found.append("to do")
        return max(found, key=STANDINGS.index, default="settled")


@st.composite
def worlds(draw: st.DrawFn) -> World:
    rests = {}
    for n, joint in enumerate(JOINTS):
        rests[joint] = tuple(draw(st.lists(st.sampled_from(JOINTS[:n]), unique=True, max_size=2))) if n else ()
    relies = {
        sheet: tuple(draw(st.lists(st.sampled_from(JOINTS), unique=True, min_size=1, max_size=2))) for sheet in SHEETS
    }
    world = World(rests, relies)
    moves = st.sampled_from(["reading"] * 4 + ["disturb", "joint", "strike", "check", "run", "run", "note"])
    for kind in draw(st.lists(moves, min_size=3, max_size=30)):
        add(draw, world, kind)
    return world


def add(draw: st.DrawFn, world: World, kind: str) -> None:
    events = world.events
    sheet, joint = st.sampled_from(SHEETS), st.sampled_from(JOINTS)
    if kind == "reading":
        events.append(
            (
                kind,
                {
                    "sheet": draw(sheet),
                    "characteristic": draw(st.sampled_from(KEYS)),
                    "position": "once",
                    "value": "0.1",
                    "unit": "mm",
                    "instrument": draw(st.sampled_from(GAUGES)),
                },
            )
        )
    elif kind == "disturb":
        what = draw(st.sampled_from(["loosened", "removed", "replaced"]))
        events.append((kind, {"joint": draw(joint), "what": what}))
    elif kind == "joint":
        state = draw(st.sampled_from(["apart", "dry-fitted", "temporary", "tightened", "final"]))
        events.append((kind, {"joint": draw(joint), "state": state}))
    elif kind == "check":
        events.append((kind, {"instrument": draw(st.sampled_from(GAUGES)), "good": draw(st.booleans())}))
    elif kind == "note":
        events.append((kind, {"text": "a"}))
    elif kind == "strike":
        gone = world.struck(len(events))
        can = [n for n, (k, _) in enumerate(events, 1) if k not in ("strike", "run") and n not in gone]
        if can:
            events.append((kind, {"seq": draw(st.sampled_from(can)), "why": "wrong"}))
    elif kind == "run":
        name = draw(sheet)
        used = sorted(n for (s, _), n in world.force(len(events)).items() if s == name)
        events.append(
            (
                kind,
                {
                    "template": f"d/{name}",
                    "sheet": name,
                    "state": draw(st.sampled_from(["good", "good", "failed"])),
                    "head": {"seq": len(events), "digest": "0" * 64},
                    "filed": {"format": 2, "readings": used, "steps": [], "verdicts": []},
                    "spec": {row.key: world.book().digest(row) for row in world.book() if row.sheet == name},
                },
            )
        )


@settings(deadline=None, max_examples=80)
@given(worlds())
def test_standing_is_what_the_plain_definition_says_at_every_moment(world: World) -> None:
    build = world.build()
    with tempfile.TemporaryDirectory() as folder, Record.open(Path(folder)) as record:
        record.append_many(world.events)
        for upto in range(len(world.events) + 1):
            found = standing(record, build, upto)
            assert {s: found.sheets[s].state for s in SHEETS} == {s: world.state(s, upto) for s in SHEETS}, upto
            assert {s: found.sheets[s].word for s in SHEETS} == {s: world.word(s, upto) for s in SHEETS}, upto
            force = {(r.sheet, r.characteristic): r.seq for r in in_force(record, as_of=upto)}
            assert force == world.force(upto)
            alive = [n for n, kind, _ in world.alive(upto) if kind == "reading"]
            assert [r.seq for r in readings(record, as_of=upto)] == alive
        for sheet in SHEETS:  # and every reason says why, with the chain that leads there
            for reason in standing(record, build).sheets[sheet].reasons:
                assert reason.text
                if reason.chain:
                    assert reason.chain[0] in world.relies[sheet]
                    pairs = itertools.pairwise(reason.chain)
                    assert all(lower in world.rests[upper] for upper, lower in pairs)


@settings(deadline=None, max_examples=40)
@given(worlds(), st.data())
def test_as_of_gives_what_it_gave_then(world: World, data: st.DataObject) -> None:
    """A record that ends there, and a longer one seen as of there, are the same."""
    upto = data.draw(st.integers(0, len(world.events)))
    build = world.build()
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "short").mkdir()
        Path(folder, "long").mkdir()
        with Record.open(Path(folder, "short")) as short, Record.open(Path(folder, "long")) as long:
            long.clock = short.clock = lambda: __import__("datetime").datetime(2026, 3, 1, 12, 0)
            short.append_many(world.events[:upto])
            long.append_many(world.events)
            assert standing(long, build, upto) == standing(short, build, upto)
            assert joint_states(long, build.joints, upto) == joint_states(short, build.joints)
            assert in_force(long, as_of=upto) == in_force(short)
            assert list(long.entries(as_of=upto)) == list(short.entries())


# -- the closing order -------------------------------------------------------------------------------------

graphs = st.integers(1, 6).flatmap(
    lambda size: st.tuples(
        *(st.lists(st.integers(0, max(0, n - 1)), unique=True, max_size=2) if n else st.just([]) for n in range(size))
    )
)


@settings(deadline=None, max_examples=150)
@given(graphs, st.data())
def test_closing_order_against_every_order_there_is(graph: tuple[list[int], ...], data: st.DataObject) -> None:
    names = [chr(ord("a") + n) for n in range(len(graph))]
    shuffled = data.draw(st.permutations(names))
    rests = {names[n]: [names[m] for m in below] for n, below in enumerate(graph)}
    joints = data.draw(st.lists(st.sampled_from(shuffled), unique=True))  # the others stay closed
    sheets = {
        f"sheet {n}": data.draw(st.lists(st.sampled_from(names), unique=True, min_size=1, max_size=2))
        for n in range(data.draw(st.integers(0, 3)))
    }

    def all_below(name: str) -> set[str]:
        return set(rests[name]).union(*(all_below(other) for other in rests[name]))

    def allowed(order: tuple[str, ...]) -> bool:
        return all(below not in order[place + 1 :] for place, name in enumerate(order) for below in all_below(name))

    found = steps(joints, rests, sheets)
    order = tuple(step.name for step in found if step.what == "close")
    possible = [every for every in itertools.permutations(joints) if allowed(every)]
    assert order in possible
    assert sorted(step.name for step in found if step.what == "measure") == sorted(sheets)

    closed: set[str] = set()
    for place, step in enumerate(found):
        if step.what == "close":
            # What must be open at the same time: closed later in every order there is.
            must = {o for o in joints if all(p.index(o) > p.index(step.name) for p in possible)}
            assert set(step.open) == must
            closed.add(step.name)
        else:
            needs = set().union(*({j} | all_below(j) for j in sheets[step.name])) & set(joints)
            assert needs <= closed
            before = next((s for s in reversed(found[:place]) if s.what == "close"), None)
            assert (
                before is None
                or before.name in needs
                or any(s.what == "measure" for s in found[found.index(before) : place])
            ), "measured as soon as it can be"
            assert not any(needs <= closed - {s.name} for s in [before] if s), "not one joint later than need be"
            assert set(step.open) == {o for o in joints if o not in closed and all_below(o) & set(sheets[step.name])}


def test_joints_in_a_ring_have_no_order() -> None:
    with pytest.raises(RecordError, match="rests on itself through others: correct rests_on"):
        steps(["a", "b"], {"a": ["b"], "b": ["a"]}, {})
