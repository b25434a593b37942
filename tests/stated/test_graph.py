"""What rests on what, as a graph: held against networkx on random graphs."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.stated import _graph

NODES = [f"j{i}" for i in range(9)]
Graph = dict[str, tuple[str, ...]]


@st.composite
def graphs(draw: st.DrawFn) -> Graph:
    """Every name with some others below it; loops, and names below itself, are allowed."""
    nodes = NODES[: draw(st.integers(1, len(NODES)))]
    return {n: tuple(draw(st.lists(st.sampled_from(nodes), max_size=3, unique=True))) for n in nodes}


@st.composite
def sound(draw: st.DrawFn) -> Graph:
    """A graph without loops: each name rests only on names that come after it in some order."""
    nodes = draw(st.permutations(NODES))
    return {
        n: tuple(draw(st.lists(st.sampled_from(nodes[i + 1 :]), max_size=3, unique=True))) if nodes[i + 1 :] else ()
        for i, n in enumerate(nodes)
    }


def as_networkx(graph: Graph) -> nx.DiGraph[str]:
    other: nx.DiGraph[str] = nx.DiGraph()
    other.add_nodes_from(graph)
    other.add_edges_from((a, b) for a, below in graph.items() for b in below)
    return other


@settings(deadline=None)
@given(graphs())
def test_a_loop_is_found_where_there_is_one_and_only_there(graph: Graph) -> None:
    found = _graph.loops(graph)
    assert bool(found) is not nx.is_directed_acyclic_graph(as_networkx(graph))


@settings(deadline=None)
@given(graphs())
def test_one_real_loop_for_each_tangle(graph: Graph) -> None:
    other = as_networkx(graph)
    tangles = [t for t in nx.strongly_connected_components(other) if len(t) > 1 or other.has_edge(*list(t) * 2)]
    found = _graph.loops(graph)
    for loop in found:
        assert len(set(loop)) == len(loop)
        assert all(b in graph[a] for a, b in zip(loop, (*loop[1:], loop[0]), strict=True))
    assert sorted(next(i for i, t in enumerate(tangles) if loop[0] in t) for loop in found) == list(range(len(tangles)))


@settings(deadline=None)
@given(graphs(), st.sampled_from(NODES))
def test_reach_and_shortest_chains(graph: Graph, start: str) -> None:
    if start not in graph:
        return
    other = as_networkx(graph)
    found = _graph.chains(graph, [start])
    assert set(found) == nx.descendants(other, start) | {start}
    for name, chain in found.items():
        assert (chain[0], chain[-1]) == (start, name)
        assert all(b in graph[a] for a, b in pairwise(chain))
        assert len(chain) - 1 == nx.shortest_path_length(other, start, name)


@settings(deadline=None)
@given(sound())
def test_order_puts_what_carries_first(graph: Graph) -> None:
    order = _graph.order(graph)
    assert sorted(order) == sorted(graph)
    assert all(order.index(b) < order.index(a) for a, below in graph.items() for b in below)


@settings(deadline=None)
@given(graphs())
def test_order_leaves_out_just_what_leads_into_a_loop(graph: Graph) -> None:
    other = as_networkx(graph)
    tangled = {n for t in nx.strongly_connected_components(other) for n in t if len(t) > 1 or other.has_edge(n, n)}
    stuck = tangled | {n for n in graph if nx.descendants(other, n) & tangled}
    assert set(_graph.order(graph)) == set(graph) - stuck


@settings(deadline=None)
@given(graphs())
def test_turned_twice_is_the_same(graph: Graph) -> None:
    back = _graph.turned(_graph.turned(graph))
    assert {n: set(below) for n, below in back.items()} == {n: set(below) for n, below in graph.items()}


@pytest.mark.parametrize("length", [1, 2, 300])
def test_a_long_ring_is_one_loop(length: int) -> None:
    ring = {str(i): (str((i + 1) % length),) for i in range(length)}
    assert _graph.loops(ring) == [tuple(str(i) for i in range(length))]
