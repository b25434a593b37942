"""Directed graphs as plain dicts (name -> names it points to): reach, order and loops."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping, Sequence

__all__ = ["chains", "loops", "order", "turned"]

Graph = Mapping[str, Sequence[str]]


def chains(graph: Graph, start: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Everything that can be reached from `start`, each with a shortest chain that leads to it."""
    found: dict[str, tuple[str, ...]] = {name: (name,) for name in start}
    queue = deque(found)
    while queue:
        name = queue.popleft()
        for below in graph.get(name, ()):
            if below not in found:
                found[below] = (*found[name], below)
                queue.append(below)
    return found


def turned(graph: Graph) -> dict[str, tuple[str, ...]]:
    """The same graph with every arrow the other way round."""
    back: dict[str, list[str]] = {name: [] for name in graph}
    for name, below in graph.items():
        for other in below:
            back.setdefault(other, []).append(name)
    return {name: tuple(above) for name, above in back.items()}


def order(graph: Graph) -> tuple[str, ...]:
    """All names, each after everything that it points to; ties stay in the order given.

    Names on a loop, or that lead to one, cannot be placed and are left out.
    """
    nodes = list(dict.fromkeys([*graph, *(o for below in graph.values() for o in below)]))
    waits = {name: len(set(graph.get(name, ()))) for name in nodes}
    above = turned({name: tuple(dict.fromkeys(graph.get(name, ()))) for name in nodes})
    placed: list[str] = []
    ready = deque(name for name in nodes if waits[name] == 0)
    while ready:
        name = ready.popleft()
        placed.append(name)
        for other in above[name]:
            waits[other] -= 1
            if waits[other] == 0:
                ready.append(other)
    return tuple(placed)


def loops(graph: Graph) -> list[tuple[str, ...]]:
    """One loop for each tangle of names that lead back to themselves; empty when there is none.

    A loop is given without its first name repeated at the end. Every name that is on any loop is in a
    tangle that is reported, but not necessarily on the loop that stands for it.
    """
    found: list[tuple[str, ...]] = []
    seen: set[str] = set()
    for name in graph:
        if name in seen:
            continue
        back = [chain[name] for other in graph[name] if name in (chain := chains(graph, [other]))]
        if back:
            shortest = min(back, key=len)
            found.append((name, *shortest[:-1]))
            seen |= {other for other in chains(graph, [name]) if name in chains(graph, [other])}
    return found
