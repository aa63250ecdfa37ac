"""Records: declared keys, and how a mapping is read into them."""

from dataclasses import dataclass

import pytest

from falsework.errors import FaultList
from falsework.lab.read import read_text
from falsework.model.declare import Misread, Record, Say, a, declared, either, key, read_record, record_schema
from falsework.model.simple import Count, Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Cup(Record):
    """A cup."""

    size: int = key(Count(1, 9), "how large it is", needed=True)
    for_: str = key(Text(), "what it is for", default="tea")
    made_of: str = key(Text(), "its stuff", needed=True)


def read(text, **more):
    """What a text reads to, and what is said of it."""
    faults = FaultList()
    say = Say(faults, "cup")
    node = read_text(f"cup: {text}", "lab.yaml").root.entries[0].value
    try:
        return read_record(Cup, node, say, **more), [str(fault) for fault in faults.faults]
    except Misread:
        return None, [str(fault) for fault in faults.faults]


def test_keys_are_called_as_fields_with_blanks():
    """A field's underscores are blanks in the file; one at its end only keeps Python quiet."""
    assert [*declared(Cup)] == ["size", "for", "made of"]


def test_a_record_keeps_the_place_of_each_key():
    """Each key that was written has its place; the others have that of the record."""
    cup, faults = read("{size: 3, made of: clay}")
    assert not faults
    assert (cup.size, cup.for_, cup.made_of) == (3, "tea", "clay")
    assert cup.place("size").column == 13
    assert cup.place("for_") == cup.where


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (
            "{siz: 3, size: 99, zzz: 1}",
            [
                "lab.yaml:1:7 (cup): no key is called 'siz' here. Did you mean 'size'?",
                "lab.yaml:1:21 (cup.size): found '99'. Write a whole number from 1 to 9.",
                "lab.yaml:1:25 (cup): no key is called 'zzz' here. Known keys: size, for, made of.",
                "lab.yaml:1:6 (cup): the key 'made of' is missing. Add made of: text.",
            ],
        ),
        (
            "{}",
            [
                "lab.yaml:1:6 (cup): the key 'size' is missing. Add size: a whole number from 1 to 9.",
                "lab.yaml:1:6 (cup): the key 'made of' is missing. Add made of: text.",
            ],
        ),
        ("3", ["lab.yaml:1:6 (cup): found '3'. Write a mapping: {size: ..., for: ..., made of: ...}."]),
        ("", ["lab.yaml:1:5 (cup): found nothing. Write a mapping: {size: ..., for: ..., made of: ...}."]),
    ],
)
def test_every_fault_of_a_record_is_told(text, messages):
    """Unknown keys, misfits and all missing keys are told in one go."""
    assert read(text) == (None, messages)


def test_keys_that_others_read_are_passed_over():
    """Keys that the caller reads are no unknown keys, and are suggested."""
    assert read("{size: 3, made of: clay, kind: mug}", also=["kind"])[1] == []
    assert read("{size: 3, made of: clay, knd: mug}", also=["kind"])[1] == [
        "lab.yaml:1:31 (cup): no key is called 'knd' here. Did you mean 'kind'?"
    ]


def test_long_text_is_shown_shortened():
    """A message stays one readable line, whatever was written."""
    _, (message, *_) = read(f"{{size: {'9' * 500}, made of: clay}}")
    assert len(message) < 160


def test_a_fault_is_told_once_and_counted_each_time():
    """The same fault met twice is one message, and still tells the reader that something was wrong."""
    faults = FaultList()
    say = Say(faults)
    for path in ("kinds.a", "machines.n"):
        say.at(path).fault(None, "no", "mend it")
    assert [str(fault) for fault in faults.faults] == ["(kinds.a): no. Mend it."]
    assert say.count == 2


def test_a_record_as_schema():
    """A record is an object with its keys, those needed, and no others."""
    found = record_schema(Cup)
    assert [*found["properties"]] == ["size", "for", "made of"]
    assert found["required"] == ["size", "made of"]
    assert found["additionalProperties"] is False
    assert found["properties"]["size"] == {
        "description": "how large it is; write a whole number from 1 to 9",
        "type": "integer",
        "minimum": 1,
        "maximum": 9,
    }


def test_words_in_messages():
    """Articles and alternatives read as people say them."""
    assert [a(word) for word in ("node", "enclosure", "ups")] == ["a node", "an enclosure", "a ups"]
    assert [either(words) for words in ((), ("a",), ("a", "b"), ("a", "b", "c"))] == [
        "",
        "a",
        "a or b",
        "a, b or c",
    ]
