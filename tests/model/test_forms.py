"""Forms of several values: references, lists, mappings, things held, ports, runtimes."""

import pytest
from tests.model.texts import node, read, refused

from falsework.errors import FaultList, LimitError
from falsework.model.declare import Say
from falsework.model.forms import (
    Amount,
    Count,
    Holding,
    Keyed,
    Listed,
    Names,
    PortNames,
    Ports,
    Runtimes,
    Text,
)
from falsework.units import Dimension

GBIT = 1e9


def test_references_keep_their_places():
    """Each reference of a list is kept as written, with its own place."""
    refs = read(Names("node"), "[desk-1, desk-*]")
    assert [(text, where.column) for text, where in refs.patterns] == [("desk-1", 5), ("desk-*", 13)]
    assert [text for text, _ in read(Names("node"), "desk-1").patterns] == ["desk-1"]


def test_no_reference_is_a_fault():
    """An empty list names nothing."""
    assert refused(Names("node"), "[]") == [
        "lab.yaml:1:4 (k): found an empty list."
        " Write the name of a node, a pattern such as desk-*, or a list."
    ]


def test_a_list_of_one_needs_no_brackets():
    """A single value stands for a list of one."""
    assert read(Listed(Count(0, 9)), "3") == (3,)
    assert read(Listed(Count(0, 9)), "[3, 4]") == (3, 4)


def test_every_misfit_of_a_list_is_told():
    """What fits is read and each misfit is told with its number in the list."""
    faults = FaultList()
    assert Listed(Count(0, 9)).read(node("[3, x, 4, 10]"), Say(faults, "k")) == (3, 4)
    assert [str(fault) for fault in faults.faults] == [
        "lab.yaml:1:8 (k[1]): found 'x'. Write a whole number from 0 to 9.",
        "lab.yaml:1:14 (k[3]): found '10'. Write a whole number from 0 to 9.",
    ]


def test_counted_keys_share_a_value():
    """A counted name among keys stands for each of its names."""
    assert read(Keyed(Text()), "{a..c: x, d: y}") == {"a": "x", "b": "x", "c": "x", "d": "y"}


def test_a_key_twice_by_counting_is_told():
    """Names that meet through counting are told, since only one could count."""
    faults = FaultList()
    Keyed(Text()).read(node("{a..c: x, b: y}"), Say(faults, "k"))
    assert [str(fault) for fault in faults.faults] == [
        "lab.yaml:1:14 (k.b): 'b' stands here twice. Keep one of them."
    ]


@pytest.mark.parametrize(
    ("text", "sets"),
    [
        ("4 old-2t", [(("d1", "d2", "d3", "d4"), "old-2t")]),
        ("4 x old-2t", [(("d1", "d2", "d3", "d4"), "old-2t")]),
        ("old-2t", [(("d1",), "old-2t")]),
        ("[2 old, 1 new]", [(("d1", "d2"), "old"), (("d3",), "new")]),
        ("{d1..2: old, x: new}", [(("d1", "d2"), "old"), (("x",), "new")]),
        ("{d1..d2: old}", [(("d1", "d2"), "old")]),
        ("{d1: {kind: old}}", [(("d1",), "")]),
        ("{d1: {}}", [(("d1",), "")]),
    ],
)
def test_held_things_are_numbered_on_or_named(text, sets):
    """Counted sets are numbered through the whole list; a mapping gives names itself."""
    assert [(held.names, held.kind) for held in read(Holding("d", "4 old-2t"), text)] == sets


@pytest.mark.parametrize(
    ("text", "ports"),
    [
        ("3", {"1": None, "2": None, "3": None}),
        ("1 Gb/s", {"1": GBIT}),
        ("2 x 1 Gb/s", {"1": GBIT, "2": GBIT}),
        ("{a..b: 1 Gb/s, m: 100 Mb/s}", {"a": GBIT, "b": GBIT, "m": 0.1 * GBIT}),
    ],
)
def test_ports_have_names_and_speeds(text, ports):
    """Ports are a count, a speed, both, or names with speeds."""
    assert read(Ports(), text) == ports


def test_ports_that_are_neither_are_told():
    """What is no count and no speed is told with all ways to write ports."""
    assert refused(Ports(), "many") == [
        "lab.yaml:1:4 (k): 'many' is not a speed of data. Write a count, a speed, both as in 8 x 1 Gb/s,"
        " or names with speeds as in {a..b: 1 Gb/s}."
    ]
    assert refused(Ports(), "99999") == ["lab.yaml:1:4 (k): found '99999'. Write a count from 1 to 10,000."]


def test_port_names_may_be_counted():
    """Ranges in port names are spread, patterns stay."""
    assert read(PortNames("a"), "[a..b, desk-*.m]") == ("a", "b", "desk-*.m")


def test_a_runtime_curve_is_sorted_by_load():
    """Pairs of watts and seconds come by rising load, however they were written."""
    assert read(Runtimes(), "{600 W: 9 min, 0.3 kW: 22 min}") == ((300.0, 1320.0), (600.0, 540.0))


def test_a_runtime_curve_must_fall():
    """A larger load can't run longer."""
    assert refused(Runtimes(), "{300 W: 9 min, 600 W: 22 min}") == [
        "lab.yaml:1:4 (k): a larger load runs longer here. Check the pairs of the curve."
    ]


def test_counts_without_end_meet_a_bound():
    """Short text that stands for very many names ends in a clear limit, not in a full memory."""
    say, bomb = Say(FaultList()), node(f"[{', '.join(['10000 x'] * 300)}]")
    with pytest.raises(LimitError, match="more than 2,000,000 names"):
        Holding("d", "4 old-2t").read(bomb, say)


def test_an_amount_in_a_mapping_is_told_at_its_own_place():
    """A misfit inside a mapping is told with the way to it."""
    faults = FaultList()
    Keyed(Amount(Dimension.SPEED, "1 Gb/s")).read(node("{a: 1 W}"), Say(faults, "k"))
    (fault,) = faults.faults
    assert str(fault).startswith("lab.yaml:1:8 (k.a): '1 W' is a power")
