from __future__ import annotations

import networkx
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.blocks import blocks, circle

pairs = st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=14)


def test_a_triangle_with_a_tail():
    """The three sides lie on one circle, the tail on none."""
    edges = [("a", "b"), ("b", "c"), ("c", "a"), ("c", "d")]
    assert blocks(edges) == ((0, 1, 2), (3,))
    assert set(circle(edges)) == {"a", "b", "c"}


def test_two_cables_between_the_same_two():
    """They make a circle of two."""
    assert blocks([("a", "b"), ("a", "b")]) == ((0, 1),)
    assert set(circle([("a", "b"), ("a", "b")])) == {"a", "b"}
    assert circle([("a", "b"), ("b", "c")]) == ()


def test_a_long_chain():
    """A chain of ten thousand is no circle, and does not exhaust the stack."""
    edges = [(at, at + 1) for at in range(10_000)]
    assert len(blocks(edges)) == 10_000
    assert circle(edges) == ()
    assert blocks([*edges, (10_000, 0)]) == (tuple(range(10_001)),)


@given(pairs)
@settings(deadline=None, max_examples=300)
def test_blocks_against_a_library(edges):
    """Each set is a biconnected component, parallel edges with each other."""
    graph = networkx.Graph((one, other) for one, other in edges if one != other)
    expected = []
    for component in networkx.biconnected_component_edges(graph):
        those = {frozenset(edge) for edge in component}
        expected.append(
            tuple(n for n, edge in enumerate(edges) if frozenset(edge) in those and len(set(edge)) == 2)
        )
    assert blocks(edges) == tuple(sorted(expected))


@given(pairs)
@settings(deadline=None, max_examples=300)
def test_a_circle_is_one(edges):
    """What is given is a closed way without a vertex twice; nothing is given only where there is none."""
    found = circle(edges)
    plain = [edge for edge in edges if edge[0] != edge[1]]
    graph = networkx.MultiGraph(plain)
    has = any(len(each) > 1 for each in blocks(edges))
    assert bool(found) == has
    assert len(set(found)) == len(found)
    for one, other in zip(found, (*found[1:], *found[:1]), strict=True):
        assert graph.has_edge(one, other)
    if len(found) == 2:
        assert graph.number_of_edges(*found) >= 2
