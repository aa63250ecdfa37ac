from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.lab import tree
from falsework.lab.here import here, mappings
from falsework.lab.read import read_text

LABS = sorted(Path("examples").rglob("*.yaml"))


def told(text):
    """What is said of the place that a bar marks."""
    before, _, after = text.partition("|")
    found = here(before, after)
    return found.slot, found.path, found.typed, found.rest


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("la|", ("key", (), "la", "")),
        ("lab: x\nma|chines:\n", ("key", (), "ma", "chines")),
        ("lab: Gannet R|ock\n", ("value", ("lab",), "Gannet R", "ock")),
        ("machines:\n  desk: {ki|}\n", ("key", ("machines", "desk"), "ki", "")),
        ("machines:\n  desk: {kind: tw|in, at: 1 U}\n", ("value", ("machines", "desk", "kind"), "tw", "in")),
        ("machines:\n  desk: {fed by: [A, |]}\n", ("value", ("machines", "desk", "fed by", None), "", "")),
        ("machines:\n  desk:\n    kind: x\n    me|\n", ("key", ("machines", "desk"), "me", "")),
        ("machines:\n  desk:\n    |\n", ("key", ("machines", "desk"), "", "")),
        ("wire:\n  cables:\n    - a -- |\n", ("value", ("wire", "cables", None), "a -- ", "")),
        ("wire:\n  cables:\n  - a -- b\n  - |", ("value", ("wire", "cables", None), "", "")),
        ("order:\n  - do: x\n    wi|\n", ("key", ("order", None), "wi", "")),
        ("order:\n  - {do: x,\n     wi|: y}\n", ("key", ("order", None), "wi", "")),
        ("a: {'b c': {d: \"e\", f|}}\n", ("key", ("a", "b c"), "f", "")),
    ],
)
def test_the_way_to_a_place(text, said):
    """Keys, entries of lists and what is typed, in lines and between brackets."""
    assert told(text) == said


@pytest.mark.parametrize(
    "text",
    [
        "a: b # com|",
        "# com|",
        "a: {b: c # d|\n  }",
        "a: >-\n  te|xt\n",
        'a: "te|',
        "a: {b: 'te|'}",
        "a:|",
        "a: {b:|}",
        "a: *b|\n",
        "a:\n  b: 1\n |\n",
    ],
)
def test_where_nothing_can_be_told(text):
    """In comments, quotes and blocks of text, right behind a colon, and in a column that fits nothing."""
    assert told(text)[0] == ""


def test_a_key_that_would_take_what_follows_is_none():
    """On an empty line above what lies further in, another key would get it all."""
    assert told("machines:\n|\n  desk: {}\n")[0] == ""
    assert told("machines:\n    |\n  desk: {}\n")[0] == ""
    assert told("machines:\n  |\n  desk: {}\n") == ("key", ("machines",), "", "")
    assert told("a:\n|\n- b\n")[0] == ""
    assert told("a:\n  b:\n      |\n    - c\n")[0] == ""
    assert told("- a:\n    |\n- b\n")[0] == "key"


def test_what_stands_beside_is_told_on_both_sides():
    """Keys before and behind the place, and those of the entry around it."""
    before, after = (
        "machines:\n  desk: {kind: twin, needs: {to run: [a], ",
        ", to start: b}, at: 2 U}\n  e: {is: x}\n",
    )
    found = here(before, after)
    assert [dict(level.said) for level in found.levels[2:]] == [
        {"kind": "twin", "needs": "", "at": "2 U"},
        {"to run": "", "to start": "b"},
    ]


def test_a_bracket_that_is_not_closed_ends_where_the_next_key_begins():
    """A line that is only begun does not hide the rest of the file."""
    text = "machines:\n  a: {kind: twin, at\n  b: {kind: |}\n"
    assert told(text) == ("value", ("machines", "b", "kind"), "", "")


def test_a_colon_behind_is_seen():
    """Whether the key has its colon already."""
    assert here("a: {me", "mory: 1}").has_colon
    assert not here("a: {me", ", b: 1}").has_colon
    assert here("me", "mory : 1").has_colon


def test_mappings_of_a_section():
    """What is said of each name in single values, broken lines as far as they go."""
    text = "kinds:\n  a: {is: node, needs: {x: y}}\n  b:\n    kind: a\n  c: {is: switch, po\nmachines:\n  d: {is: node}\n"
    assert {name: dict(said) for name, said in mappings(text, "kinds").items()} == {
        "a": {"is": "node", "needs": ""},
        "b": {"kind": "a"},
        "c": {"is": "switch", "po": ""},
    }


def ways(node, way=()):
    """Every single value of a tree with the way to it."""
    if isinstance(node, tree.Mapping):
        for entry in node.entries:
            yield from ways(entry.value, (*way, entry.key.text))
    elif isinstance(node, tree.Sequence):
        for item in node.items:
            yield from ways(item, (*way, None))
    else:
        yield way, node


@pytest.mark.parametrize("path", LABS, ids=str)
def test_in_a_sound_text_the_way_is_the_readers(path):
    """In the middle of every plain value of the example labs."""
    text = path.read_text(encoding="utf-8")
    seen = 0
    for way, node in list(ways(read_text(text, "x").root))[::7]:
        if node.quoted or node.end - node.start < 2 or "\n" in text[node.start : node.end]:
            continue
        middle = (node.start + node.end) // 2
        if text[middle - 1] == ":":
            continue  # just there it might be a key's
        found = here(text[:middle], text[middle:])
        assert (found.slot, found.path) == ("value", way)
        assert found.typed + found.rest == text[node.start : node.end]
        seen += 1
    assert seen > 2


signs = st.text(st.sampled_from(list("ab :,#-{}[]\"'\n|>&*!\\")), max_size=60)


@settings(deadline=None, max_examples=300)
@given(signs, signs)
def test_nothing_typed_upsets_it(before, after):
    """Whatever stands there, something is said, and what is typed is what stands there."""
    found = here(before, after)
    assert before.endswith(found.typed)
    assert after.startswith(found.rest)
    assert not mappings(before, "a") or "a:" in before


@pytest.mark.parametrize(
    "piece", ["[", "{a: ", "- ", "'", "a: ", " ", "a\n", "#", "\\", '"\\', "''", "a:\n "]
)
def test_endless_text_is_gone_through_once(piece):
    """A long text of one piece over and over ends, in one line and in many."""
    here(piece * (400_000 // len(piece)), piece * 1000)
    here((piece * (3_900 // len(piece)) + "\n") * 100, piece * 1000)
    assert here("a: 1\n" * 200_000).slot == ""
