"""What to buy: open parts, and what does not go back into joints that were opened."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from restonb.decisions.steps import Step, not_known, settled, to_do
from restonb.errors import FormulaError, QuantityError
from restonb.formulas.threads import look_alikes
from restonb.record import Entry, JointState
from restonb.stated import JointMap
from restonb.words import listed

__all__ = [
    "CLOSING",
    "Item",
    "confusable",
    "counter_list",
    "known",
    "next_steps",
    "on_order",
    "opened",
    "parts",
    "safety_joints",
    "to_buy",
]

CLOSING = "Nothing is left to buy or to wait for, as far as the record knows."

Rows: TypeAlias = list[tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the list. `state` is 'wanted' or 'ordered'; `since` the date of its entry."""

    what: str
    quantity: str
    state: str
    since: str
    thread: str = ""
    length: str = ""
    strength: str = ""
    joint: str = ""
    why: str = ""

    @property
    def vague(self) -> bool:
        """A threaded part whose length or class is not stated: nuts have neither length nor a class that counts here."""
        return (
            bool(self.thread)
            and "nut" not in self.what
            and "union" not in self.what
            and not (self.length and self.strength)
        )


def parts(entries: Iterable[Entry]) -> list[Item]:
    """Parts entered as wanted or ordered and not yet as fitted, oldest first; of each the newest entry counts."""
    newest: dict[tuple[str | None, ...], Entry] = {}
    for entry in entries:
        key = tuple(entry.body[k] for k in ("what", "thread", "length", "class", "joint"))
        newest.pop(key, None)
        newest[key] = entry
    return [
        Item(
            b["what"],
            b["quantity"],
            b["state"],
            e.at[:10],
            b["thread"],
            b["length"],
            b["class"],
            b["joint"] or "",
            b["note"],
        )
        for e in newest.values()
        if (b := e.body)["state"] != "fitted"
    ]


def opened(joints: JointMap, states: Mapping[str, JointState], entries: Iterable[Entry]) -> list[Item]:
    """One-use fasteners and parts of joints that were disturbed and are not closed, unless a part entry covers them.

    `entries`: disturb and part entries of the record. A joint that was only loosened keeps its gaskets, not its
    one-use fasteners.
    """
    entered = list(entries)
    found = []
    for key, joint in joints.joints.items():
        state = states.get(key)
        if state is None or state.closed or not state.disturbed:
            continue
        cause = next((e for e in entered if e.seq == state.disturbed), None)
        loosened = cause is not None and cause.kind == "disturb" and cause.body["what"] == "loosened"
        since = cause.at[:10] if cause else state.at[:10]
        why = f"{key.replace('_', ' ')} was opened on {since}"
        wanted = [Item(g.what, str(g.count), "wanted", since, g.thread, "", g.strength, key, why)
                  for g in joint.fasteners if g.replace_on_removal]  # fmt: skip
        if not loosened:
            wanted += [Item(part, "", "wanted", since, joint=key, why=why) for part in joint.replace_on_removal]
        later = [e.body for e in entered if e.kind == "part" and e.seq > state.disturbed and e.body["joint"] == key]
        found += [item for item in wanted if not any(_same(item.what, b["what"]) for b in later)]
    return found


def known(entries: Iterable[Entry], states: Mapping[str, JointState]) -> int:
    """How many parts are entered and joints have a state: without any, nothing follows from a list that is empty."""
    return len(list(entries)) + sum(bool(state.state) for state in states.values())


def safety_joints(joints: JointMap) -> list[str]:
    """The joints that are marked safety."""
    return [key for key, joint in joints.joints.items() if joint.safety]


def to_buy(items: Iterable[Item]) -> list[Item]:
    """What is not ordered yet: threaded parts by thread first, then the rest."""
    return sorted((i for i in items if i.state == "wanted"), key=lambda i: (not i.thread, i.thread, i.what))


def on_order(items: Iterable[Item]) -> list[Item]:
    """What is ordered and not fitted, oldest first."""
    return sorted((i for i in items if i.state == "ordered"), key=lambda i: i.since)


def counter_list(items: Iterable[Item]) -> Rows:
    """A box to tick, quantity, part, thread, length, class, joint, since, why."""
    return [
        (
            "□",
            i.quantity or "as fitted",
            i.what,
            i.thread,
            i.length,
            i.strength,
            i.joint.replace("_", " "),
            i.since,
            i.why,
        )
        for i in items
    ]


def confusable(items: Iterable[Item]) -> Rows:
    """Threads on the list, and those that they may be taken for at a counter."""
    rows: Rows = []
    for thread in dict.fromkeys(i.thread for i in items if i.thread):
        try:
            others = look_alikes(thread).texts("notes")
        except (FormulaError, QuantityError) as error:
            rows.append((thread, f"cannot be looked up: {error}"))
            continue
        rows.append((thread, "; ".join(others) or "none of the usual ones"))
    return rows


def next_steps(buy: Sequence[Item], ordered: Sequence[Item], known: int, safety: Sequence[str] = ()) -> list[Step]:
    """What to do next. `known`: how many parts and joint states the record holds; `safety`: joints that are marked so."""
    if not known:
        return [not_known("parts.nothing", (
            "No part and no joint is entered yet, so the record cannot say what is wanted. Enter parts as wanted, and joints as "
            "they come apart."
        ))]  # fmt: skip
    if not buy and not ordered:
        says = "Nothing is wanted, nothing is on order, and no opened joint waits for one-use parts."
        return [settled("parts.none", says)]
    steps = []
    if buy:
        says = "To buy: {names}. Enter each as ordered when it is, so that it leaves this list."
        steps.append(to_do("parts.buy", says, names=_names(buy)))
    if vague := [i for i in buy if i.vague]:
        says = "Take the old part along, or measure it: length or class is not stated for {names}."
        steps.append(to_do("parts.vague", says, names=_names(vague)))
    if uncounted := [i for i in buy if not i.quantity]:
        says = "Count before you go, since the plan does not say how many: {names}."
        steps.append(to_do("parts.count", says, names=_names(uncounted)))
    if ordered:
        says = "On order: {names}, the oldest since {since} ({oldest}). Ask after it if that is long."
        first = ordered[0]
        steps.append(to_do("parts.ordered", says, names=_names(ordered), since=first.since, oldest=first.what))
    if waiting := sorted({i.joint for i in (*buy, *ordered) if i.joint}):
        says = "Until these parts are here, do not close up for good: {joints}."
        grave = any(joint in safety for joint in waiting)
        steps.append(to_do("parts.joints", says, safety=grave, joints=[joint.replace("_", " ") for joint in waiting]))
    return steps


def _names(items: Sequence[Item]) -> str:
    """What they are, each once."""
    return listed(list(dict.fromkeys(item.what for item in items)), most=8)


def _same(a: str, b: str) -> bool:
    """Whether two names mean the same part: the words of one are all in the other."""
    one, two = _words(a), _words(b)
    return one <= two or two <= one


def _words(text: str) -> set[str]:
    return {w.removesuffix("s") for w in text.casefold().replace(",", " ").split()}
