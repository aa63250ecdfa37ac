"""Kinds: what a thing takes over, and what is said when that makes no sense."""

import pytest
from tests.model.texts import lab_of, thing, told

GIB = 2**30


def test_a_thing_takes_over_what_its_kind_says():
    """A kind says once what each of its things is like; the thing's own words go first."""
    text = """
        kinds: {desk: {is: node, cores: 4, memory: 8 GiB}}
        machines: {a: desk, b: {kind: desk, memory: 16 GiB}}
        """
    lab = lab_of(text)
    assert [(each.cores, each.memory, each.kind_name) for each in lab.things.values()] == [
        (4, 8 * GIB, "desk"),
        (4, 16 * GIB, "desk"),
    ]


def test_a_kind_may_be_a_kind_of_another():
    """Kinds of kinds are merged from the nearest outwards, in whatever order they stand."""
    text = """
        kinds:
          large: {kind: middle, cores: 16}
          middle: {kind: small, memory: 8 GiB, cores: 8}
          small: {is: node, cores: 4, memory: 4 GiB, bays: 2}
        machines: {n: large}
        """
    node = thing(text, "n")
    assert (node.cores, node.memory, node.bays) == (16, 8 * GIB, 2)


def test_a_thing_may_say_what_it_is_without_a_kind():
    """`is` does for a thing of which there is one, and so does the word itself."""
    assert thing("machines: {n: {is: node, cores: 2}}", "n").cores == 2
    assert thing("machines: {n: node}", "n").IS == "node"
    assert thing("places: {cellar: room}", "cellar").IS == "room"
    assert thing("outside: {mains: the wall}", "mains").about == "the wall"
    assert thing("outside: {mains: }", "mains").about == ""


def test_a_kind_may_have_the_name_of_what_it_is():
    """A kind called as a word wins over the word."""
    assert thing("kinds: {strip: {is: strip, outlets: 6}}\npower: {s: strip}", "s").outlets == 6


def test_a_figure_of_a_kind_is_known_and_not_assumed():
    """What a kind says is the owner's word: it is not listed as an assumption."""
    lab = lab_of("kinds: {desk: {is: node, fails: 1 %/year}}\nmachines: {n: desk}")
    assert lab.things["n"].fails.low == pytest.approx(0.01)
    assert "fails" not in [each.key for each in lab.assumptions]


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (
            "kinds: {a: {kind: b}, b: {kind: c}, c: {kind: a}}",
            [
                "lab.yaml:2:37 (kinds.c): kinds run in a circle: a -> b -> c -> a."
                " Let one of them say what it is."
            ],
        ),
        (
            "kinds: {a: {kind: a}}",
            ["lab.yaml:2:9 (kinds.a): kinds run in a circle: a -> a. Let one of them say what it is."],
        ),
        (
            "kinds: {desk: {is: node}, a: {kind: dsek}}",
            ["lab.yaml:2:37 (kinds.a): no kind is called 'dsek'. Did you mean 'desk'?"],
        ),
        ("kinds: {a: {is: nod}}", ["lab.yaml:2:17 (kinds.a): nothing is a nod. Did you mean 'node'?"]),
        (
            "kinds: {a: {cores: 3}}",
            [
                "lab.yaml:2:9 (kinds.a): kind 'a' does not say what it is. Add is: with one of outside, room,"
                " rack, circuit, ups, strip, enclosure, node, switch, drive."
            ],
        ),
        (
            "kinds: {a: box}",
            ["lab.yaml:2:12 (kinds.a): found 'box'. Write a mapping such as {is: node, cores: 4}."],
        ),
        (
            "kinds: {a-1..2: {is: node}}",
            [
                "lab.yaml:2:9 (kinds.a-1..2): 'a-1..2' can't be the name of a kind."
                " Use letters, digits, dashes and blanks, and no ranges."
            ],
        ),
        (
            "kinds: {a: {is: node, coers: 2}}",
            ["lab.yaml:2:23 (kinds.a): no key is called 'coers' here. Did you mean 'cores'?"],
        ),
        (
            "kinds: {desk: {is: node}}\nmachines: {n: dsk}",
            ["lab.yaml:3:15 (machines.n): no kind is called 'dsk'. Did you mean 'desk'?"],
        ),
        (
            "machines: {n: nod}",
            ["lab.yaml:2:15 (machines.n): no kind is called 'nod'. Did you mean 'node'?"],
        ),
        (
            "machines: {n: desk}",
            ["lab.yaml:2:15 (machines.n): no kind is called 'desk'. Describe it under kinds: first."],
        ),
        (
            "machines: {n: {cores: 2}}",
            [
                "lab.yaml:2:15 (machines.n): it does not say what it is. Add kind: with one of your kinds,"
                " or is: with one of enclosure, node, switch."
            ],
        ),
        (
            "machines: {n: {knd: desk}}",
            ["lab.yaml:2:16 (machines.n): no key is called 'knd' here. Did you mean 'kind'?"],
        ),
        (
            "kinds: {desk: {is: node}}\nmachines: {n: {kind: desk, is: switch}}",
            [
                "lab.yaml:3:32 (machines.n): is: switch does not fit kind 'desk', which is a node."
                " Drop one of the two."
            ],
        ),
        (
            "places: {n: {is: node}}",
            [
                "lab.yaml:2:18 (places.n): a node has no place here."
                " It belongs to the section machines; here stand room, rack."
            ],
        ),
        (
            "machines: {n: {is: drive}}",
            [
                "lab.yaml:2:20 (machines.n): a drive has no place here."
                " A node or an enclosure holds it; here stand enclosure, node, switch."
            ],
        ),
        (
            "machines: {n: {is: nod}}",
            ["lab.yaml:2:20 (machines.n): nothing is a nod. Did you mean 'node'?"],
        ),
        (
            "machines: {n: [desk]}",
            ["lab.yaml:2:15 (machines.n): found a list. Write a mapping such as {kind: desktop}."],
        ),
    ],
)
def test_kinds_without_sense_are_told(text, messages):
    """Each fault of a kind, or of a thing that can't be told by its kind, has one whole message."""
    assert told(text) == messages


def test_a_fault_of_a_kind_is_told_once():
    """However many things are of a kind, its fault is told at its own place only."""
    text = """
        kinds: {desk: {is: node, memory: 8 GHz, coers: 2}}
        machines: {a-1..9: desk, b: {kind: desk, cores: 4}}
        """
    assert told(text) == [
        "lab.yaml:2:34 (kinds.desk.memory): 'GHz' in '8 GHz' is not a unit for an amount of data."
        " Write for example 24 GiB.",
        "lab.yaml:2:41 (kinds.desk): no key is called 'coers' here. Did you mean 'cores'?",
    ]


def test_things_of_a_broken_kind_are_not_told():
    """A thing whose kind could not be read is no fault of its own, nor is what leans on it."""
    text = """
        kinds: {desk: {is: nod}}
        machines: {a-1..3: desk, tw: {is: enclosure, holds: {x: desk}}}
        services: {mail: {on: a-2}, web: {on: a-*}, files: {on: tw.x}}
        aims: {one: {lose: [a-1..2]}}
        """
    assert told(text) == ["lab.yaml:2:20 (kinds.desk): nothing is a nod. Did you mean 'node'?"]


def test_kinds_are_not_nested_without_end():
    """A chain of kinds longer than anyone writes is told, not followed."""
    chain = "".join(f"  k{number}: {{kind: k{number + 1}}}\n" for number in range(40))
    messages = told(f"kinds:\n{chain}  k40: {{is: node}}\n")
    assert messages[0] == (
        "lab.yaml:23:3 (kinds.k20): this is a kind of a kind of a kind, 20 deep. Say more in one kind."
    )
