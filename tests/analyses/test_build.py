from __future__ import annotations

from tests.strategies import lab_of

from falsework.analyses.build import buildable
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: Who installs the installer?
machines: {n1..2: {is: node, needs: {to build: [images]}}}
services:
  images: {on: n1, needs: {to build: [names]}}
  names: {on: n2}
  pages: {on: n1, needs: [names]}
"""


def built(text):
    """Whether the lab of a text can be built."""
    return buildable(Standing(lab_of(text)))


def test_what_builds_itself_can_not_be_built():
    """The installer runs on what it installs: all of it is stuck, and so is what stands on it."""
    found = built(LAB)
    assert found.without == found.stuck == ("n1", "n2", "images", "names", "pages")
    assert found.stand_ins == ()


def test_without_a_circle_no_stand_in_is_taken():
    """Where everything can be built from nothing, none of the stand-ins that would be accepted is needed."""
    text = LAB.replace(
        "machines: {n1..2: {is: node, needs: {to build: [images]}}}", "machines: {n1..2: {is: node}}"
    )
    found = built(text + "stand-ins: {laptop: {for: images}}\n")
    assert (found.stand_ins, found.stuck, found.without, found.fewest) == ((), (), (), True)


def test_the_fewest_stand_ins_then_the_cheapest():
    """One stand-in is better than two, and of those that do it alone the one that costs least."""
    one = "stand-ins: {laptop: {for: images, costs: 3 h}, stick: {for: images, costs: 1 h}, paper: {for: names, costs: 1 min}}\n"
    found = built(LAB + one)
    assert found.stand_ins == ("stick",)
    assert found.fewest
    assert found.stuck == ()
    assert found.without == ("n1", "n2", "images", "names", "pages")


def test_two_stand_ins_where_one_is_not_enough():
    """With a need to build that nothing in the lab will ever meet before, each circle takes its own."""
    text = LAB.replace("names: {on: n2}", "names: {on: n2, needs: {to build: [pages]}}")
    found = built(text + "stand-ins: {laptop: {for: images}, paper: {for: names}}\n")
    assert found.stand_ins == ("laptop", "paper")
    assert found.fewest


def test_a_stand_in_that_needs_what_it_helps_to_build_is_no_help():
    """A stand-in is there only once what it needs stands."""
    text = LAB + "stand-ins: {laptop: {for: images, needs: {to build: [pages]}}}\n"
    found = built(text)
    assert found.stuck == ("n1", "n2", "images", "names", "pages")
    assert found.stand_ins == ("laptop",)
