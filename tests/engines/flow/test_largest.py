"""The largest flow between two vertices is what the smallest cut carries."""

from __future__ import annotations

import networkx as nx
import pytest
from hypothesis import given, settings
from tests.engines.flow.nets import check_flow, joined, nets, smallest_cut, subsets

from falsework.engines.flow.largest import UNBOUNDED, disjoint, largest
from falsework.engines.flow.net import Link, Net


def net_of(*links, **more):
    """A net from `(one, other, carries)`; links are called a, b, c ..."""
    named = tuple(
        Link(name="abcdefghij"[number], one=one, other=other, carries=carries)
        for number, (one, other, carries) in enumerate(links)
    )
    return Net(links=named, **more)


BRIDGE = net_of(("s", "x", 3), ("s", "y", 2), ("x", "y", 1), ("x", "t", 2), ("y", "t", 3))


def test_the_bridge_by_hand():
    """Two over x, three over y of which one crosses: five, and what leaves the source is full."""
    found = largest(BRIDGE, "s", "t")
    assert found.value == 5
    assert dict(found.along) == {"a": 3, "b": 2, "c": 1, "d": 2, "e": 3}
    assert found.cut in (("a", "b"), ("d", "e"))


def test_a_vertex_that_passes_less_is_the_cut():
    """Between two wide links a vertex that passes 4 is all that is full."""
    found = largest(net_of(("s", "x", 9), ("x", "t", 9), passes={"x": 4}), "s", "t")
    assert (found.value, found.cut) == (4, ("x",))


def test_a_vertex_at_an_end_passes_no_more_there():
    """What begins at a vertex counts against what it passes."""
    assert largest(net_of(("s", "t", 9), passes={"s": 4}), "s", "t").value == 4
    assert largest(net_of(("s", "t", 9), passes={"t": 5}), "s", "t").value == 5


def test_nothing_goes_through_an_end():
    """A vertex that passes nothing on is no way, but can be asked about."""
    net = net_of(("s", "x", 9), ("x", "t", 9), ends=frozenset("x"))
    assert largest(net, "s", "t").value == 0
    assert largest(net, "s", "x").value == 9


def test_who_has_no_link_gets_nothing():
    """A vertex that no link names is cut off, with an empty cut to prove it."""
    assert largest(BRIDGE, "s", "nowhere") == largest(BRIDGE, "nowhere", "s")
    assert largest(BRIDGE, "s", "nowhere").value == 0


def test_bad_questions_are_refused():
    """One end twice, and numbers that do not add up in 64 bits."""
    with pytest.raises(ValueError, match="two different ends"):
        largest(BRIDGE, "s", "s")
    with pytest.raises(ValueError, match="64 bits"):
        largest(net_of(("s", "t", UNBOUNDED)), "s", "t")


def test_ten_terabit_links_do_not_overflow():
    """A thousand links of 10 Tb/s, in bit/s, are added up exactly."""
    wide = Net(
        links=tuple(Link(name=str(number), one="s", other="t", carries=10**13) for number in range(1000))
    )
    assert largest(wide, "s", "t").value == 10**16


@given(nets())
@settings(max_examples=150)
def test_no_set_of_links_and_vertices_that_parts_them_carries_less(net):
    """The flow adds up, its cut carries as much, and brute force over all cuts finds no smaller."""
    found = largest(net, "0", "1")
    check_flow(net, "0", "1", found)
    assert found.value == smallest_cut(net, "0", "1")


@given(nets())
@settings(max_examples=60)
def test_losing_a_link_or_a_vertex_never_adds(net):
    """Each link and each vertex lost leaves as much or less, and as much where the flow did not use it."""
    found = largest(net, "0", "1")
    used = set(found.along)
    for link in net.links:
        less = largest(net.without([link.name]), "0", "1").value
        assert less <= found.value
        assert less == found.value or link.name in used
    for vertex in set(net.vertices) - {"0", "1"}:
        assert largest(net.without([vertex]), "0", "1").value <= found.value


@given(nets(passes=False))
@settings(max_examples=60)
def test_it_is_the_same_both_ways(net):
    """What flows there flows back."""
    assert largest(net, "0", "1").value == largest(net, "1", "0").value


@given(nets(passes=False))
@settings(max_examples=100)
def test_ways_apart_are_as_many_as_must_be_cut(net):
    """Menger: as many ways without a common link as the fewest links that part the ends; likewise vertices."""
    live = [link.name for link in net.links if link.carries]
    cuts = [len(cut) for cut in subsets(live) if not joined(net, "0", "1", frozenset(cut))]
    assert disjoint(net, "0", "1") == min(cuts)
    inner = [vertex for vertex in net.vertices if vertex not in ("0", "1")]
    straight = [link.name for link in net.links if link.carries and {link.one, link.other} == {"0", "1"}]
    rest = net.without(straight)
    cuts = [len(cut) for cut in subsets(inner) if not joined(rest, "0", "1", frozenset(cut))]
    assert disjoint(net, "0", "1", vertices=True) == min(cuts) + len(straight)


@given(nets(most=9, passes=False))
@settings(max_examples=100)
def test_a_graph_library_finds_as_much(net):
    """Networkx agrees, parallel links added up."""
    graph = nx.Graph()
    graph.add_nodes_from(("0", "1"))
    for link in net.links:
        if not {link.one, link.other} & (net.ends - {"0", "1"}):
            sofar = graph.get_edge_data(link.one, link.other, {"capacity": 0})["capacity"]
            graph.add_edge(link.one, link.other, capacity=sofar + link.carries)
    assert largest(net, "0", "1").value == nx.maximum_flow_value(graph, "0", "1")
