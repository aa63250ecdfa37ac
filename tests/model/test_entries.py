"""Entries: counted ones, short forms, and what stands inside of others."""

import pytest
from tests.model.texts import lab_of, thing, told

from falsework.model import names


def test_counted_entries_stand_in_order_with_their_counters():
    """A counted entry is each of its things, in order, each knowing its counters."""
    lab = lab_of("machines: {'n-1..2.a..b': {is: node}, m: {is: node}}")
    assert [(name, each.counters) for name, each in lab.things.items()] == [
        ("n-1.a", ("1", "a")),
        ("n-1.b", ("1", "b")),
        ("n-2.a", ("2", "a")),
        ("n-2.b", ("2", "b")),
        ("m", ()),
    ]


def test_held_things_follow_their_holder():
    """Nodes of an enclosure and drives of a node are things of their own, housed by what holds them."""
    text = """
        kinds:
          hd: {is: drive, size: 2 TB}
          sled: {is: node, drives: 2 hd}
          twin: {is: enclosure, holds: {a..b: sled}}
        machines: {t: twin}
        """
    lab = lab_of(text)
    assert [*lab.things] == ["t", "t.a", "t.a.d1", "t.a.d2", "t.b", "t.b.d1", "t.b.d2"]
    assert lab.things["t.b"].in_.ids == ("t",)
    assert lab.things["t.b.d2"].in_.ids == ("t.b",)
    assert lab.things["t.b.d2"].size == 2e12


def test_counted_sleds_are_numbered():
    """`holds: 2 sled` numbers the nodes."""
    text = "kinds: {sled: {is: node}, twin: {is: enclosure, holds: 2 sled}}\nmachines: {t: twin}"
    assert [*lab_of(text).things] == ["t", "t.1", "t.2"]


def test_a_drive_may_say_more_than_its_kind():
    """A drive by name takes over its kind and adds its own words; without a kind it is a drive all the same."""
    text = """
        kinds: {hd: {is: drive, size: 2 TB}}
        machines: {n: {is: node, drives: {d1..d2: hd, d3: {kind: hd, batch: k7}, d4: {size: 1 TB}}}}
        """
    lab = lab_of(text)
    drives = [each for each in lab.things.values() if each.IS == "drive"]
    assert [(each.id, each.size, each.batch) for each in drives] == [
        ("n.d1", 2e12, ""),
        ("n.d2", 2e12, ""),
        ("n.d3", 2e12, "k7"),
        ("n.d4", 1e12, ""),
    ]


def test_an_enclosure_may_hold_drives_and_switches():
    """Drives and switches of an enclosure are parts in it too."""
    text = """
        kinds: {hd: {is: drive}, edge: {is: switch}}
        machines: {shelf: {is: enclosure, drives: 2 hd, holds: {s: edge}}}
        """
    lab = lab_of(text)
    assert [(name, each.IS) for name, each in lab.things.items()] == [
        ("shelf", "enclosure"),
        ("shelf.s", "switch"),
        ("shelf.d1", "drive"),
        ("shelf.d2", "drive"),
    ]


def test_counters_reach_what_is_held():
    """Inside a counted holder # is the holder's counter, and the held name comes after."""
    text = """
        power: {s-1..2: {is: strip}}
        kinds: {sled: {is: node, fed by: s-#}, twin: {is: enclosure, holds: {a: sled}}}
        machines: {t-1..2: twin}
        """
    assert [thing(text, f"t-{number}.a").fed_by.ids for number in (1, 2)] == [("s-1",), ("s-2",)]


@pytest.mark.parametrize(
    ("text", "name", "attribute", "value"),
    [
        ("machines: {n: node}\nservices: {mail: n}", "mail", "on", ("n",)),
        ("machines: {n-1..2: node}\nservices: {mail: [n-1, n-2]}", "mail", "on", ("n-1", "n-2")),
        ("machines: {n-1..2: node}\npools: {p: n-*}", "p", "hosts", ("n-1", "n-2")),
        ("outside: {safe: paper}\nkeys: {k: safe}", "k", "kept_in", ("safe",)),
    ],
)
def test_plain_text_stands_for_the_key_that_matters_most(text, name, attribute, value):
    """An entry written as text or list means the one key that its section is about."""
    assert getattr(thing(text, name), attribute).ids == value


def test_more_short_forms():
    """Networks are short for their subnet, people for their hours."""
    text = "wire: {networks: {house: 10.0.0.0/24}}\npeople: {me: Sat 09:00-17:00}"
    assert thing(text, "house").subnet == "10.0.0.0/24"
    assert thing(text, "me").works == "Sat 09:00-17:00"


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (
            "machines: {n-1..2: node, n-2: node}",
            [
                "lab.yaml:2:26 (machines.n-2): 'n-2' is already the name of a node at lab.yaml:2:20."
                " Give one of them another name."
            ],
        ),
        (
            "machines: {n: node}\nservices: {n: n}",
            [
                "lab.yaml:3:12 (services.n): 'n' is already the name of a node at lab.yaml:2:15."
                " Give one of them another name."
            ],
        ),
        (
            "machines: {'a, b': node}",
            [
                "lab.yaml:2:12 (machines.a, b): 'a, b' can't be a name."
                " Use letters, digits, dashes, dots and blanks; ranges as in desk-1..4."
            ],
        ),
        (
            "machines: {n-3..1: node}",
            [
                "lab.yaml:2:12 (machines.n-3..1): the range 3..1 runs backwards."
                " Write it as in desk-1..4 or sled-a..b."
            ],
        ),
        (
            "machines: {n-1..1000000000: node}\nservices: {mail: {on: n-7}}",
            [
                "lab.yaml:2:12 (machines.n-1..1000000000): the range 1..1000000000 stands for more than"
                " 400,000 things. Shorten the range, or split the lab."
            ],
        ),
        (
            "kinds: {hd: {is: drive}}\nmachines: {n: {is: node, drives: 2 hdd}}",
            ["lab.yaml:3:34 (machines.n.drives): no kind is called 'hdd'. Did you mean 'hd'?"],
        ),
        (
            "kinds: {t: {is: enclosure}, u: {is: enclosure, holds: 2 t}}\nmachines: {n-1..3: u}",
            [
                "lab.yaml:2:55 (kinds.u.holds): an enclosure has no place here."
                " It belongs to the section machines; here stand node, switch."
            ],
        ),
        (
            "kinds: {hd: {is: drive}}\nmachines: {n: {is: node, drives: {d1: {kind: hd, bathc: k}}}}",
            ["lab.yaml:3:50 (machines.n.drives): no key is called 'bathc' here. Did you mean 'batch'?"],
        ),
        (
            "machines: [a, b]",
            [
                "lab.yaml:2:11 (machines): found a list."
                " Write the machines, one a line, each with its name and a colon."
            ],
        ),
    ],
)
def test_entries_without_sense_are_told(text, messages):
    """Each fault of an entry has one whole message."""
    assert told(text) == messages


def test_a_lab_does_not_grow_without_bound(monkeypatch):
    """Ranges that are each fine, and too much together, stop at the entry that is too much."""
    monkeypatch.setattr(names, "MOST", 10)
    assert told("machines:\n  n-1..6: node\n  m-1..4: node\n  k: node") == [
        "lab.yaml:5:3 (machines.k): the lab has more than 10 things."
        " Shorten the ranges, lower the counts, or split the lab."
    ]
    text = "kinds: {hd: {is: drive}}\nmachines: {n-1..6: {is: node, drives: hd}}"
    assert "the lab has more than 10 things" in told(text)[0]


def test_implied_parts_count_too(monkeypatch):
    """Supplies, cables and copies are held to the same bound."""
    monkeypatch.setattr(names, "MOST", 10)
    text = "power: {s: {is: strip}}\nmachines: {n-1..6: {is: node, fed by: s}}"
    assert told(text) == [
        "lab.yaml:3:39: the lab has more than 10 things, supplies, cables and copies included."
        " Shorten the ranges, lower the counts, or split the lab."
    ]
    assert told("machines: {n: node}\nservices: {mail: {on: n, copies: 11}}") == [
        "lab.yaml:3:18 (services.mail): the services have more than 10 copies."
        " Shorten the ranges, lower the counts, or split the lab."
    ]
