"""Labs that contradict themselves: each contradiction's whole message."""

import pytest
from tests.model.texts import lab_of, told

from falsework.errors import LabError
from falsework.lab.read import read_text
from falsework.model.build import build

NODES = "machines: {n-1..3: node}\n"
DRIVES = "machines: {n: {is: node, drives: {d1..3: {size: 1 TB}}}}\n"
ANY = "Write single, mirror, parity, double parity, triple parity, 3 copies, or 4+2 pieces."


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (
            "places:\n  a: {is: rack, in: b}\n  b: {is: rack, in: a}",
            [
                "lab.yaml:4:21 (places.b.in): housing runs in a circle: a -> b -> a. Let it end outside the circle."
            ],
        ),
        (
            "places:\n  a: {is: rack, in: a}",
            ["lab.yaml:3:21 (places.a.in): housing runs in a circle: a -> a. Let it end outside the circle."],
        ),
        (
            "power:\n  x: {is: strip, fed by: a}\n  a: {is: strip, fed by: b}\n  b: {is: ups, fed by: a}",
            [
                "lab.yaml:5:24 (power.b.fed by): power runs in a circle: a -> b -> a."
                " Let it end outside the circle."
            ],
        ),
        (
            "machines: {n: node}\nservices:\n  a: {on: n, state in: b}\n  b: {on: n, state in: a}",
            [
                "lab.yaml:5:24 (services.b.state in): state runs in a circle: a -> b -> a."
                " Let it end outside the circle."
            ],
        ),
    ],
)
def test_circles(text, messages):
    """Housing, power and state must end somewhere; each circle is told once."""
    assert told(text) == messages


def test_a_chain_without_end():
    """A chain longer than any room has is told, and looked at no further."""
    chain = "".join(f"  s-{number}: {{is: strip, fed by: s-{number + 1}}}\n" for number in range(1, 150))
    assert told(f"power:\n{chain}  s-150: {{is: strip}}\n") == [
        "lab.yaml:102:30 (power.s-100.fed by): power goes through more than 100 things. Shorten the chain."
    ]


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (
            "power: {c-1..2: {is: circuit}, s: {is: strip, fed by: [c-1, c-2]}}",
            [
                "lab.yaml:2:55 (power.s.fed by): s is fed by 2 things."
                " Name one; what switches over between two feeds is a machine of its own."
            ],
        ),
        (
            "power: {s: {is: strip, outlets: 2}}\nmachines: {n-1..3: {is: node, fed by: s}}",
            [
                "lab.yaml:2:33 (power.s.outlets): s has 2 outlets and 3 plugs in it."
                " Plug something in elsewhere, or correct `outlets`."
            ],
        ),
        (
            "power: {s: {is: strip}}\nmachines: {n: {is: node, fed by: s, enough: 2}}",
            [
                "lab.yaml:3:45 (machines.n.enough): n needs 2 supplies and has 1."
                " Give it more feeds, or lower `enough`."
            ],
        ),
        (
            "power: {u: {is: ups, then cuts: 5 min}}",
            [
                "lab.yaml:2:33 (power.u.then cuts): u never signals, so `then cuts` does nothing."
                " Say when it tells the machines: `signals at: 5 min`."
            ],
        ),
    ],
)
def test_feeds(text, messages):
    """One plug where there is one, outlets and supplies enough."""
    assert told(text) == messages


TWICE = "Give each plug an outlet of its own; what splits an outlet is a strip of its own."


@pytest.mark.parametrize(
    ("machines", "message"),
    [
        (
            "{n: {is: node, fed by: A.3}, hub: {is: switch, fed by: A.03}}",
            "3:66 (machines.hub.fed by): outlet 3 of A has 2 plugs in it: n, hub; the first is at lab.yaml:3:34.",
        ),
        (
            "{n-1..3: {is: node, fed by: A.2}}",
            "3:39 (machines.n-1..3.fed by): outlet 2 of A has 3 plugs in it: n-1, n-2, n-3;"
            " the first is at lab.yaml:3:39.",
        ),
        (
            "{n: {is: node, fed by: [A.1, A.1]}}",
            "3:34 (machines.n.fed by): outlet 1 of A has 2 plugs in it: n (2); the first is at lab.yaml:3:34.",
        ),
    ],
)
def test_an_outlet_used_twice(machines, message):
    """Two plugs in one outlet are told once, with both places and whose they are."""
    assert told(f"power: {{A: {{is: strip}}}}\nmachines: {machines}") == [f"lab.yaml:{message} {TWICE}"]


def test_outlets_used_once():
    """Other numbers, other strips, feeds without a number and two supplies behind one cord are no fault."""
    lab_of(
        "power: {A: {is: strip, outlets: 4}, B: {is: strip, fed by: A.4}}\n"
        "machines: {n: {is: node, fed by: [A.1, B.1]}, m-1..2: {is: node, fed by: B},"
        " o: {is: node, supplies: 2, fed by: A.3}, p-7..8: {is: node, fed by: B.#}}"
    )


@pytest.mark.parametrize(
    ("service", "message"),
    [
        (
            "{on: n-*, serves: at least 4}",
            "33 (services.s.serves): s needs 4 copies and has 3. Give it more copies, or lower `serves`.",
        ),
        (
            "{on: n-*, serves: most}",
            "33 (services.s.serves): 'most' does not say how many copies must serve."
            " Write any, majority, all, or at least 2.",
        ),
        (
            "{on: n-*, reached at: [10.0.0.1, 10.0.0.2]}",
            "37 (services.s.reached at): 2 addresses for 3 copies of s."
            " Give each copy one address, in order, or the service a single one.",
        ),
        (
            "{on: n-*, serves: majority, takes over: 40 s}",
            "55 (services.s.takes over): s needs 2 copies at once, so none is left to take over."
            " Leave `takes over` out, or let it serve with any.",
        ),
        (
            "{on: n-*, needs: [{of: [n-1, n-2], enough: 3}]}",
            "58 (services.s.needs): 3 of 2 things can't be had. Name more, or lower `enough`.",
        ),
        ("{on: n-*, needs: [s]}", "33 (services.s.needs): s needs itself. Name something else."),
        (
            "{on: n-1, reached at: 10.0.0.1, needs: {to run: [{of: [s, n-2], at: 10.0.0.2}]}}",
            "83 (services.s.needs): 10.0.0.2 is no address of s, n-2. Known: 10.0.0.1.",
        ),
        (
            "{on: n-1, needs: [n-2 at 10.0.0.2]}",
            "33 (services.s.needs): 10.0.0.2 is no address of n-2. Give the service `reached at` or `floats`.",
        ),
    ],
)
def test_services(service, message):
    """Copies, addresses and needs that can't be had."""
    assert told(NODES + f"services: {{s: {service}}}") == [f"lab.yaml:3:{message}"]


@pytest.mark.parametrize(
    ("store", "message"),
    [
        ("{drives: n.d1..2, layout: raid}", f"39 (stores.s.layout): 'raid' is no layout. {ANY}"),
        (
            "{drives: n.*, layout: mirror}",
            "22 (stores.s.drives): a mirror is made of pairs, and s has 3 drives. Name one more, or one less.",
        ),
        (
            "{drives: n.*, layout: double parity}",
            "22 (stores.s.drives): 'double parity' needs 4 drives, and s has 3."
            " Give it more drives, or another layout.",
        ),
        (
            "{drives: n.*, layout: 4+2 pieces}",
            "22 (stores.s.drives): '4+2 pieces' needs 6 drives, and s has 3. Give it more drives, or another layout.",
        ),
        (
            "{drives: n.*, layout: parity, spares: 1}",
            "22 (stores.s.drives): 'parity' needs 3 drives, and s has 2. Give it more drives, or another layout.",
        ),
        (
            "{drives: n.*, layout: single, spares: 3}",
            "51 (stores.s.spares): s has 3 drives, and 3 wait as spares. Lower `spares`, or name more drives.",
        ),
        (
            "{drives: n.*}",
            "13 (stores.s): the key 'layout' is missing. Add layout: single, mirror, parity, double parity,"
            " triple parity, 3 copies, or 4+2 pieces.",
        ),
    ],
)
def test_layouts(store, message):
    """Layouts with too few drives, in the wrong number, or with words that are none."""
    assert told(DRIVES + f"stores: {{s: {store}}}") == [f"lab.yaml:3:{message}"]


@pytest.mark.parametrize(
    ("networks", "messages"),
    [
        (
            "a: 10.0.0.0/16, b: 10.0.9.0/24",
            [
                "38 (wire.networks.b.subnet): 10.0.9.0/24 overlaps 10.0.0.0/16, the subnet of a. Cut the two apart."
            ],
        ),
        (
            "a: 10.0.9.0/24, b: 10.0.0.0/16",
            [
                "38 (wire.networks.b.subnet): 10.0.0.0/16 overlaps 10.0.9.0/24, the subnet of a. Cut the two apart."
            ],
        ),
        (
            "a: 10.0.9.0/24, b: 10.0.9.0/24",
            [
                "38 (wire.networks.b.subnet): 10.0.9.0/24 overlaps 10.0.9.0/24, the subnet of a. Cut the two apart."
            ],
        ),
        (
            "a: {subnet: 10.0.0.0/24, pool: .200-.100}",
            [
                "50 (wire.networks.a.pool): the range '.200-.100' runs backwards."
                " Write it as in .100-.199, beside a subnet."
            ],
        ),
        (
            "a: {vlan: 10}",
            [
                "29 (wire.networks.a.vlan): a has a VLAN and the lab has no switch. Add the switch to the section machines."
            ],
        ),
        (
            "a: 10.0.0.1/24",
            [
                "22 (wire.networks.a.subnet): found '10.0.0.1/24': 10.0.0.1/24 has host bits set."
                " Write a subnet such as 10.20.10.0/24."
            ],
        ),
    ],
)
def test_networks(networks, messages):
    """Subnets that overlap or are none, ranges outside, VLANs without a switch."""
    assert told(f"wire: {{networks: {{{networks}}}}}") == [f"lab.yaml:2:{message}" for message in messages]


@pytest.mark.parametrize(
    ("services", "messages"),
    [
        (
            "{s: {on: n-1, reached at: 10.1.0.5}}",
            [
                "37 (services.s.reached at): 10.1.0.5 lies in no subnet of the lab. Known: 10.0.0.0/24, 10.9.0.0/16."
            ],
        ),
        (
            "{s: {on: n-1, reached at: 10.9.1.2, over: house}}",
            ["37 (services.s.reached at): 10.9.1.2 lies in no subnet of its networks. Known: 10.0.0.0/24."],
        ),
        (
            "{s: {on: n-1, floats: 10.1.0.5 in 4 s}}",
            [
                "33 (services.s.floats): 10.1.0.5 lies in no subnet of the lab. Known: 10.0.0.0/24, 10.9.0.0/16."
            ],
        ),
        (
            "{s: {on: n-1, reached at: 10.0.0.5}, t: {on: n-1, floats: 10.0.0.5}}",
            [
                "69 (services.t.floats): 10.0.0.5 is already an address of s."
                " Give one of them another address."
            ],
        ),
        (
            "{s: {on: [n-1, n-2], reached at: [10.0.0.5, 10.0.0.5]}}",
            [
                "44 (services.s.reached at): 10.0.0.5 is already an address of s."
                " Give one of them another address."
            ],
        ),
    ],
)
def test_addresses(services, messages):
    """Each address in a subnet, and nobody else's."""
    text = NODES + "wire: {networks: {house: 10.0.0.0/24, care: 10.9.0.0/16}}\n"
    assert told(f"{text}services: {services}") == [f"lab.yaml:4:{message}" for message in messages]


def test_addresses_of_another_version_are_let_alone():
    """A lab that gives subnets of one version only says nothing about the other."""
    text = NODES + "wire: {networks: {house: 10.0.0.0/24}}\nservices: {s: {on: n-1, reached at: 'fd00::5'}}"
    assert lab_of(text).things["s"].reached_at == ("fd00::5",)


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (
            "machines: {n: {is: node, ports: {a: 1 Gb/s}, cards: {k: [a, b]}}}",
            ["lab.yaml:2:53 (machines.n.cards): n has no port 'b' for its card 'k'. Its ports: a."],
        ),
        (
            "machines: {n: {is: node, controller: m}}",
            [
                "lab.yaml:2:38 (machines.n.controller): n has no port 'm' for its controller. Its ports: none are declared."
            ],
        ),
        (
            "machines: {n: {is: node, ports: {a: 1 Gb/s}}}\nwire: {networks: {care: {ports: [n.a, n.b]}}}",
            ["lab.yaml:3:33 (wire.networks.care.ports): n has no port 'b'. Its ports: a."],
        ),
    ],
)
def test_ports(text, messages):
    """Cards, controllers and networks name ports that are there."""
    assert told(text) == messages


def test_a_contradiction_that_follows_from_another_fault_is_not_told():
    """What could not be read well is left alone by the later checks."""
    text = """
        machines: {n-1..3: node}
        stores: {s: {drives: [n-1.d1, n-1.d2], layout: mirror}}
        services: {a: {on: n-4, serves: at least 2}, b: {on: n-*, copies: many, serves: at least 4}}
        """
    assert [line.partition(" ")[2] for line in told(text)] == [
        "(stores.s.drives): no drive is called 'n-1.d1'. The lab has no drive yet; add one.",
        "(stores.s.drives): no drive is called 'n-1.d2'. The lab has no drive yet; add one.",
        "(services.a.on): no node, pool or enclosure is called 'n-4'. Did you mean 'n-3'?",
        "(services.b.copies): found 'many'. Write a whole number from 1 to 10,000.",
    ]


@pytest.mark.parametrize(
    ("what", "says"),
    [
        ("fails: 0 /year", "box never fails, it says"),
        ("mends in: 0 s", "mending box takes no time, it says"),
        (
            "fails: 2 /year, mends in: 200 days",
            "mending box takes up to 6.57 months, and it fails every 6 months",
        ),
        ("with others: 0 %", "0 % to 0 % is no share"),
        ("with others: 120 %", "120 % to 120 % is no share"),
    ],
)
def test_rates_and_times_that_can_not_be(what, says):
    """A rate of zero, a mend of no time, a mend longer than the life and a share of more than all are faults."""
    text = f"falsework: 1\nlab: x\nmachines:\n  box: {{is: node, {what}}}\n"
    with pytest.raises(LabError) as caught:
        build(read_text(text, "lab.yaml"))
    assert says in str(caught.value)
    assert "lab.yaml:4:" in str(caught.value)


@pytest.mark.parametrize(
    "what", ["fails: 5..2 %/year", "fails: -1 /year", "fails: inf /year", "seen: 2", "seen: 2 in 0 years"]
)
def test_contradicting_and_endless_figures(what):
    """Ranges that run backwards, negative and infinite rates, and counts over no time are faults with a place."""
    text = f"falsework: 1\nlab: x\nmachines:\n  box: {{is: node, {what}}}\n"
    with pytest.raises(LabError) as caught:
        build(read_text(text, "lab.yaml"))
    assert "lab.yaml:4:" in str(caught.value)


def test_nothing_lies_beside_itself():
    """A service that names itself as company is told of `apart`."""
    text = (
        "machines: {n-1..2: node}\npools: {p: n-*}\nservices: {web: {on: p, away from: [web in enclosure]}}"
    )
    assert told(text) == [
        "lab.yaml:4:36 (services.web.away from): 'web' is to be away from itself. "
        "Name other services; `apart` keeps its own copies from each other."
    ]


def test_a_key_is_not_kept_in_what_is_no_thing():
    """A pool or a data set holds no key: the nodes and stores under it do."""
    text = "machines: {n-1: node}\npools: {p: n-1}\nservices: {s: n-1}\nkeys: {k: {kept in: p}}"
    assert "It is a pool" in told(text)[0]
