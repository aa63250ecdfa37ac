from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.wire.loops import loops
from falsework.support.carriers import Wires
from falsework.support.wire import networks

RING = """
falsework: 1
lab: A ring
machines:
  s1: {is: switch, ports: 8, loops cut by: ONE}
  s2..3: {is: switch, ports: 8, loops cut by: REST}
wire:
  cables: [s1 -- s2, s2 -- s3, s3 -- s1]
"""


def of(text):
    """The circles of a lab."""
    lab = lab_of(text)
    return loops(lab, Wires(lab, networks(lab)))


@pytest.mark.parametrize(
    ("one", "rest", "uncut", "unsaid"),
    [
        ("nothing", "nothing", True, ()),
        ("nothing", "rapid spanning tree", False, ()),
        ("rapid spanning tree", "nothing", False, ()),
        ("spanning tree", "rapid spanning tree", False, ()),
    ],
)
def test_a_ring(one, rest, uncut, unsaid):
    """It is uncut only where none of its switches cuts it."""
    (loop,) = of(RING.replace("ONE", one).replace("REST", rest))
    assert set(loop.ring) == {"s1", "s2", "s3"}
    assert bool(loop.uncut) == uncut
    assert loop.unsaid == unsaid


def test_nobody_says():
    """Switches that do not say are told, and no circle is called uncut for it."""
    (loop,) = of(
        RING.replace(", loops cut by: ONE", "").replace("loops cut by: REST", "loops cut by: nothing")
    )
    assert loop.unsaid == ("s1",)
    assert not loop.uncut


def test_two_cables_without_a_group_are_a_circle():
    """Cables of one group are one way, two cables by themselves are a circle."""
    text = "falsework: 1\nlab: x\nmachines: {s1..2: {is: switch, ports: 4, loops cut by: nothing}}\nwire: {cables: [CABLES]}\n"
    (loop,) = of(text.replace("CABLES", "s1.1..2 -- s2.1..2"))
    assert set(loop.uncut) == {"s1", "s2"}
    assert not of(text.replace("CABLES", "{run: s1.1..2 -- s2.1..2, group: t}"))


def test_a_tree_has_none():
    """Three switches in a row."""
    assert not of(RING.replace(", s3 -- s1", "").replace("ONE", "nothing").replace("REST", "nothing"))


def test_a_circle_of_which_no_network_has_all():
    """A message goes round only where one network spans the whole circle."""
    text = (
        RING.replace("ONE", "nothing").replace("REST", "nothing")
        + "  networks: {a: {over: [s1, s2]}, b: {over: [s2, s3]}}\n"
    )
    assert not of(text)
