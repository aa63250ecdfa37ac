"""What contradicts itself in what services send is told with its place and a mend."""

import pytest
from tests.model.texts import lab_of, told

LAB = """\
lab: l
machines:
  n: {is: node, ports: {a: 1 Gb/s}, drives: {d: {is: drive}}}
  s: {is: switch, ports: 4 x 1 Gb/s}
wire:
  cables: [n.a -- s]
people:
  me: {works: Mon-Fri 09:00-17:00}
services:
  busy: {on: n, sends: [40 Mb/s to n, 3 Mb/s to s]}
"""


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "40 Mb/s",
            "0 Mb/s",
            "busy sends nothing, it says. Give the rate, such as 40 Mb/s, or leave the line out.",
        ),
        ("3 Mb/s to s", "3 Mb/s to me", "busy sends to me, a person, which takes no traffic. Name a service"),
        ("3 Mb/s to s", "3 Mb/s to n.d", "busy sends to n.d, a drive, which takes no traffic."),
        ("3 Mb/s to s", "3 Mb/s to t", "no thing is called 't'."),
    ],
)
def test_a_contradiction_is_told(old, new, message):
    """One fault, at its place, with a mend."""
    assert old in LAB
    (found,) = told(LAB.replace(old, new))
    assert message in found
    assert found.startswith("lab.yaml:10:")


def test_what_makes_sense_is_not_told():
    """To a machine, a switch or itself is no fault."""
    assert lab_of(LAB.replace("3 Mb/s to s", "3 Mb/s to busy")).things
