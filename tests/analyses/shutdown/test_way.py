from __future__ import annotations

import pytest
from tests.strategies import lab_of

from falsework.analyses.shutdown import stop
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: A message on its way
outside: {mains: the wall}
power:
  cell:  {is: ups, fed by: mains, runs: {300 W: 30 min}, signals at: 5 min, tells: [n1, n2, nas], SAID}
  small: {is: ups, fed by: mains, runs: {20 W: SMALL}}
machines:
  n1..2: {is: node, fed by: cell, draws: 50 W, stops in: 2 min}
  nas:   {is: node, fed by: cell, draws: 50 W, stops in: 3 min, drives: 2 drive}
  pi:    {is: node, fed by: PI, draws: 5 W, stops in: 30 s}
  top:   {is: switch, fed by: TOP, draws: 10 W}
  leaf:  {is: switch, fed by: LEAF, draws: 10 W}
wire:
  cables: [n1 -- top, n2 -- leaf, nas -- leaf, pi -- top, top -- leaf]
stores:
  disks: {drives: nas.d*, layout: mirror}
services:
  mail: {on: n1, state in: disks, stops in: 4 min}
"""


def sent(said="over: top", *, top="cell", leaf="cell", pi="cell", small="3 min"):
    """The battery that tells, after the cut."""
    text = LAB.replace("SAID", said).replace("TOP", top).replace("LEAF", leaf).replace("PI", pi)
    return stop(Standing(lab_of(text.replace("SMALL", small)))).batteries[0]


def hops(found, to):
    """Over what the message goes to somebody, and for how many minutes each has power."""
    way = next(each for each in found.ways if each.to == to)
    return [(hop.name, hop.until_s / 60) for hop in way.hops]


def test_the_way_is_told_switch_by_switch():
    """From the first switch that is named to the one beside the machine, each with its power."""
    found = sent()
    assert hops(found, "n1") == [("cell", float("inf")), ("top", pytest.approx(30))]
    assert [name for name, _ in hops(found, "nas")] == ["cell", "top", "leaf"]
    assert found.unreached == found.slow == ()


def test_one_dark_switch_on_the_way_is_enough():
    """The machine behind it is not told, the one before it is; what fell is named."""
    found = sent(leaf="mains")
    assert found.unreached == ("n2", "nas")
    assert [hop.name for way in found.ways if not way.arrives for hop in way.falls] == ["leaf", "leaf"]
    assert sent(top="mains").unreached == ("n1", "n2", "nas")
    assert sent(top="small").unreached == (
        "n1",
        "n2",
        "nas",
    )  # its battery lasts 3 min, and the signal is at 5


def test_a_way_that_ends_before_the_last_is_told():
    """Up at 5 min and down at 8: the storage, whose turn is at 9 min, must be told at once or not at all."""
    found = sent(leaf="small", small="8 min")
    assert found.unreached == ()
    assert found.slow == ("nas",)
    assert sent(leaf="small", small="10 min").slow == ()


def test_who_is_wired_to_the_battery_sends_the_message():
    """A box on the wall is dark when it should speak; on the battery it speaks, and may not stop before the last."""
    assert sent("heard by: pi", pi="mains").unreached == ("n1", "n2", "nas")
    found = sent("heard by: pi")
    assert [name for name, _ in hops(found, "nas")] == ["pi", "top", "leaf"]
    assert found.unreached == found.slow == ()
    assert sent("heard by: n2").slow == ("nas",)  # n2 is told itself, and begins to stop at once


def test_who_hears_it_by_its_own_cable_needs_no_wire():
    """The machine that is wired to the battery stops, however dark the switches are."""
    found = sent("heard by: n1", top="mains", leaf="mains")
    assert found.unreached == ("n2", "nas")
    assert hops(found, "n1") == [("n1", pytest.approx(30))]


def test_where_the_wire_does_not_lead_nothing_arrives():
    """Two switches without a cable between them."""
    text = (
        LAB.replace("SAID", "over: top").replace("TOP", "cell").replace("LEAF", "cell").replace("PI", "cell")
    )
    text = text.replace("SMALL", "3 min").replace(", top -- leaf]", "]")
    found = stop(Standing(lab_of(text))).batteries[0]
    assert found.unreached == ("n2", "nas")
    assert not any(way.there for way in found.ways if way.to == "nas")


def test_of_two_ways_the_one_that_stays_up_longer_is_taken():
    """A second cable over a switch on the battery makes the dark one harmless."""
    text = (
        LAB.replace("SAID", "over: [top, side]")
        .replace("TOP", "mains")
        .replace("LEAF", "cell")
        .replace("PI", "cell")
    )
    text = text.replace("SMALL", "3 min").replace(
        "  leaf: ", "  side:  {is: switch, fed by: cell, draws: 1 W}\n  leaf: "
    )
    text = text.replace("n1 -- top,", "n1 -- top, n1 -- side, side -- leaf,")
    found = stop(Standing(lab_of(text))).batteries[0]
    assert found.unreached == ()
    assert [name for name, _ in hops(found, "nas")] == ["cell", "side", "leaf"]


JOINED = """
falsework: 1
lab: Two networks
outside: {mains: the wall}
power:
  cell: {is: ups, fed by: mains, runs: {300 W: 30 min}, signals at: 5 min, tells: [n2], heard by: n1}
machines:
  n1..2: {is: node, fed by: cell, draws: 50 W, stops in: 2 min}
  gate:  {is: node, fed by: GATE, draws: 10 W, ports: 2}
  one:   {is: switch, fed by: cell}
  two:   {is: switch, fed by: cell}
wire:
  cables: [n1 -- one, n2 -- two, gate -- one, gate -- two]
  networks: {front: {over: one}, rear: {over: two}}
services: {router: {on: gate, joins: JOINS}}
"""


def over_the_router(gate="cell", joins="[front, rear]"):
    """The one way of the lab."""
    (way,) = stop(Standing(lab_of(JOINED.replace("GATE", gate).replace("JOINS", joins)))).batteries[0].ways
    return way


def test_from_one_network_to_another_the_message_goes_over_what_joins_them():
    """The router is on the way, and must have power as any switch; without one that joins both there is no way."""
    way = over_the_router()
    assert [hop.name for hop in way.hops] == ["n1", "one", "gate", "two"]
    assert way.arrives
    dark = over_the_router("mains")
    assert not dark.arrives
    assert [hop.name for hop in dark.falls] == ["gate"]
    assert not over_the_router(joins="[front]").there
