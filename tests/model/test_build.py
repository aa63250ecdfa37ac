"""Whole labs: sections, faults all at once, and labs that read to what was meant."""

import re
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from tests.model.texts import lab_of, told

from falsework.errors import FalseworkError, LimitError
from falsework.lab.read import read_text
from falsework.model import names as sizes
from falsework.model.build import build, load
from falsework.model.parts import Node, Strip
from falsework.model.services import Copy

EXAMPLES = Path(__file__).parents[2] / "examples"

TEN = """
lab: t
machin: 3
kinds: {box: {is: node, coers: 2}}
power: {s: {is: strip, fed by: t}}
machines: {n: {kind: box, memory: 3 s}, m: bx}
wire: {networks: {a: 10.0.0.0/8, b: 10.1.0.0/16}, cables: [n.1 -- n]}
services: {x: {on: n, serves: most}, y: {on: q}, z: {needs: [x]}}
"""


def test_ten_faults_are_ten_messages():
    """One reading tells every fault, of whatever sort, in the order of the file."""
    assert told(TEN) == [
        "lab.yaml:2:1: no section is called 'machin'. Did you mean 'machines'?",
        "lab.yaml:3:25 (kinds.box): no key is called 'coers' here. Did you mean 'cores'?",
        "lab.yaml:4:32 (power.s.fed by): no outside, circuit, ups or strip is called 't'. Known: s.",
        "lab.yaml:5:35 (machines.n.memory): '3 s' is a time, and an amount of data is wanted here."
        " Write for example 24 GiB.",
        "lab.yaml:5:44 (machines.m): no kind is called 'bx'. Did you mean 'box'?",
        "lab.yaml:6:37 (wire.networks.b.subnet): 10.1.0.0/16 overlaps 10.0.0.0/8, the subnet of a."
        " Cut the two apart.",
        "lab.yaml:6:60 (wire.cables): this cable joins n with itself. Name two machines.",
        "lab.yaml:7:31 (services.x.serves): 'most' does not say how many copies must serve."
        " Write any, majority, all, or at least 2.",
        "lab.yaml:7:46 (services.y.on): no node, pool or enclosure is called 'q'. Known: n.",
        "lab.yaml:7:53 (services.z): the key 'on' is missing."
        " Add on: the name of a node, pool or enclosure, a pattern such as desk-*, or a list.",
    ]


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (
            "about: 'lab:'",
            ["lab.yaml:1:1: the lab has no name. Add a line such as lab: Gannet Rock."],
        ),
        ("lab:", ["lab.yaml:1:5 (lab): found nothing. Write the name of the lab."]),
        ("lab: t\nfalsework: 2", ["lab.yaml:2:12 (falsework): found '2'. Write a whole number from 1 to 1."]),
        (
            "lab: t\nqqq: 1",
            [
                "lab.yaml:2:1: no section is called 'qqq'. Known sections: falsework, lab, about, kinds, outside,"
                " places, power, machines, wire, addresses, stores, heaps, pools, services, data, keys, people, alarms, probes,"
                " drills, spares, stand-ins, today, order, aims."
            ],
        ),
        (
            "lab: t\nwire: {cable: []}",
            ["lab.yaml:2:8 (wire): no key is called 'cable' here. Did you mean 'cables'?"],
        ),
        (
            "lab: t\nspares: {desk: 2}",
            ["lab.yaml:2:16 (spares): no kind is called 'desk'. Name one of your kinds."],
        ),
        (
            "lab: t\naims: {a: 3}",
            ["lab.yaml:2:11 (aims.a): found '3'. Write a mapping: {lose: ..., at once: ..., at most: ...}."],
        ),
        (
            "lab: t\naims: {a: {at most: dies}}",
            ["lab.yaml:2:21 (aims.a.at most): found 'dies'. Write one of stands, thin, blinks, falls, lost."],
        ),
        (
            "lab: t\ntoday: {foo: 1}",
            ["lab.yaml:2:9 (today): no key is called 'foo' here. Known keys: built, not built, out."],
        ),
        (
            "lab: t\norder: [{takes: 2 h}, 3]",
            [
                "lab.yaml:2:9 (order[0]): the key 'do' is missing. Add do: what is done.",
                "lab.yaml:2:23 (order[1]): found '3'. Write a mapping: {do: ..., brings: ..., with: ...}.",
            ],
        ),
    ],
)
def test_sections_without_sense_are_told(text, messages):
    """Each fault of a section has one whole message."""
    assert told(text) == messages


def test_sections_only_begun_are_empty():
    """A section with nothing under it is as if it were not there."""
    lab = lab_of("lab: t\nmachines:\nservices:\naims:\norder:\ntoday:\nspares:\nwire:\nkinds:\n")
    assert not lab.things
    assert lab.today is None
    assert (lab.aims, lab.order, lab.spares) == ((), (), {})


def test_a_lab_has_its_words():
    """Name, what it is for, spares and the files it came from."""
    lab = lab_of(
        "lab: Gull Rock\nabout: cameras\nkinds: {hd: {is: drive}}\nspares: {hd: {shelf: 2, comes in: 5 days}}"
    )
    assert (lab.name, lab.about) == ("Gull Rock", "cameras")
    assert (lab.spares["hd"].shelf, lab.spares["hd"].comes_in) == (2, 5 * 86400)
    assert [*lab.files] == ["lab.yaml"]


def test_implied_parts_come_last():
    """What the file names comes in its order; what it implies after it: supplies, cables, copies."""
    lab = load(EXAMPLES / "kitchen-shelf.yaml")
    assert [*lab.things] == [
        *("mains", "socket", "strip"),
        *("desk-1", "desk-1.d1", "desk-2", "desk-2.d1", "desk-3", "desk-3.d1", "hub"),
        *("names", "files", "pages"),
        *("desk-1.supply-1", "desk-2.supply-1", "desk-3.supply-1", "hub.supply-1"),
        *("desk-1.1 -- hub.1", "desk-2.1 -- hub.2", "desk-3.1 -- hub.3"),
        *("names.1", "names.2", "files.1", "files.2", "files.3", "pages.1", "pages.2"),
    ]


@pytest.mark.parametrize("path", sorted(EXAMPLES.rglob("*.yaml")), ids=lambda path: path.stem)
def test_nothing_in_an_example_refers_to_what_is_not_there(path):
    """Every example loads, and each id that a thing holds is the id of a thing."""
    lab = load(path)
    for name, thing in lab.things.items():
        assert thing.id == name
        for attribute in ("in_", "fed_by", "on", "hosts", "drives", "store", "kept_in"):
            bound = getattr(thing, attribute, None)
            assert set(getattr(bound, "ids", ())) <= set(lab.things)
    assert all(copy.host in lab.things for copy in lab.of(Copy))


@pytest.mark.parametrize(
    "text",
    [
        "machines: {'n-1..1000000000': node}",
        "kinds: {hd: {is: drive}}\nmachines: {'n-1..900': {is: node, drives: 9999 hd}}",
        "kinds: {s: {is: node}}\nmachines: {'n-1..900': {is: enclosure, holds: 9 s}}",
        "machines: {n: node}\nservices: {'s-1..900': {on: n, copies: 10000}}",
        "power: {s: {is: strip}}\nmachines: {'n-1..900': {is: node, fed by: s, supplies: 16}}",
        "machines: {'n-1..900': {is: node, ports: 1, cards: {'k-1..9': '1'}}}",
    ],
)
def test_a_bomb_is_answered_in_few_words(text, monkeypatch):
    """Text made to stand for very much is refused by one bound, whatever it multiplies."""
    monkeypatch.setattr(sizes, "MOST", 1000)
    (message,) = told(text)
    assert "more than 1,000" in message


def test_many_cables_meet_a_bound(monkeypatch):
    """Lines that each lay many cables are refused before the cables are made."""
    monkeypatch.setattr(sizes, "MOST", 1000)
    lines = "    - n-* -- hub\n" * 9
    with pytest.raises(LimitError, match="more than 1,000 cables"):
        lab_of(f"machines: {{'n-1..900': node, hub: switch}}\nwire:\n  cables:\n{lines}")


names = st.from_regex(r"[a-z]{1,6}-?[0-9]{0,2}", fullmatch=True).filter(
    lambda name: name not in ("yes", "no", "on", "off", "y", "n", "true", "false", "null", "nan", "inf")
)
nodes = st.fixed_dictionaries(
    {"is": st.just("node")},
    optional={
        "cores": st.integers(1, 4096),
        "memory": st.integers(1, 512),
        "power back": st.sampled_from(["on", "stays off", "as it was"]),
        "hands": st.booleans(),
        "about": st.text(st.characters(codec="ascii", categories=["L"]), min_size=1, max_size=8),
        "drives": st.integers(1, 4),
        "fed by": st.lists(st.sampled_from(["A", "B"]), min_size=1, max_size=3),
    },
)


@given(st.dictionaries(names, nodes, min_size=1, max_size=5), st.data())
def test_a_lab_reads_to_what_was_written(machines, data):
    """A random small lab written as a file has the same things, with the same values, in the same order."""
    hosts = data.draw(st.lists(st.sampled_from(sorted(machines)), min_size=1, unique=True))
    written = {}
    for name, node in machines.items():
        written[name] = dict(node)
        if "memory" in node:
            written[name]["memory"] = f"{node['memory']} GiB"
        if "hands" in node:
            written[name]["hands"] = "yes" if node["hands"] else "no"
        if "drives" in node:
            written[name]["drives"] = f"{node['drives']} hd"
    file = {
        "lab": "t",
        "kinds": {"hd": {"is": "drive"}},
        "power": {"A": {"is": "strip"}, "B": {"is": "strip"}},
        "machines": written,
        "services": {"a service": {"on": hosts}},
    }
    lab = lab_of(yaml.safe_dump(file, sort_keys=False))
    assert [each.id for each in lab.of(Node)] == [*machines]
    assert [each.id for each in lab.of(Strip)] == ["A", "B"]
    for name, node in machines.items():
        thing = lab.things[name]
        assert thing.cores == node.get("cores")
        assert thing.memory == (node["memory"] * 2**30 if "memory" in node else None)
        assert thing.hands == node.get("hands", True)
        assert thing.about == node.get("about", "")
        assert thing.power_back == node.get("power back", "as it was")
        assert (thing.fed_by.ids if thing.fed_by else ()) == tuple(node.get("fed by", ()))
        feeds = node.get("fed by", ())
        assert [lab.things[f"{name}.supply-{number + 1}"].source for number in range(len(feeds))] == [*feeds]
        assert sum(
            each.startswith(f"{name}.d") and lab.things[each].IS == "drive" for each in lab.things
        ) == (node.get("drives", 0))
    assert [copy.host for copy in lab.of(Copy)] == hosts
    assert len(lab.things) == (
        2
        + len(machines)
        + sum(node.get("drives", 0) + len(node.get("fed by", ())) for node in machines.values())
        + 1
        + len(hosts)
    )


TEXTS = [path.read_text(encoding="utf-8") for path in sorted(EXAMPLES.rglob("*.yaml"))]
WORDS = sorted({word for text in TEXTS for word in re.findall(r"[\w.*#-]+", text)})
SIGNS = ["#", "*", "..", "3..1", "a..9", "NaN", "''", "{}", "[]", "-1", "~", " -- ", "10.0.0.1", "x" * 300]


def said(text):
    """The name of the lab in a text, or what is wrong with it."""
    try:
        return build(read_text(text, "lab.yaml")).name
    except FalseworkError as error:
        return str(error)


@given(
    st.sampled_from(TEXTS), st.lists(st.tuples(st.floats(0, 1), st.sampled_from(WORDS + SIGNS)), max_size=5)
)
def test_a_slip_of_the_pen_never_crashes(text, slips):
    """An example with any words replaced by others is a lab, or is told what is wrong with it."""
    for position, word in slips:
        places = [*re.finditer(r"[\w.*#-]+", text)]
        place = places[int(position * (len(places) - 1))]
        text = text[: place.start()] + word + text[place.end() :]
    assert said(text)
