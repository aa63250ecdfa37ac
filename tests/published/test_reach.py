"""Who is cut off from whom, against a general graph library on real networks."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from itertools import combinations

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.published.graphs import ABSENT, OPEN_DATA, two_terminal

from falsework.analyses.pairs import all_pairs, singles
from falsework.analyses.verdicts import Verdict

pytestmark = pytest.mark.slow

ZOO = OPEN_DATA / "networks" / "zoo"
FILES = sorted(ZOO.glob("*.graphml")) if ZOO.is_dir() else []
SPACE = "{http://graphml.graphdrawing.org/xmlns}"


def edges_of(path):
    """The links of a network, parallel ones too; a link from a place to itself joins nothing and is left out."""
    root = ElementTree.parse(path).getroot()  # the data set's own files
    found = [(edge.get("source"), edge.get("target")) for edge in root.iter(f"{SPACE}edge")]
    return [(a, b) for a, b in found if a != b]


def cutting(graph, source, target):
    """Every vertex but the ends through which all ways from source to target lead; None where there is no way."""
    if not nx.has_path(graph, source, target):
        return None
    above = nx.immediate_dominators(graph.to_directed(as_view=True), source)
    found, at = set(), target
    while above.get(at, at) not in (source, at, None):
        at = above[at]
        found.add(at)
    return found


def expected(edges, cables, source, target):
    """Single points and pairs by the graph library: each link is made a vertex of its own, so it can be cut too."""
    graph = nx.Graph()
    for (a, b), cable in zip(edges, cables, strict=True):
        graph.add_edges_from([(f"sw-{a}", cable), (cable, f"sw-{b}")])
    ends = (f"sw-{source}", f"sw-{target}")
    alone = cutting(graph, *ends)
    pairs = set()
    for one in set(graph) - alone - set(ends):
        rest = graph.copy()
        rest.remove_node(one)
        pairs.update(frozenset((one, other)) for other in cutting(rest, *ends) - alone)
    return graph, alone, pairs


def check(edges, source, target):
    """Single points, pairs, and the size of the smallest cut agree."""
    wired = two_terminal(edges, source, target)
    together = all_pairs(wired.standing)
    graph, alone, pairs = expected(edges, wired.cables, source, target)
    ends = {f"sw-{source}", f"sw-{target}"}

    found = singles(wired.standing, together)
    row = found.services.index("here")
    falls = {
        part
        for part, verdict in zip(found.parts, found.verdicts[row], strict=True)
        if verdict >= Verdict.FALLS
    }
    own = {part for part in found.parts if part.startswith(("here-node", "there-node"))}
    assert falls == alone | ends | own

    members = {}
    for leaf, number in enumerate(together.found.classes.of_leaf.tolist()):
        members.setdefault(number, []).append(together.parts[leaf])
    left, right = together.found.together(row)
    new = {
        frozenset((one, other))
        for a, b in zip(left.tolist(), right.tolist(), strict=True)
        for one in members[a]
        for other in members[b]
        if one != other
    }
    assert new == pairs
    assert together.only_together[row] == len(pairs)

    thin = {
        part
        for part, verdict in zip(found.parts, found.verdicts[row], strict=True)
        if verdict == Verdict.THIN
    }
    assert thin == {part for pair in pairs for part in pair}

    smallest = nx.node_connectivity(graph, f"sw-{source}", f"sw-{target}")
    assert (1 if alone else 2 if pairs else 3) == min(smallest, 3)


def far_apart(edges):
    """Two vertices as far apart as any, the first such in order of their names."""
    graph = nx.Graph(edges)
    first = max(graph.nodes, key=int)
    return first, max(
        sorted(graph.nodes), key=nx.single_source_shortest_path_length(graph, first).__getitem__
    )


@pytest.mark.skipif(not FILES, reason=ABSENT)
@pytest.mark.parametrize(
    "path",
    [
        pytest.param(
            path,
            id=path.stem,
            marks=pytest.mark.slow if path.stem == "Cogentco" else (),
        )
        for path in FILES
    ],
)
def test_real_networks_are_cut_where_the_graph_library_says(path):
    """Between two far ends of each network of the Topology Zoo, single points and pairs are those of networkx.

    Data: Knight and others, The Internet Topology Zoo (2011), doi 10.1109/JSAC.2011.111002, CC BY 4.0.
    """
    edges = edges_of(path)
    check(edges, *far_apart(edges))


@pytest.mark.skipif(not FILES, reason=ABSENT)
@pytest.mark.parametrize(
    "path", [path for path in FILES if path.stem != "Cogentco"], ids=lambda path: path.stem
)
def test_articulation_points_and_bridges_are_single_points_of_somebody(path):
    """A switch or cable that cuts a network in two, by networkx, cuts two of its neighbours; any other cuts nobody."""
    edges = edges_of(path)
    graph = nx.MultiGraph(edges)
    wired = two_terminal(edges, *far_apart(edges))
    source, target = far_apart(edges)
    simple = nx.Graph(edges)
    lonely = {edge for edge in nx.bridges(simple) if graph.number_of_edges(*edge) == 1}
    views = wired.standing.views([(cable,) for cable in wired.cables])
    for edge, view in zip(edges, views, strict=True):
        bridge = edge in lonely or edge[::-1] in lonely
        rest = simple.copy()
        rest.remove_edge(*edge)
        assert view.back("here") == (not bridge or nx.has_path(rest, source, target))
    cuts = set(nx.articulation_points(simple))
    inner = [vertex for vertex in simple if vertex not in (source, target)]
    for vertex, view in zip(
        inner, wired.standing.views([(f"sw-{vertex}",) for vertex in inner]), strict=True
    ):
        rest = simple.copy()
        rest.remove_node(vertex)
        assert view.back("here") == (vertex not in cuts or nx.has_path(rest, source, target))


@given(st.data())
@settings(max_examples=25)
def test_random_graphs_are_cut_where_the_graph_library_says(data):
    """The same on random connected graphs of up to eight vertices, parallel links among them."""
    count = data.draw(st.integers(2, 8))
    tree = [(str(data.draw(st.integers(0, at - 1))), str(at)) for at in range(1, count)]
    more = data.draw(st.lists(st.sampled_from(list(combinations(map(str, range(count)), 2))), max_size=8))
    check([*tree, *more], "0", str(count - 1))
