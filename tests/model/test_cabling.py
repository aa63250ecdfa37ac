"""Cables: which port each is plugged into."""

import pytest
from tests.model.texts import lab_of, told

GBIT = 1e9
HEAD = """machines:
  n-1..3: {is: node, ports: {a..b: 1 Gb/s}}
  sw-1..3: {is: switch, ports: 4}
  desk: node
  hub: switch
wire:
  cables:
"""


def cables(*lines):
    """The ends of each cable, as `machine.port machine.port`."""
    lab = lab_of(HEAD + "".join(f"    - {line}\n" for line in lines))
    return [
        " ".join(f"{machine}.{port}" for machine, port in each.ends)
        for each in lab.things.values()
        if each.IS == "cable"
    ]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (["n-1.a -- sw-1.2"], ["n-1.a sw-1.2"]),
        (["n-1.a -- sw-1"], ["n-1.a sw-1.1"]),
        (["n-* -- sw-1"], ["n-1.a sw-1.1", "n-2.a sw-1.2", "n-3.a sw-1.3"]),
        (["n-*.b -- sw-1"], ["n-1.b sw-1.1", "n-2.b sw-1.2", "n-3.b sw-1.3"]),
        (["n-1..2.a..b -- sw-1"], ["n-1.a sw-1.1", "n-1.b sw-1.2", "n-2.a sw-1.3", "n-2.b sw-1.4"]),
        (["n-1.* -- sw-1"], ["n-1.a sw-1.1", "n-1.b sw-1.2"]),
        (["sw-1 -- n-1..2.a"], ["sw-1.1 n-1.a", "sw-1.2 n-2.a"]),
        (["n-1..3.a -- sw-#"], ["n-1.a sw-1.1", "n-2.a sw-2.1", "n-3.a sw-3.1"]),
        (["n-1..3.a -- sw-#.4"], ["n-1.a sw-1.4", "n-2.a sw-2.4", "n-3.a sw-3.4"]),
        (["sw-1..2.4 -- sw-2..3.3"], ["sw-1.4 sw-2.3", "sw-2.4 sw-3.3"]),
        (["desk -- hub", "desk -- hub"], ["desk.1 hub.1", "desk.2 hub.2"]),
        (["desk.eth0 -- hub.up"], ["desk.eth0 hub.up"]),
    ],
)
def test_ends_are_paired(lines, expected):
    """As many on both sides are paired in order; one machine without a port takes them all."""
    assert cables(*lines) == expected


def test_a_port_that_a_later_line_names_is_not_given_away():
    """The next free port is never one that is named further down."""
    assert cables("n-1..2.a -- sw-1", "n-3.a -- sw-1.1") == ["n-1.a sw-1.2", "n-2.a sw-1.3", "n-3.a sw-1.1"]


def test_a_cable_in_the_long_form_keeps_what_it_says():
    """Group, speed, length and colour of a line are those of each of its cables."""
    text = HEAD + "    - {run: n-1..2.a -- sw-1, group: g, speed: 100 Mb/s, length: 2 m, colour: red}\n"
    made = [each for each in lab_of(text).things.values() if each.IS == "cable"]
    assert [(each.group, each.speed, each.length, each.colour) for each in made] == [
        ("g", 0.1 * GBIT, 2.0, "red")
    ] * 2


def test_a_cable_is_called_by_its_ends():
    """A cable's name is both its ends, as the file would write them."""
    assert "n-1.a -- sw-1.1" in lab_of(HEAD + "    - n-1 -- sw-1").things


def test_ports_that_nobody_declared_are_those_in_use():
    """A machine that did not say what ports it has gets those that cables use."""
    lab = lab_of(HEAD + "    - desk -- hub\n    - desk.m -- hub.9")
    assert [*lab.things["desk"].ports] == ["1", "m"]
    assert [*lab.things["hub"].ports] == ["1", "9"]
    assert [*lab.things["n-1"].ports] == ["a", "b"]


@pytest.mark.parametrize(
    ("lines", "messages"),
    [
        (
            ["n-1.a -- sw-1.1", "n-1.a -- sw-1.2"],
            [
                "lab.yaml:10:7 (wire.cables): port n-1.a is used twice, first at lab.yaml:9:7."
                " Give each cable a port of its own."
            ],
        ),
        (
            ["n-1.a"],
            ["lab.yaml:9:7 (wire.cables): 'n-1.a' does not have two ends. Write it as in desk-*.a -- sw-1."],
        ),
        (
            ["n-1.* -- sw-1", "n-2.* -- sw-1", "n-3 -- sw-1"],
            [
                "lab.yaml:11:7 (wire.cables): sw-1 has 4 ports, and all are taken."
                " Give it more ports, or plug this cable in elsewhere."
            ],
        ),
        (["n-1.c -- sw-1"], ["lab.yaml:9:7 (wire.cables): n-1 has no port 'c'. Its ports: a, b."]),
        (
            ["n-4.a -- sw-1"],
            [
                "lab.yaml:9:7 (wire.cables): no node or switch is called 'n-4.a'."
                " Known: n-1, n-2, n-3, sw-1, sw-2, sw-3, desk, hub."
            ],
        ),
        (
            ["n-1..2.a -- sw-1..3.1"],
            [
                "lab.yaml:9:7 (wire.cables): 'n-1..2.a' means 2 ports and 'sw-1..3.1' means 3."
                " Name as many on both sides, or one machine without a port on one side."
            ],
        ),
        (
            ["n-1.a -- n-1.b"],
            ["lab.yaml:9:7 (wire.cables): this cable joins n-1 with itself. Name two machines."],
        ),
        (
            ["n-1.a -- sw-#"],
            [
                "lab.yaml:9:7 (wire.cables): # stands for counter 1 of the name, which has none."
                " Count on the left side too, as in twin-1..3.a -- sw-#."
            ],
        ),
        (
            ["n-3..1.a -- sw-1"],
            ["lab.yaml:9:7 (wire.cables): the range 3..1 runs backwards. Write a range as in desk-1..4."],
        ),
        (
            ["{run: n-1 -- sw-1, colr: red}"],
            ["lab.yaml:9:26 (wire.cables[0]): no key is called 'colr' here. Did you mean 'colour'?"],
        ),
    ],
)
def test_cables_without_sense_are_told(lines, messages):
    """Each fault of a cable has one whole message at its line."""
    assert told(HEAD + "".join(f"    - {line}\n" for line in lines)) == messages
