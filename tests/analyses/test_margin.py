from itertools import combinations
from pathlib import Path

import pytest

from falsework.analyses.margin import margin, margins_left
from falsework.analyses.verdicts import Verdict, lose
from falsework.lab.read import read_text
from falsework.model.build import build, load
from falsework.support.standing import Standing

ROOT = Path(__file__).parents[2]
ALONE = """\
falsework: 1
lab: Four
machines:
  a..c: {is: node}
  d: {is: node, fed by: strip}
power:
  strip: {is: strip}
services:
  one: d
  two: [a, b]
  three: [a, b, c]
  most: {on: [a, b, c], serves: majority}
"""


def four(*out):
    """Four machines, three of which lean on nothing."""
    return Standing(build(read_text(ALONE, "lab.yaml")), out=out)


@pytest.mark.parametrize(
    ("thing", "least", "singles", "pairs"),
    [
        ("one", 1, ("strip", "d", "d.supply-1"), ()),
        ("two", 2, (), (("a", "b"),)),
        ("three", None, (), ()),
        ("most", 2, (), (("a", "b"), ("a", "c"), ("b", "c"))),
        ("d", 1, ("strip", "d.supply-1"), ()),
    ],
)
def test_margins_that_one_sees_at_a_glance(thing, least, singles, pairs):
    """One machine, two, three, a majority, and a machine itself, whose own loss is not counted."""
    found = margin(four(), thing)
    assert (found.least, found.singles) == (least, singles)
    assert found.n_pairs == len(pairs)
    assert set(found.pairs) <= set(pairs)


def test_what_does_not_stand_has_no_margin():
    """With all its machines out a service has margin 0, and no part brings it down."""
    found = margin(four("a", "b"), "two")
    assert (found.least, found.singles, found.pairs) == (0, (), ())


def test_a_margin_agrees_with_losing_every_part_and_pair():
    """On the kitchen shelf, for each service: the same singles, and as many pairs, as by trying them all."""
    standing = Standing(load(ROOT / "examples" / "kitchen-shelf.yaml"))
    for service in standing.support.services:

        def falls(*parts, service=service):
            return lose(standing, parts, thin=False).of(service).verdict >= Verdict.FALLS

        singles = {part for part in standing.parts if falls(part)}
        rest = [part for part in standing.parts if part not in singles]
        found = margin(standing, service)
        assert set(found.singles) == singles
        assert found.n_pairs == sum(falls(*pair) for pair in combinations(rest, 2))
        assert all(falls(*pair) for pair in found.pairs)


def test_after_a_loss_only_new_single_points_are_told():
    """With one of two gone the other is a single point; what was one before is not told again."""
    left = {each.thing: each.singles for each in margins_left(four(), ("a",))}
    assert left == {"two": ("b",), "most": ("b", "c")}


def test_a_service_that_fell_has_no_margin_left():
    """What the loss brings down is left out."""
    assert "two" not in {each.thing for each in margins_left(four(), ("a", "b"))}
