from __future__ import annotations

from itertools import pairwise

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.ways import reach, shortest_circle, shortest_way

GRAPHS = st.dictionaries(st.integers(0, 6), st.lists(st.integers(0, 6), max_size=4, unique=True), max_size=7)


def lengths(graph):
    """Of each start the length of its shortest circle, by an independent library."""
    other = nx.DiGraph((start, end) for start, ends in graph.items() for end in ends)
    found = {}
    for start in graph:
        ways = [
            1 + nx.shortest_path_length(other, step, start)
            for step in graph[start]
            if nx.has_path(other, step, start)
        ]
        found[start] = min(ways, default=0)
    return found


@given(GRAPHS)
@settings(deadline=None)
def test_a_circle_is_the_shortest_there_is(graph):
    """It follows the steps, ends where it began, and no circle through its start has fewer steps."""
    for start, length in lengths(graph).items():
        circle = shortest_circle(start, lambda at: graph.get(at, ()))
        assert len(circle) == (length + 1 if length else 0)
        assert all(end in graph[at] for at, end in pairwise(circle))
        assert not circle or circle[0] == circle[-1] == start


@given(GRAPHS, st.integers(0, 4))
@settings(deadline=None)
def test_a_longer_one_than_wanted_is_not_told(graph, most):
    """With a bound on its steps there is a circle just where the shortest keeps to it."""
    for start, length in lengths(graph).items():
        circle = shortest_circle(start, lambda at: graph.get(at, ()), most=most)
        assert bool(circle) == (0 < length <= most)


def test_the_first_of_several_ways_is_taken():
    """The order of the steps decides between ways of the same length."""
    steps = {"a": ("b", "c"), "b": ("d",), "c": ("d",)}
    assert shortest_way("a", lambda at: steps.get(at, ()), lambda at: at == "d") == ("a", "b", "d")
    assert shortest_way("d", lambda at: steps.get(at, ()), lambda at: at == "a") == ()


@given(GRAPHS, st.lists(st.integers(0, 6), max_size=3))
@settings(deadline=None)
def test_all_that_is_reached_nearest_first(graph, starts):
    """An independent library reaches the same, and nothing comes before what is nearer."""
    found = reach(starts, lambda at: graph.get(at, ()))
    other = nx.DiGraph((start, end) for start, ends in graph.items() for end in ends)
    other.add_nodes_from(starts)
    far = dict.fromkeys(starts, 0) and nx.multi_source_dijkstra_path_length(other, set(starts))
    assert set(found) == set(far)
    assert len(found) == len(set(found))
    assert [far[at] for at in found] == sorted(far.values())


def test_no_more_is_followed_than_asked_for():
    """What was found when there was enough stays; nothing is followed from it."""
    assert reach([0], lambda at: (2 * at + 1, 2 * at + 2), most=4) == (0, 1, 2, 3, 4)
