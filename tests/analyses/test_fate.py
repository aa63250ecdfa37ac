from falsework.analyses.fate import fate
from falsework.analyses.verdicts import Verdict, lose
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.support.standing import Standing

LAB = """\
falsework: 1
lab: Two
power:
  strip: {is: strip}
machines:
  a: {is: node, fed by: strip}
  b: {is: node}
services:
  mail: {on: [a, b], takes over: 40 s}
"""


def lost(*parts):
    """These parts lost."""
    return lose(Standing(build(read_text(LAB, "lab.yaml"))), parts)


def test_of_a_service_it_is_the_effect_of_the_loss():
    """A failover blinks, as the loss itself says."""
    loss = lost("a")
    assert fate(loss, "mail") == loss.of("mail")
    assert fate(loss, "mail").verdict is Verdict.BLINKS


def test_a_machine_falls_with_its_strip_and_its_neighbour_stands():
    """Any other thing stands or falls."""
    loss = lost("strip")
    assert (fate(loss, "a").verdict, fate(loss, "a").falls_s) == (Verdict.FALLS, 0.0)
    assert fate(loss, "b").verdict is Verdict.STANDS


def test_a_lost_part_falls():
    """The part itself is among what falls."""
    assert fate(lost("b"), "b").verdict is Verdict.FALLS
