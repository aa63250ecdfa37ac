from __future__ import annotations

from itertools import combinations

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of

from falsework.support.carriers import Wires
from falsework.support.open_ways import tree
from falsework.support.settled_wire import Interrupted, SettledWire
from falsework.support.wire import networks

RING = """
falsework: 1
lab: A ring
machines:
  n1..3: {is: node, ports: {a: 1 Gb/s}}
  s1..3: {is: switch, ports: 8 x 1 Gb/s, loops cut by: HOW}
wire:
  cables: [n1 -- s1, n2 -- s2, n3 -- s3, s1.1 -- s2.1, s2.2 -- s3.2, s3.1 -- s1.2]
"""


def wired(text):
    """The wire of a lab, calm."""
    lab = lab_of(text)
    return SettledWire(lab, Wires(lab, networks(lab)), lambda name: True)


@pytest.mark.parametrize(("how", "seconds"), [("spanning tree", 50.0), ("rapid spanning tree", 6.0)])
def test_a_ring_waits_for_its_tree(how, seconds):
    """The root is s1: its cable to s2 is open, s2 to s3 waits; losing an open one takes as long as the tree does."""
    wire = wired(RING.replace("HOW", how))
    lost = Interrupted(wire, "s1.1 -- s2.1")
    assert lost.between("n1", "n2") == seconds
    assert lost.between("n1", "n3") == 0.0
    assert lost.touched() == {"n2"}
    assert not Interrupted(wire, "s2.2 -- s3.2").touched()


def test_the_root_takes_the_others_with_it():
    """Without s1 the two others find each other over the cable that waited."""
    lost = Interrupted(wired(RING.replace("HOW", "rapid spanning tree")), "s1")
    assert lost.between("n2", "n3") == 6.0


def test_what_a_switch_says_goes_first():
    """`settles in` of a switch on the circle, the slowest of them."""
    text = RING.replace("HOW", "spanning tree, settles in: 2 s")
    assert Interrupted(wired(text), "s1.1 -- s2.1").between("n1", "n2") == 2.0


PAIR = """
falsework: 1
lab: A group
machines:
  n1..2: {is: node, ports: {a..b: 1 Gb/s}}
  s1..2: {is: switch, ports: 8 x 1 Gb/s}
wire:
  cables:
    - {run: n1.a..b -- s1.1..2, group: pair, notices in: 5 s}
    - n2.a -- s2.1
    - {run: s1.7..8 -- s2.7..8, group: trunk}
"""


def test_a_group_leaves_out_what_it_lost():
    """A cable of a machine's group as it says; one of a trunk after three messages of one second."""
    wire = wired(PAIR)
    assert Interrupted(wire, "n1.a -- s1.1").between("n1", "n2") == 5.0
    assert Interrupted(wire, "s1.7 -- s2.7").between("n1", "n2") == 3.0
    assert Interrupted(wire, "s1.7 -- s2.7").touched()


@st.composite
def fabrics(draw):
    """Up to five switches with a machine each, joined at random."""
    count = draw(st.integers(2, 5))
    pairs = [pair for pair in combinations(range(1, count + 1), 2) if draw(st.booleans())]
    lines = [f"n{each} -- s{each}" for each in range(1, count + 1)]
    lines += [f"s{one}.p{other} -- s{other}.p{one}" for one, other in pairs]
    ports = ", ".join(f"p{each}: 1 Gb/s" for each in range(1, count + 1))
    text = (
        f"falsework: 1\nlab: x\nmachines:\n  n1..{count}: {{is: node, ports: {{a: 1 Gb/s}}}}\n"
        f"  s1..{count}: {{is: switch, ports: {{q: 1 Gb/s, {ports}}}, settles in: 6 s}}\nwire:\n  cables: [{', '.join(lines)}]\n"
    )
    return count, text


@given(fabrics(), st.data())
@settings(deadline=None, max_examples=120)
def test_only_ways_that_change_are_interrupted(case, data):
    """Two machines wait exactly where their way along the tree is not the same before and after."""
    count, text = case
    wire = wired(text)
    (name,) = wire.calm
    calm = wire.calm[name].wired
    lost = data.draw(
        st.sampled_from(
            [f"s{each}" for each in range(1, count + 1)] + [c for t in calm.trunks for c in t.cables]
        )
    )
    gap = Interrupted(wire, lost)
    before, after = (
        networkx.Graph((at, up[0], {"by": up[1].name}) for at, up in found.above.items())
        for found in (tree(calm, lambda each: True), tree(calm, lambda each: each != lost))
    )
    for one, other in combinations(range(1, count + 1), 2):
        if lost in (f"s{one}", f"s{other}"):
            continue
        ways = []
        for graph in (before, after):
            graph.add_nodes_from([f"s{one}", f"s{other}"])
            there = networkx.has_path(graph, f"s{one}", f"s{other}")
            ways.append(networkx.shortest_path(graph, f"s{one}", f"s{other}") if there else None)
        if ways[1] is None:
            continue
        if ways[0] == ways[1]:
            assert gap.between(f"n{one}", f"n{other}") == 0.0
        else:
            assert gap.between(f"n{one}", f"n{other}") == 6.0
            assert gap.touched() & {f"n{one}", f"n{other}"}
