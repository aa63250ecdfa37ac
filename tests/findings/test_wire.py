"""What is told of the wire, and what is not?"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.findings.finding import CODES, Level
from falsework.findings.rules.wire import wire
from falsework.model.build import load
from falsework.support.standing import Standing

ROOT = Path(__file__).parents[2]
TRAPS = ROOT / "tests" / "labs" / "traps"


def told(lab):
    """The findings of a lab, by code."""
    found = list(wire(Standing(lab)))
    assert all(each.code in CODES for each in found)
    return {each.code: each for each in found}


RING = """
falsework: 1
lab: x
machines:
  n1..3: {is: node, ports: {a: 1 Gb/s}}
  s1: {is: switch, ports: 8, loops cut by: ONE}
  s2..3: {is: switch, ports: 8, loops cut by: REST}
wire:
  cables: [n1 -- s1, n2 -- s2, n3 -- s3, s1 -- s2, s2 -- s3, s3 -- s1]
services:
  names: n1
  pages: {on: n2, needs: {to run: [names NEED]}}
aims:
  fast: {lose: cable, of: pages, blinks under: 20 s}
"""


def ring(one, rest, need=""):
    """A ring of three."""
    return lab_of(RING.replace("ONE", one).replace("REST", rest).replace("NEED", need))


@pytest.mark.parametrize(
    ("one", "rest", "level"),
    [
        ("nothing", "nothing", Level.BROKEN),
        ("nothing", "rapid spanning tree", Level.REMARK),
        ("rapid spanning tree", "rapid spanning tree", None),
    ],
)
def test_circles(one, rest, level):
    """Nothing cuts it: broken. One switch does not: a remark. All do: nothing is said."""
    found = told(ring(one, rest)).get("circle of switches")
    assert (found.level if found else None) == level


def test_an_aim_that_a_pause_would_break():
    """50 s of a classic spanning tree are more than 20 s; the aim is named, the pause not told twice."""
    found = told(ring("spanning tree", "spanning tree"))["pause on the wire"]
    assert found.says.startswith("fast: lose ")
    assert found.services == ("pages",)


def test_a_pause_that_no_aim_forbids():
    """6 s are within the aim, and more than a need without a hold can bear: one remark for all of it."""
    found = told(ring("rapid spanning tree", "rapid spanning tree"))["pause on the wire"]
    assert "pages pauses though nothing of it falls" in found.says
    assert found.level is Level.REMARK


def test_who_bears_it_is_not_told():
    """With a hold that is long enough nothing is said."""
    assert not told(ring("rapid spanning tree", "rapid spanning tree", "for 1 min"))


def test_one_port_voters():
    """Trap 5: the proof and the mend; the mended one, and one that only needs replugging, say nothing."""
    found = told(load(TRAPS / "05-one-port-voters" / "base.yaml"))["one port is too few"]
    assert found.services == ("state",)
    assert "second port" in found.mend
    assert "one port is too few" not in told(load(TRAPS / "05-one-port-voters" / "one.yaml"))


def test_controllers():
    """Trap 10 and its mended variant."""
    found = [
        each
        for each in wire(Standing(load(TRAPS / "10-way-to-the-controllers" / "base.yaml")))
        if each.code == "controllers out of reach"
    ]
    assert len(found) == 2  # when h1 is lost, and while the machines are off
    assert "lose h1" in found[0].says
    assert not told(load(TRAPS / "10-way-to-the-controllers" / "three.yaml"))


def test_traffic_that_does_not_fit():
    """400 Mb/s over 100 Mb/s is told; what a loss cuts off altogether is left to the verdicts."""
    text = """
falsework: 1
lab: x
machines:
  n1: {is: node, ports: {a: 100 Mb/s}}
  n2: {is: node, ports: {a: 1 Gb/s}}
  s: {is: switch, ports: 4 x 1 Gb/s}
wire: {cables: [n1 -- s, n2 -- s]}
services:
  far: n2
  near: {on: n1, sends: RATE to far}
"""
    assert "traffic does not get through" in told(lab_of(text.replace("RATE", "400 Mb/s")))
    assert not told(lab_of(text.replace("RATE", "40 Mb/s")))


def test_no_port_left():
    """A machine without a cable and a full switch."""
    text = "falsework: 1\nlab: x\nmachines: {n1..3: {is: node, ports: {a: 1 Gb/s}}, s: {is: switch, ports: PORTS}}\nwire: {cables: [n1..2 -- s]}\n"
    assert "no port left" in told(lab_of(text.replace("PORTS", "2")))
    assert not told(lab_of(text.replace("PORTS", "3")))


def test_a_group_of_two_speeds():
    """One cable of a group in a slower port; a group of one speed is no news."""
    text = "falsework: 1\nlab: x\nmachines: {s1..2: {is: switch, ports: {1: 1 Gb/s, 2: SPEED}}}\nwire: {cables: [{run: s1.1..2 -- s2.1..2, group: t}]}\n"
    found = told(lab_of(text.replace("SPEED", "10 Gb/s")))["group of two speeds"]
    assert "1 Gb/s and 10 Gb/s" in found.says
    assert not told(lab_of(text.replace("SPEED", "1 Gb/s")))


def test_what_an_aim_tells_is_not_told_again():
    """A service that an aim forbids to be away so long is left out of the remark on all others."""
    lab = lab_of(
        RING.replace("ONE", "spanning tree")
        .replace("REST", "spanning tree")
        .replace("NEED", "for 20 s")
        .replace("aims:", "  more: {on: n3, needs: {to run: [pages]}}\naims:")
    )
    found = [each for each in wire(Standing(lab)) if each.code == "pause on the wire"]
    assert [each.services for each in found] == [("pages",), ("more",)]


def test_the_mended_observatory_says_nothing():
    """No false alarm on the plan that was mended."""
    assert not told(load(ROOT / "examples" / "observatory" / "mended.yaml"))
