from __future__ import annotations

from itertools import combinations

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.gates import GateBuilder
from falsework.engines.judge import judge
from falsework.lab.read import read
from falsework.model.build import build
from falsework.support.fabric import Fabric
from falsework.support.standing import Standing


@st.composite
def wires(draw):
    """A few switches with cables between them, two between some, and what of it fails."""
    names = [f"s{number}" for number in range(draw(st.integers(1, 7)))]
    ends = st.sampled_from(names)
    edges = [
        (a, b, f"c{number}")
        for number, (a, b) in enumerate(draw(st.lists(st.tuples(ends, ends), max_size=14)))
    ]
    parts = [*names, *(cable for _, _, cable in edges)]
    return names, edges, draw(st.sets(st.sampled_from(parts)))


def gates_of(names, edges):
    """A fabric over leaves, a leaf for each switch and cable."""
    builder = GateBuilder()
    stands = {name: builder.leaf(name) for name in names}
    return builder, Fabric(builder, stands, [(a, b, builder.leaf(cable)) for a, b, cable in edges])


@given(wires())
def test_joined_is_what_a_search_finds(wire):
    """Two switches are joined just when a search over what stands leads from one to the other."""
    names, edges, lost = wire
    builder, fabric = gates_of(names, edges)
    asked = [(one, other) for one in names for other in names]
    graph = builder.freeze([fabric.joined(*each) for each in asked])
    row = {name: number for number, name in enumerate(graph.leaf_names)}
    found = judge(graph, [row[name] for name in lost])
    left = nx.Graph()
    left.add_nodes_from(name for name in names if name not in lost)
    left.add_edges_from((a, b) for a, b, cable in edges if not {a, b, cable} & lost)
    for (one, other), joined in zip(asked, found, strict=True):
        assert joined == (one in left and other in left and nx.has_path(left, one, other)), (one, other)


@pytest.mark.parametrize("leaves", [20, 200])
def test_leaves_under_spines_need_few_gates(leaves):
    """Gates grow with the leaves, not with their square: some 40 for each leaf under three spines, asked from one leaf."""
    names = [*(f"leaf-{number}" for number in range(leaves)), *(f"spine-{number}" for number in range(3))]
    edges = [(f"leaf-{a}", f"spine-{b}", f"{a}-{b}") for a in range(leaves) for b in range(3)]
    builder, fabric = gates_of(names, edges)
    for number in range(leaves):
        fabric.joined("leaf-0", f"leaf-{number}")
    assert len(builder) < 40 * leaves


def test_a_ring_does_not_hold_itself():
    """Of a ring of four switches any one cable may go, two opposite ones part it."""
    names = ["a", "b", "c", "d"]
    edges = [("a", "b", "ab"), ("b", "c", "bc"), ("c", "d", "cd"), ("d", "a", "da")]
    builder, fabric = gates_of(names, edges)
    graph = builder.freeze([fabric.joined("a", "c")])
    row = {name: number for number, name in enumerate(graph.leaf_names)}
    for lost in ("ab", "bc", "cd", "da", "b", "d"):
        assert all(judge(graph, [row[lost]]))
    apart = [
        pair
        for pair in combinations(("ab", "bc", "cd", "da"), 2)
        if not any(judge(graph, [row[each] for each in pair]))
    ]
    assert apart == [("ab", "cd"), ("ab", "da"), ("bc", "cd"), ("bc", "da")]


def test_a_switch_may_lean_on_what_it_carries(tmp_path):
    """A switch that needs a service on the other side of itself is no endless question."""
    path = tmp_path / "lab.yaml"
    path.write_text(
        """\
lab: a switch that asks
power: {c: circuit}
machines:
  desk-1..2: {is: node, fed by: c}
  sw-1: {is: switch, ports: 8, fed by: c, needs: {to run: [names]}}
  sw-2: {is: switch, ports: 8, fed by: c}
wire: {cables: [desk-1 -- sw-1, desk-2 -- sw-2, sw-1 -- sw-2]}
services:
  names: desk-2
  mail: {on: desk-1, needs: [names]}
""",
        encoding="utf-8",
    )
    standing = Standing(build(read(path)))
    assert standing.baseline.up("mail")
    gone = standing.views([("desk-2",)])[0]
    assert [name for name in ("sw-1", "names", "mail") if not gone.up(name)] == ["sw-1", "names", "mail"]
