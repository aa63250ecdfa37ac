from __future__ import annotations

from pathlib import Path

from tests.strategies import lab_of

from falsework.analyses.cold_start import cold_start
from falsework.analyses.loops import loops
from falsework.analyses.raising.early import early
from falsework.analyses.raising.result import Moment
from falsework.analyses.raising.whole import raised
from falsework.model.build import load
from falsework.support.standing import Standing

HOLDS = Path(__file__).parents[2] / "labs" / "traps" / "false-2-loop-cut" / "one.yaml"

KNOT = """
falsework: 1
lab: Each for the other
machines: {a: node, b: node, c: node}
services:
  one: {on: a, needs: {to run: [two]}}
  two: {on: b, needs: {to run: [one]}}
  three: {on: c, needs: {to run: [one]}}
"""


def order(standing):
    """What is raised from nothing."""
    return raised(standing, from_nothing=True)


def test_what_does_without_for_a_while_is_made_before_what_needs_it():
    """A hold is no wait: where a cold start succeeds, an order is found and no loop is told."""
    standing = Standing(load(HOLDS))
    found = order(standing)
    assert cold_start(standing).whole
    assert not found.plan.stuck
    assert not loops(standing).stops
    assert all(not each.missing for each in found.fragile)


def test_of_two_that_need_each_other_one_comes_first_and_that_is_no_fault():
    """Things that need each other every moment are made one after the other, and nothing is said to be broken."""
    found = order(Standing(lab_of(KNOT)))
    assert not found.plan.stuck
    assert all(not each.missing for each in found.fragile)


def test_what_could_have_come_later_is_not_excused():
    """Made before what it needs, without being needed by it: that is a fault of the order."""
    standing = Standing(lab_of(KNOT))
    moment = Moment(
        step=1, built=frozenset({"a", "b", "c", "three", "three.1"}), lent=frozenset(), serving={}
    )
    assert early(standing, moment, ("three", "three.1")) == frozenset()


def test_what_waits_for_an_excused_thing_is_excused():
    """Its only fault is that of what it needs."""
    standing = Standing(lab_of(KNOT))
    built = frozenset({"a", "b", "c", "one", "one.1", "three", "three.1"})
    moment = Moment(step=1, built=built, lent=frozenset(), serving={})
    lacks = ("one", "one.1", "three", "three.1")
    assert early(standing, moment, lacks) == frozenset(lacks)
