import random
from pathlib import Path

import pytest

from falsework.errors import LabError
from falsework.lab import tree
from falsework.lab.here import here
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.model.completing import MOST_OPTIONS, kinds_of, offer
from falsework.model.options import Known

LABS = sorted(Path("examples").rglob("*.yaml"))
DRAFT = Path("examples/observatory/draft.yaml").read_text(encoding="utf-8")
KNOWN = Known(
    things={
        "A": "strip",
        "desk-1": "node",
        "desk-2": "node",
        "names": "service",
        "sw-1": "switch",
        "psu": "supply",
    },
    kinds={"desktop": "node", "edge": "switch", "flash": "drive"},
)


def offered(text, known=KNOWN):
    """What is offered at the place that a bar marks."""
    before, _, after = text.partition("|")
    return offer(here(before, after), known)


def keys(text):
    """The keys offered there."""
    return [each.text for each in offered(text).keys]


def values(text):
    """The values offered there."""
    return [each.text for each in offered(text).values]


def test_sections_are_offered_with_their_meaning():
    """At the beginning of a line all those that are not there, the name of the lab first."""
    found = offered("machines:\n  a: desktop\n|")
    assert found.keys[0].text == "lab"
    assert "machines" not in [each.text for each in found.keys]
    assert {each.text: each.says for each in found.keys}[
        "pools"
    ] == "Nodes that restart each other's virtual copies."


def test_keys_are_those_of_what_it_is():
    """By its kind or its word, less those that are there; before either, those that all have, and the two."""
    assert {"cores", "fed by"} <= set(keys("machines:\n  a: {kind: desktop, |}"))
    assert "cores" not in keys("machines:\n  a: {kind: edge, |}")
    assert "settles in" in keys("machines:\n  a: {is: switch, |}")
    assert "kind" not in keys("machines:\n  a: {is: switch, |}")[:1]
    assert keys("machines:\n  a: {|}")[:2] == ["kind", "is"]
    assert "cores" not in keys("machines:\n  a: {|}")
    assert "memory" not in keys("machines:\n  a: {kind: desktop, memory: 8 GiB, |}")
    assert "read errors" in keys("kinds:\n  x: {is: drive, |}")
    assert keys("services:\n  a: {|}")[0] == "on"


def test_values_are_of_the_right_kind():
    """Things that the key may name, kinds that fit, words to choose from, units for a number."""
    assert values("machines:\n  a: {is: node, fed by: |}") == ["A"]
    assert values("services:\n  a: {on: [desk-1, |]}") == ["desk-1", "desk-2"]
    assert values("machines:\n  a: {kind: |}") == ["desktop", "edge", "enclosure", "node", "switch"]
    assert values("machines:\n  a: |") == ["desktop", "edge", "enclosure", "node", "switch"]
    assert values("machines:\n  a: {is: node, power back: |}") == ["on", "stays off", "as it was"]
    assert values("machines:\n  a: {is: node, memory: 24 G|}") == ["24 GB", "24 GiB"]
    assert values("machines:\n  a: {is: node, drives: {d1: |}}") == ["flash", "drive"]
    assert values("services:\n  a: {needs: {to run: [na|]}}") == ["names"]
    minutes = ["names for 6 ms", "names for 6 min", "names for 6 month", "names for 6 months"]
    assert values("services:\n  a: {needs: [names for 6 m|]}") == minutes
    assert values("wire:\n  cables:\n    - desk-1 -- sw|") == ["desk-1 -- sw-1"]
    assert "psu" not in values("services:\n  a: {needs: [|]}")
    assert {"node", "strip"} <= set(values("aims:\n  a: {lose: [|]}"))
    assert keys("spares:\n  |") == ["desktop", "edge", "flash"]


def test_entries_of_a_list_may_be_keys_too():
    """Where an entry may be a record, its keys are offered beside the values."""
    assert keys("order:\n  - |")[0] == "do"
    assert {"run", "group"} <= set(keys("wire:\n  cables:\n    - |"))
    assert keys("services:\n  a: {needs: {to run: [|]}}") == []


def test_what_is_expected_is_said():
    """The meaning of the key and how its value is written, while either is typed."""
    says = "Memory. Write a value with its unit, such as 32 GiB."
    assert offered("machines:\n  a: {is: node, memory: |}").says == says
    assert offered("machines:\n  a: {is: node, mem|ory: 2}").says == says


def test_a_long_list_is_cut_and_asked_for_again():
    """Of very many names those that begin as typed come first, and typing on asks anew."""
    many = Known(things={f"n-{number}": "node" for number in range(5000)} | {"zn-1": "node"})
    found = offered("services:\n  a: {on: n-1|}", many)
    assert len(found.values) == MOST_OPTIONS
    assert not found.steady
    assert all(each.text.startswith("n-1") for each in found.values)


def test_kinds_are_what_their_kinds_are():
    """Through files, in lines and between brackets; a circle is nothing."""
    texts = [
        "kinds:\n  a: {is: node}\n  b: {kind: a}\n",
        "kinds:\n  c:\n    kind: b\n  d: {kind: e}\n  e: {kind: d}\n",
    ]
    assert kinds_of(texts) == {"a": "node", "b": "node", "c": "node"}


def entries(node):
    """Every key of a tree."""
    if isinstance(node, tree.Mapping):
        for entry in node.entries:
            yield entry.key
            yield from entries(entry.value)
    elif isinstance(node, tree.Sequence):
        for item in node.items:
            yield from entries(item)


def known(text):
    """What is known of a lab that can be read."""
    lab = build(read_text(text, "lab.yaml"))
    return Known(things={name: thing.IS for name, thing in lab.things.items()}, kinds=kinds_of([text]))


def faults(text):
    """All that the reader says against a text."""
    try:
        build(read_text(text, "lab.yaml"))
    except LabError as error:
        return [str(fault) for fault in error.faults]
    return []


def refused(text, at):
    """What the reader says against the key at an offset, or against the text as YAML."""
    line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    of_key = ("is called", "is said twice")
    return [
        each
        for each in faults(text)
        if (each.startswith(f"lab.yaml:{line}:{column}") and any(words in each for words in of_key))
        or any(words in each for words in ("line up", "before the colon"))
    ]


@pytest.mark.slow
@pytest.mark.parametrize("path", LABS, ids=str)
def test_offered_keys_are_taken_by_the_reader(path):
    """In place of keys of the examples, some typed part: no fault of theirs is told."""
    text = path.read_text(encoding="utf-8")
    knows = known(text)
    draw = random.Random(7)
    spots = list(entries(read_text(text, "x").root))
    tried = 0
    for key in draw.sample(spots, min(24, len(spots))):
        at = draw.randint(key.start, key.end)
        if text[at] == " ":
            continue  # within a key of two words: the second might be the next key
        place = here(text[:at], text[at:])
        if place.slot != "key":
            continue
        found = offer(place, knows).keys
        assert place.has_colon
        for option in draw.sample(found, min(1, len(found))):
            begin, end = at - len(place.typed), at + len(place.rest)
            changed = text[:begin] + option.text + text[end:]
            assert refused(changed, begin) == [], option
            tried += 1
    assert tried > 5


@pytest.mark.slow
@pytest.mark.parametrize("path", LABS, ids=str)
def test_offered_keys_may_be_added(path):
    """On fresh lines and behind opening braces: the reader knows the key there."""
    text = path.read_text(encoding="utf-8")
    knows = known(text)
    draw = random.Random(11)
    lines = [at + 1 for at, sign in enumerate(text) if sign == "\n"]
    braces = [at + 1 for at, sign in enumerate(text) if sign == "{" and text[at - 1] in " ["]
    tried = 0
    for at in draw.sample(lines, min(16, len(lines))):
        for indent in ("", "  "):
            before, after = text[:at] + indent, "\n" + text[at:]
            found = offer(here(before, after), knows).keys
            for option in draw.sample(found, min(1, len(found))):
                assert refused(f"{before}{option.text}: {after}", len(before)) == [], (
                    option,
                    before[-50:],
                    after[:50],
                )
                tried += 1
    for at in draw.sample(braces, min(16, len(braces))):
        found = offer(here(text[:at], f", {text[at:]}"), knows).keys
        for option in draw.sample(found, min(1, len(found))):
            assert refused(f"{text[:at]}{option.text}: x, {text[at:]}", at) == [], (
                option,
                text[at - 30 : at + 20],
            )
            tried += 1
    assert tried > 5


@pytest.mark.slow
@pytest.mark.parametrize("path", LABS, ids=str)
def test_offered_names_are_names_that_the_reader_finds(path):
    """Put in place of a reference, each option that is a thing names one."""
    text = path.read_text(encoding="utf-8")
    knows = known(text)
    draw = random.Random(13)
    spots = [at for at in range(len(text)) if text.startswith(("on: ", "fed by: ", "in: "), at)]
    tried = 0
    for at in draw.sample(spots, min(20, len(spots))):
        at = text.index(": ", at) + 2
        if text[at] == "[":
            at += 1
        place = here(text[:at], text[at:])
        found = [each for each in offer(place, knows).values if each.text in knows.things]
        for option in draw.sample(found, min(1, len(found))):
            changed = text[:at] + option.text + text[at + len(place.rest) :]
            assert not [each for each in faults(changed) if f"called {option.text!r}" in each], option
            tried += 1
    assert tried > 3
