"""What bridges leave open is a tree of cheapest ways to the root, and a way along it goes nowhere twice."""

from __future__ import annotations

from itertools import combinations

import networkx as nx
from hypothesis import given, settings
from tests.strategies import lab_of
from tests.wires import plain, wires

from falsework.support.carriers import Wires
from falsework.support.open_ways import COST_OVER, OpenWays, tree
from falsework.support.standing import Standing


def wired_of(text):
    """The lab and its wires."""
    standing = Standing(lab_of(text))
    return standing, Wires(standing.lab, standing.support.networks)


def graph_of(wired, stands):
    """The switches that stand, with what it costs to get from one to the next."""
    graph = nx.Graph()
    graph.add_nodes_from(switch for switch in wired.switches if stands(switch))
    for trunk in wired.trunks:
        carries = sum(trunk.live(stands))
        if carries and all(end in graph for end in trunk.ends):
            cost = -(-COST_OVER // carries)
            known = graph.get_edge_data(*trunk.ends, {"cost": cost})["cost"]
            graph.add_edge(*trunk.ends, cost=min(cost, known))
    return graph


@given(wires())
@settings(max_examples=60)
def test_each_switch_keeps_a_cheapest_way_to_its_root(text):
    """With nothing lost, and with each part lost: costs are those of Dijkstra, pieces those that hang together."""
    standing, known = wired_of(text)
    house = known.networks["house"]
    for lost in ((), *((part,) for part in standing.parts)):
        (view,) = standing.views([lost])
        found, graph = tree(house, view.back), graph_of(house, view.back)
        pieces = {frozenset(piece) for piece in nx.connected_components(graph)}
        assert pieces == {
            frozenset(switch for switch, root in found.piece.items() if root == first)
            for first in found.roots
        }
        assert len(found.above) == len(graph) - len(pieces)
        for root in found.roots:
            costs = nx.single_source_dijkstra_path_length(graph, root, weight="cost")
            for switch in costs:
                paid, at = 0, switch
                while at != root:
                    at, carrier = found.above[at]
                    paid += -(-COST_OVER // sum(carrier.live(view.back)))
                assert paid == costs[switch]


@given(wires())
@settings(max_examples=40)
def test_a_way_hangs_together_and_passes_nothing_twice(text):
    """Each step begins where the last one ended, over cables that are open, and comes by no switch again."""
    standing, known = wired_of(text)
    stands = standing.baseline.back
    open_ = OpenWays(known, stands)
    for name, wired in known.networks.items():
        allowed = open_.tree(name).cables
        for one, other in combinations(sorted(wired.plugs), 2):
            way = open_.way(name, one, other)
            if way is None:
                continue
            at = one
            for step in way.steps:
                at = step.carrier.across(at)
                assert at == step.into
            assert at == other
            assert len(set(way.switches)) == len(way.switches)
            for step in way.steps[1:-1]:
                assert set(step.carrier.cables) <= allowed


def test_the_wider_way_is_kept_though_it_is_longer():
    """Two steps of 10 Gb/s cost 4,000, one of 1 Gb/s 20,000: the short narrow cable waits."""
    ports = {"1..4": "1 Gb/s", "u1..2": "10 Gb/s"}
    machines = {f"s-{at}": {"is": "switch", "ports": ports} for at in (1, 2, 3)} | {"n": {"is": "node"}}
    cables = ["s-1.1 -- s-3.1", "s-1.u1 -- s-2.u1", "s-2.u2 -- s-3.u1", "n -- s-1.2"]
    data = {
        "falsework": 1,
        "lab": "l",
        "machines": machines,
        "wire": {"cables": cables, "networks": {"house": {"over": ["s-1", "s-2", "s-3"]}}},
    }
    standing, known = wired_of(plain(data))
    found = tree(known.networks["house"], standing.baseline.back)
    assert found.roots == ("s-2",)  # twice 10 Gb/s to others
    assert found.cables == {"s-1.u1 -- s-2.u1", "s-2.u2 -- s-3.u1"}
    assert tree(known.networks["house"], standing.baseline.back, root="s-1").above["s-3"][0] == "s-2"
