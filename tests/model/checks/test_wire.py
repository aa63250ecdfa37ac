"""What contradicts itself in ports and cables is told with its place and a mend."""

import pytest
from tests.model.texts import lab_of, told

LAB = """\
lab: l
machines:
  n: {is: node, ports: {a..b: 1 Gb/s}}
  s: {is: switch, ports: 4 x 1 Gb/s, forwards: 4 Gb/s}
wire:
  cables:
    - {run: n.a -- s, speed: 100 Mb/s, length: 2 m}
"""


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("a..b: 1 Gb/s", "a..b: 0 Gb/s", "port a of n has a speed of nothing. Give its speed"),
        ("4 x 1 Gb/s", "4 x 0 Gb/s", "port 1 of s has a speed of nothing."),
        ("forwards: 4 Gb/s", "forwards: 0 Gb/s", "s passes nothing on, it says."),
        ("speed: 100 Mb/s", "speed: 0 Mb/s", "n.a -- s.1 runs at no speed, it says."),
        ("length: 2 m", "length: 0 m", "n.a -- s.1 has no length, it says."),
        (
            "speed: 100 Mb/s",
            "speed: 10 Gb/s",
            "n.a -- s.1 runs at 10 Gb/s, it says, and its faster port at 1 Gb/s.",
        ),
        ("n.a -- s", "n.a -- n.b", "this cable joins n with itself."),
    ],
)
def test_a_contradiction_is_told(old, new, message):
    """One fault, at its place, with a mend."""
    assert old in LAB
    (found,) = told(LAB.replace(old, new))
    assert message in found
    assert found.startswith("lab.yaml:")


def test_what_is_possible_is_no_fault():
    """A slow cable, a switch that passes on less than its ports, ports of unsaid speed."""
    lab_of(LAB)
    lab_of(LAB.replace("4 x 1 Gb/s", "4"))
