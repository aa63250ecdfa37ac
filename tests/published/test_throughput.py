"""How much flows and what is cut, against a general graph library on real networks."""

from __future__ import annotations

import random
from itertools import combinations, pairwise

import networkx as nx
import pytest
from tests.engines.flow.nets import check_flow
from tests.published.graphs import ABSENT, OPEN_DATA
from tests.published.test_reach import FILES, edges_of

from falsework.engines.flow.largest import disjoint, largest
from falsework.engines.flow.net import Link, Net
from falsework.engines.flow.widest import widest

pytestmark = pytest.mark.slow

SMALL, SAMPLED = 45, 60
"""Every pair of networks with so many vertices at most; of larger ones so many pairs."""


def net_of(path):
    """The links of a network, which carry 1, 2, 5 or 10, in turn: the data set knows only where they are."""
    return Net(
        links=tuple(
            Link(name=f"{number}", one=one, other=other, carries=(1, 10, 2, 5)[number % 4])
            for number, (one, other) in enumerate(edges_of(path))
        )
    )


def pairs_of(net):
    """All pairs, or a sample of them."""
    every = list(combinations(sorted(net.vertices), 2))
    if len(net.vertices) <= SMALL:
        return every
    return random.Random(len(every)).sample(every, SAMPLED)


def plain(net):
    """The same for the graph library, which wants parallel links added up."""
    graph = nx.Graph()
    for link in net.links:
        sofar = graph.get_edge_data(link.one, link.other, {"capacity": 0, "links": 0})
        graph.add_edge(
            link.one, link.other, capacity=sofar["capacity"] + link.carries, links=sofar["links"] + 1
        )
    return graph


def test_there_are_networks_wherever_the_data_are():
    """The folder of published networks, where it is, is not empty."""
    assert bool(FILES) == (OPEN_DATA / "networks" / "zoo").is_dir()


@pytest.mark.skipif(not FILES, reason=ABSENT)
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_flows_and_cuts_are_those_of_the_graph_library(path):
    """The largest flow, the smallest cut, and the number of ways without a common link are those of networkx.

    Data: Knight and others, The Internet Topology Zoo (2011), doi 10.1109/JSAC.2011.111002, CC BY 4.0.
    """
    net = net_of(path)
    graph = plain(net)
    tree = nx.gomory_hu_tree(graph)
    for one, other in pairs_of(net):
        found = largest(net, one, other)
        check_flow(net, one, other, found)
        way = nx.shortest_path(tree, one, other)
        assert found.value == min(tree[a][b]["weight"] for a, b in pairwise(way))
        if len(net.vertices) <= SMALL // 2:
            assert found.value == nx.minimum_cut_value(graph, one, other)
        assert disjoint(net, one, other) == nx.maximum_flow_value(graph, one, other, capacity="links")


@pytest.mark.skipif(not FILES, reason=ABSENT)
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_ways_apart_and_the_widest_are_those_of_the_graph_library(path):
    """Ways without a common vertex are as many as networkx finds; the widest is that of its widest spanning tree."""
    net = net_of(path)
    graph = plain(net)
    thick = nx.Graph()
    for link in sorted(net.links, key=lambda link: link.carries):
        thick.add_edge(link.one, link.other, width=link.carries)  # of parallel links the widest stays
    tree = nx.maximum_spanning_tree(thick, weight="width")
    for one, other in pairs_of(net)[:SAMPLED]:
        way = nx.shortest_path(tree, one, other) if nx.has_path(tree, one, other) else []
        width = min((tree[a][b]["width"] for a, b in pairwise(way)), default=0)
        assert widest(net, one, other)[0] == width
        if not graph.has_edge(
            one, other
        ):  # the graph library does not count parallel links between neighbours
            assert disjoint(net, one, other, vertices=True) == nx.node_connectivity(graph, one, other)
