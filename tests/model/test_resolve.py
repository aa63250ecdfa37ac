"""References: what they mean, and what is said when they mean nothing."""

import pytest
from tests.model.texts import lab_of

from falsework.errors import LimitError
from falsework.model import resolve
from falsework.model.resolve import Excused, NoSuch, Resolver


@pytest.fixture
def resolver():
    """A resolver over a few things."""
    text = """
        kinds: {sled: {is: node, ports: {a..b: 1 Gb/s, m: 1 Gb/s}}, twin: {is: enclosure, holds: {a..b: sled}}}
        power: {A: {is: strip}, B: {is: strip}}
        machines: {twin-1..2: twin, desk-1..3: {is: node}, desk: {is: node}, hub: switch}
        """
    return Resolver(lab_of(text).things)


@pytest.mark.parametrize(
    ("reference", "of", "ids"),
    [
        ("desk-2", (), ("desk-2",)),
        ("desk-1..2", ("node",), ("desk-1", "desk-2")),
        ("desk-*", ("node",), ("desk-1", "desk-2", "desk-3")),
        ("desk*", ("node",), ("desk-1", "desk-2", "desk-3")),
        ("twin-*", (), ("twin-1", "twin-2")),
        ("twin-*.a", ("node",), ("twin-1.a", "twin-2.a")),
        ("twin-1..2.*", ("node",), ("twin-1.a", "twin-1.b", "twin-2.a", "twin-2.b")),
        ("*", ("strip",), ("A", "B")),
    ],
)
def test_a_reference_means_things_in_lab_order(resolver, reference, of, ids):
    """Names, ranges and patterns; a star stays within one dotted piece and stands for something."""
    assert resolver.match(reference, of) == ids


@pytest.mark.parametrize(
    ("reference", "of", "what", "mend"),
    [
        ("desk-4", ("node",), "no node is called 'desk-4'", "did you mean 'desk-3'?"),
        ("desk-1..4", ("node",), "no node is called 'desk-4'", "did you mean 'desk-3'?"),
        ("C", ("strip",), "no strip is called 'C'", "known: A, B"),
        ("hub", ("node",), "no node is called 'hub'", "it is a switch, and a node is wanted here"),
        ("x*", ("strip", "ups"), "no strip or ups is called 'x*'", "known: A, B"),
        ("zzz", ("pool",), "no pool is called 'zzz'", "the lab has no pool yet; add one"),
        ("desk-3..1", ("node",), "the range 3..1 runs backwards", "write a range as in desk-1..4"),
    ],
)
def test_a_reference_to_nothing_says_what_was_likely_meant(resolver, reference, of, what, mend):
    """The nearest known name, else what it is instead, else what there is."""
    with pytest.raises(NoSuch) as caught:
        resolver.match(reference, of)
    assert (caught.value.what, caught.value.mend) == (what, mend)
    assert not isinstance(caught.value, Excused)


def test_a_word_stands_for_all_of_a_kind(resolver):
    """A word such as switch is every switch."""
    assert resolver.word("switch") == ("hub",)
    assert len(resolver.word("node")) == 8


def test_ports_by_machine_and_name(resolver):
    """A port is named behind its machine; a machine without declared ports has any."""
    assert resolver.ports("twin-1.*.a") == (("twin-1.a", "a"), ("twin-1.b", "a"))
    assert resolver.ports("twin-1.a.*") == (("twin-1.a", "a"), ("twin-1.a", "b"), ("twin-1.a", "m"))
    assert resolver.ports("desk-1.eth7") == (("desk-1", "eth7"),)


@pytest.mark.parametrize(
    ("reference", "what"),
    [
        ("twin-1.a.z", "twin-1.a has no port 'z'"),
        ("port", "no node or switch is called 'port'"),
        ("nobody.a", "no node or switch is called 'nobody'"),
    ],
)
def test_ports_that_are_not_there(resolver, reference, what):
    """Either the machine or its port is missing, and the message says which."""
    with pytest.raises(NoSuch) as caught:
        resolver.ports(reference)
    assert caught.value.what == what


@pytest.mark.parametrize("reference", ["old", "old.d1", "row-7", "row-*", "row-7.a", "o*"])
def test_references_to_what_could_not_be_read_are_excused(resolver, reference):
    """A thing that another fault took away is not missed a second time."""
    with pytest.raises(Excused):
        Resolver(resolver.things, ["old", "row-1..9"]).match(reference)


@pytest.mark.parametrize("reference", ["older", "ro", "x-1"])
def test_other_references_are_not_excused(resolver, reference):
    """An unread entry excuses only names like its own."""
    with pytest.raises(NoSuch) as caught:
        Resolver(resolver.things, ["old", "row-1..9"]).match(reference)
    assert not isinstance(caught.value, Excused)


def test_references_do_not_cost_without_bound(resolver, monkeypatch):
    """Many references that each mean much meet a bound."""
    monkeypatch.setattr(resolve, "MOST_LOOKED_AT", 100)
    for more in range(10):
        resolver.find(f"desk-1..{more + 2}")
    with pytest.raises(LimitError, match="more than 100 names"):
        resolver.find("desk-1..100")
