from __future__ import annotations

from pathlib import Path

import pytest
from tests.strategies import lab_of

from falsework.analyses.wire.managed import SOMEBODY, managed
from falsework.model.build import load
from falsework.support.standing import Standing

ROOT = Path(__file__).parents[3]
TRAPS = ROOT / "tests" / "labs" / "traps" / "10-way-to-the-controllers"


def trap(name):
    """What is told of one of the labs of trap 10."""
    return managed(Standing(load(TRAPS / f"{name}.yaml")))


def lost_with(found, part):
    """The controllers that are out of reach when a part is lost."""
    return {each for after in found.after if part in after.lost for each in after.controllers}


@pytest.mark.parametrize(
    ("name", "part", "hidden", "at_start"),
    [
        ("base", "h1", {"h1.controller", "h2.controller"}, True),
        ("one", "twin", {"keep.controller"}, False),
        ("two", "h1", {"h1.controller", "h2.controller"}, True),
    ],
)
def test_the_traps(name, part, hidden, at_start):
    """Trap 10: the router on the machine itself, two routers in one box, names that the router needs."""
    found = trap(name)
    assert lost_with(found, part) == hidden
    assert bool(found.at_start) == at_start
    assert not found.never


def test_a_router_of_its_own_is_no_alarm():
    """Any host may go, and the controllers answer; at a cold start too."""
    found = trap("three")
    assert not lost_with(found, "h1")
    assert not lost_with(found, "h2")
    assert not found.at_start


def test_it_says_why():
    """The router that passes traffic on, and what it waits for."""
    found = trap("two")
    first = next(each for each in found.after if "h1" in each.lost)
    assert "router passes traffic on to care" in first.why[0]
    assert "names" in first.why[0]


def test_who_looks_where_nobody_says():
    """Somebody plugged in where users sit; a controller without a cable is told."""
    text = """
falsework: 1
lab: x
machines:
  h1..2: {is: node, ports: {a: 1 Gb/s, c: 1 Gb/s}, controller: c}
  s1: {is: switch, ports: 8}
wire:
  cables: [h1.a -- s1, h1.c -- s1, h2.a -- s1]
"""
    found = managed(Standing(lab_of(text)))
    assert found.viewers == (SOMEBODY,)
    assert found.viewed_from == ("s1",)
    assert found.unplugged == ("h2.controller",)
    assert [(each.lost, each.controllers) for each in found.after] == [(("s1",), ("h1.controller",))]


def test_never_reached():
    """A care network that nothing joins with the house: no loss is needed."""
    text = (
        (TRAPS / "three.yaml")
        .read_text()
        .replace("router: {on: gate, joins: [house, care]}", "router: {on: gate}")
    )
    found = managed(Standing(lab_of(text)))
    assert found.never == ("h1.controller", "h2.controller")


def test_the_way_in_of_the_observatory():
    """Both gates have a foot in the care network: only its switch, and what feeds that, hides the controllers."""
    found = managed(Standing(load(ROOT / "examples" / "observatory" / "mended.yaml")))
    assert found.viewers == ("way in",)
    assert not found.at_start
    assert {part for each in found.after for part in each.lost} >= {"care-sw"}
    assert not any(part.startswith(("twin", "gate")) for each in found.after for part in each.lost)
