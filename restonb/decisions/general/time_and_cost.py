"""Hours and money, from what was entered: for the owner alone, unless they ask for more."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from restonb.decisions.steps import Step, settled, to_do
from restonb.record import Entry
from restonb.stated import Build
from restonb.words import counted, listed

__all__ = ["CLOSING", "Cost", "by", "costs", "hours", "lines", "next_steps", "to_file", "totals"]

CLOSING = "Every line that was entered has its hours or its cost."

Rows: TypeAlias = list[tuple[str, ...]]

RANK = {"wanted": 0, "ordered": 1, "fitted": 2}


@dataclass(frozen=True, slots=True)
class Cost:
    """One purchase or one job: counted once, however often it was entered. `amount` None: no cost was entered."""

    what: str
    kind: str
    on: str
    area: str
    amount: float | None = None
    currency: str = ""
    hours: float = 0.0


def costs(entries: Iterable[Entry], build: Build) -> list[Cost]:
    """Every purchase and every job, in the order of their first entry.

    A part that is wanted, then ordered, then fitted is one purchase, at the cost entered last; the same part
    ordered or fitted again after that is another. A job sent, returned and accepted is one job, at the highest cost
    entered for it: what a second round costs is entered as the new total. Hours are added up.
    """
    found: list[Cost] = []
    purchases: dict[tuple[str | None, ...], tuple[int, int]] = {}
    jobs: dict[tuple[str | None, ...], int] = {}
    for entry in entries:
        b = entry.body
        if entry.kind == "part":
            key = tuple(b[k] for k in ("what", "thread", "length", "class", "joint"))
            at, rank = purchases.get(key, (-1, 9))
            new = RANK[b["state"]] <= rank
            purchases[key] = (len(found) if new else at, RANK[b["state"]])
            cost = _cost(entry, build, "part")
            if new:
                found.append(cost)
            elif cost.amount is not None:
                found[at] = cost
        elif entry.kind == "work":
            key = tuple(b[k] for k in ("what", "where", "sheet", "joint"))
            cost = _cost(entry, build, "work done outside" if b["where"] or b["state"] else "own work")
            if b["state"] and key in jobs:
                found[jobs[key]] = _together(found[jobs[key]], cost)
            else:
                if b["state"]:
                    jobs[key] = len(found)
                found.append(cost)
    return found


def _cost(entry: Entry, build: Build, kind: str) -> Cost:
    b = entry.body
    joint, sheet = b.get("joint"), b.get("sheet")
    area = build.joints.joints[joint].subsystem if joint in build.joints.joints else ""
    rows = list(build.specs.sheet(sheet)) if sheet in build.specs.sheets else []
    return Cost(
        b["what"], kind, entry.at[:10], area or (rows[0].subsystem if rows else "") or "the rest",
        None if b["cost"] is None else float(b["cost"]), b["currency"], float(b.get("hours") or 0),
    )  # fmt: skip


def _together(old: Cost, new: Cost) -> Cost:
    highest = max((c for c in (old, new) if c.amount is not None), key=lambda c: c.amount or 0.0, default=old)
    return Cost(old.what, old.kind, old.on, old.area, highest.amount, highest.currency, old.hours + new.hours)


def hours(found: Iterable[Cost]) -> float:
    """Hours entered."""
    return sum(c.hours for c in found)


def totals(found: Iterable[Cost]) -> dict[str, float]:
    """Currency -> money spent. Currencies are never added to each other."""
    spent: dict[str, float] = {}
    for c in found:
        if c.amount is not None:
            name = c.currency or "no currency stated"
            spent[name] = spent.get(name, 0.0) + c.amount
    return spent


def by(found: Iterable[Cost], field: str) -> Rows:
    """Hours and money grouped by 'area', 'kind' or 'month', in the order of the names; the sum at the end."""
    groups: dict[str, list[Cost]] = {}
    for c in found:
        groups.setdefault(c.on[:7] if field == "month" else getattr(c, field), []).append(c)
    rows: Rows = [(name, _hours(groups[name]), _money(groups[name])) for name in sorted(groups)]
    everything = [c for group in groups.values() for c in group]
    return [*rows, ("together", _hours(everything), _money(everything))] if len(rows) > 1 else rows


def lines(found: Iterable[Cost]) -> Rows:
    """Date, what, kind, area, hours, cost: one row each."""
    return [(c.on, c.what, c.kind, c.area, _hours([c]), _money([c]) or "no cost entered") for c in found
            if c.amount is not None or c.hours or c.kind != "own work"]  # fmt: skip


def to_file(found: Iterable[Cost], asked: bool) -> list[tuple[str, float, str, str]]:
    """What goes into the record: name, value, unit, what; nothing unless it was asked for."""
    if not asked:
        return []
    found = list(found)
    money = [
        (f"spent_{name}".replace(" ", "_"), amount, "1", f"spent, {name}") for name, amount in totals(found).items()
    ]
    return [("hours", hours(found), "h", "hours entered"), *money] if found else []


def next_steps(found: Iterable[Cost], asked: bool) -> list[Step]:
    """What to do next. It names no sum: this is filed, and may be handed over."""
    found = list(found)
    if not found:
        says = "No work and no part is entered yet: enter hours with the work, and costs with parts and work."
        return [to_do("costs.none", says)]
    steps = []
    for finding, lines_of, says in (
        ("costs.bare", [c for c in found if c.kind != "own work" and c.amount is None], "No cost is entered for {lines}: {names}."),
        ("costs.idle", [c for c in found if c.kind == "own work" and not c.hours], "No hours are entered for {lines} of own work: {names}."),
        ("costs.currency", [c for c in found if c.amount and not c.currency],
         "No currency is entered for {lines}, so they are listed separately: {names}."),
    ):  # fmt: skip
        if lines_of:
            names = listed(list(dict.fromkeys(c.what for c in lines_of)), most=6)
            steps.append(to_do(finding, says, lines=counted(len(lines_of), "line"), names=names))
    if asked:
        return [*steps, settled("costs.filed", "Hours and money are filed in the record, as was asked.")]
    says = (
        "Hours and money are on this page of your log only: none of it is filed, and a hand-over leaves the page out."
    )
    return [*steps, settled("costs.private", says)]


def _hours(found: Iterable[Cost]) -> str:
    told = sum(c.hours for c in found)
    return f"{told:g} h" if told else ""


def _money(found: Iterable[Cost]) -> str:
    spent: Mapping[str, float] = totals(found)
    return " + ".join(f"{amount:.2f} {name}" for name, amount in sorted(spent.items()))
