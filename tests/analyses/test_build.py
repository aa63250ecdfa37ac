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
    assert built(LAB).stuck == ("n1", "n2", "images", "names", "pages")


def test_without_a_circle_nothing_is_stuck():
    """Where nothing is needed to build, everything can be built from nothing."""
    free = "machines: {n1..2: {is: node}}"
    assert built(LAB.replace("machines: {n1..2: {is: node, needs: {to build: [images]}}}", free)).stuck == ()


def test_a_stand_in_opens_the_circle():
    """With something to install from at first, all of it can be built."""
    assert built(LAB + "stand-ins: {laptop: {for: images}}\n").stuck == ()


def test_two_circles_take_two_stand_ins():
    """Where each of two circles needs a stand-in of its own, one leaves something stuck and both leave nothing."""
    text = LAB.replace("names: {on: n2}", "names: {on: n2, needs: {to build: [pages]}}")
    assert built(text + "stand-ins: {laptop: {for: images}}\n").stuck
    assert built(text + "stand-ins: {laptop: {for: images}, paper: {for: names}}\n").stuck == ()


def test_a_stand_in_that_needs_what_it_helps_to_build_is_no_help():
    """A stand-in is there only once what it needs stands."""
    text = LAB + "stand-ins: {laptop: {for: images, needs: {to build: [pages]}}}\n"
    assert built(text).stuck == ("n1", "n2", "images", "names", "pages")
