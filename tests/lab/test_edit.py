import copy
import io

import pytest
import ruamel.yaml
from hypothesis import assume, given
from hypothesis import strategies as st
from tests.lab.strategies import at, data, keys, labs, paths, values

from falsework.errors import LabError, QuestionError
from falsework.lab.edit import add_entry, add_item, difference, remove, set_value
from falsework.lab.read import read_text
from falsework.lab.tree import plain

LAB = """\
# head
falsework: 1
lab:   Gannet Rock   # name

kinds:                       # what
  desktop: {is: node, cores: 4}   # d
  twin:    {is: enclosure, holds: 2 sled}

machines:
  # all three
  twin-1: {kind: twin}
  desk:
    kind: desktop   # kk
    fed by: [A, B]
    note: |
      long text
      goes on

  last: x
wire:
  - a -- b   # w
  # - c-d
  - # e-f
    from: x
    to: y
empty:
flow: {
  a: 1,  # one
  b: 2   # two
}

people:
  keeper: {works: Mon-Fri 19:00-22:00}
# end
"""


def changed(new):
    """The lines that went and came, without their places."""
    return [line for line in difference(LAB, new, "x").splitlines()[2:] if line[0] in "+-"]


@pytest.mark.parametrize(
    ("path", "value", "lines"),
    [
        (
            ("lab",),
            "Two: towns",
            ["-lab:   Gannet Rock   # name", "+lab:   'Two: towns'   # name"],
        ),
        (
            ("kinds", "desktop", "cores"),
            "8, or so",
            ["-  desktop: {is: node, cores: 4}   # d", "+  desktop: {is: node, cores: '8, or so'}   # d"],
        ),
        (("machines", "desk", "kind"), "a, b", ["-    kind: desktop   # kk", "+    kind: a, b   # kk"]),
        (("machines", "desk", "fed by", 1), "C", ["-    fed by: [A, B]", "+    fed by: [A, C]"]),
        (
            ("machines", "desk", "note"),
            "one\ntwo",
            ["-    note: |", "-      long text", "-      goes on", '+    note: "one\\ntwo"'],
        ),
        (("empty",), "now", ["-empty:", "+empty: now"]),
        (("wire", 1, "to"), "", ["-    to: y", "+    to: ''"]),
        (
            ("wire",),
            ["p", {"q": "r, s"}],
            [
                "-wire:",
                "-  - a -- b   # w",
                "-  # - c-d",
                "-  - # e-f",
                "-    from: x",
                "-    to: y",
                "+wire: [p, {q: 'r, s'}]",
            ],
        ),
        (("machines", "last"), "x", []),
    ],
)
def test_a_value_is_set_where_it_stands(path, value, lines):
    """Only the value's own lines change, and on them only the value; what needs quotes gets them."""
    assert changed(set_value(LAB, path, value)) == lines


@pytest.mark.parametrize(
    ("path", "key", "value", "lines"),
    [
        ((), "aims", "mail", ["+", "+aims: mail"]),
        (("kinds",), "sled", {"is": "node"}, ["+  sled:    {is: node}"]),
        (("machines",), "new", "y", ["+  new: y"]),
        (("machines", "desk"), "size", "4: 5", ["+    size: '4: 5'"]),
        (("wire", 1), "via", "z", ["+    via: z"]),
        (("empty",), "k", "v", ["+  k: v"]),
        (("flow",), "c", "3", ["-  b: 2   # two", "+  b: 2,   # two", "+  c: 3"]),
        (
            ("kinds", "twin"),
            "a,b",
            "c,d",
            [
                "-  twin:    {is: enclosure, holds: 2 sled}",
                "+  twin:    {is: enclosure, holds: 2 sled, 'a,b': 'c,d'}",
            ],
        ),
    ],
)
def test_a_key_is_added_in_the_style_of_its_neighbours(path, key, value, lines):
    """Indentation, alignment, braces and comments are kept; a new section goes to the end of the file."""
    assert changed(add_entry(LAB, path, key, value)) == lines


@pytest.mark.parametrize(
    ("path", "value", "lines"),
    [
        (("wire",), "h: i", ["+  - 'h: i'"]),
        (("machines", "desk", "fed by"), "C", ["-    fed by: [A, B]", "+    fed by: [A, B, C]"]),
        (("empty",), "k", ["+  - k"]),
    ],
)
def test_an_entry_is_added_to_a_list(path, value, lines):
    """It is written as the others are."""
    assert changed(add_item(LAB, path, value)) == lines


@pytest.mark.parametrize(
    ("path", "lines"),
    [
        (("lab",), ["-lab:   Gannet Rock   # name"]),
        (
            ("kinds", "desktop", "is"),
            ["-  desktop: {is: node, cores: 4}   # d", "+  desktop: {cores: 4}   # d"],
        ),
        (
            ("kinds", "desktop", "cores"),
            ["-  desktop: {is: node, cores: 4}   # d", "+  desktop: {is: node}   # d"],
        ),
        (("machines", "desk", "note"), ["-    note: |", "-      long text", "-      goes on"]),
        (("wire", 1), ["-  - # e-f", "-    from: x", "-    to: y"]),
        (("wire", 1, "from"), ["-    from: x"]),
        (("flow", "a"), ["-  a: 1,  # one"]),
        (("flow", "b"), ["-  b: 2   # two"]),
        (
            ("people", "keeper", "works"),
            ["-  keeper: {works: Mon-Fri 19:00-22:00}", "+  keeper: {}"],
        ),
        (("people", "keeper"), ["-  keeper: {works: Mon-Fri 19:00-22:00}"]),
    ],
)
def test_what_is_removed_takes_only_its_own(path, lines):
    """Comments on lines of their own stay, and a comma goes with what it parted."""
    assert changed(remove(LAB, path)) == lines


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (
            lambda: set_value(LAB, ("kinds", "desktap"), "x"),
            "there is no 'desktap' under 'kinds'. Did you mean 'desktop'?",
        ),
        (
            lambda: set_value(LAB, ("zzz",), "x"),
            "there is no 'zzz' under the file."
            " Known: falsework, lab, kinds, machines, wire, empty, flow, people.",
        ),
        (lambda: set_value(LAB, ("lab", "x"), "y"), "there is no 'x' under 'lab'. It holds a single value."),
        (
            lambda: set_value(LAB, ("wire", 9), "y"),
            "there is no '9' under 'wire'. It is a list of 2, counted from 0.",
        ),
        (lambda: set_value(LAB, (), "y"), "the whole file cannot be one value. Name a place in it."),
        (
            lambda: add_entry(LAB, ("machines",), "desk", "x"),
            "'desk' is there already. Change its value instead.",
        ),
        (
            lambda: add_entry(LAB, ("lab",), "k", "x"),
            "'lab' holds a single value, not keys. Name a place that holds keys.",
        ),
        (lambda: add_entry(LAB, (), "a\nb", "x"), "'a b' cannot be a key. Use a name of one line."),
        (
            lambda: add_item(LAB, ("machines",), "x"),
            "'machines' holds keys with values, not a list. Name a place that holds a list.",
        ),
        (lambda: remove("a: 1\n", ("a",)), "nothing would be left in the file. Delete the file instead."),
    ],
)
def test_what_cannot_be_changed_is_refused(make, said):
    """Each refusal has its whole message."""
    with pytest.raises(QuestionError) as caught:
        make()
    assert str(caught.value) == said


def test_a_change_that_would_touch_more_is_refused():
    """A key without braces between brackets cannot get a neighbour in place."""
    with pytest.raises(QuestionError) as caught:
        add_entry("a: [x: 1, y]\n", ("a", 0), "z", "2")
    assert str(caught.value) == (
        "this change cannot be made without touching what is written around it. Make it by hand in an editor."
    )


def test_text_kept_to_its_last_blank_line_stays():
    """A blank line that belongs to a value is neither taken nor given."""
    text = "a: 1\n\nb: |+\n  x\n\n"
    assert plain(read_text(add_entry(text, (), "c", "2"), "x").root) == {"a": "1", "b": "x\n\n", "c": "2"}


def test_faults_in_the_file_come_first():
    """A file with faults is not edited."""
    with pytest.raises(LabError, match=r"^mine\.yaml:2:1: 'a' is said twice"):
        set_value("a: 1\na: 2\n", ("a",), "3", name="mine.yaml")


def test_a_byte_order_mark_stays():
    """It is neither lost nor counted."""
    assert set_value("\ufeffa: 1\n", ("a",), "2") == "\ufeffa: 2\n"


def judged(text):
    """What another library reads, every value as text."""
    return ruamel.yaml.YAML(typ="base", pure=True).load(text)


def settled(value):
    """A value as comparable lists and dictionaries."""
    if isinstance(value, dict):
        return {key: settled(inner) for key, inner in value.items()}
    return [settled(item) for item in value] if isinstance(value, list) else value


def check(new, expected):
    """The changed text says what is expected, to us and to the judge."""
    assert plain(read_text(new, "lab.yaml").root) == expected
    assert settled(judged(new)) == expected


@given(labs())
def test_files_are_read_as_written(lab):
    """The random files of these tests are read as they were meant, by us and by the judge."""
    text, said = lab
    check(text, said)


@given(labs(), st.data(), values)
def test_setting_changes_that_value_only(lab, draw, value):
    """Any value of any file can be set to any other, and all lines without a piece of it stay."""
    text, said = lab
    path = draw.draw(st.sampled_from([path for path in paths(said) if path]))
    new = set_value(text, path, value)
    expected = copy.deepcopy(said)
    at(expected, path[:-1])[path[-1]] = value
    check(new, expected)
    if isinstance(at(said, path), str):
        assert new.count("\n") == text.count("\n")


@given(labs(), st.data(), keys, values)
def test_adding_a_key_changes_nothing_else(lab, draw, key, value):
    """To any keys of any file any key can be added; every comment stays."""
    text, said = lab
    path = draw.draw(st.sampled_from([path for path in paths(said) if isinstance(at(said, path), dict)]))
    assume(key not in at(said, path))
    new = add_entry(text, path, key, value)
    expected = copy.deepcopy(said)
    at(expected, path)[key] = value
    check(new, expected)
    assert list(at(plain(read_text(new, "x").root), path)) == list(at(expected, path))
    assert [c for c in ("# why", "# note", "# far left") if text.count(c) > new.count(c)] == []


@given(labs(), st.data(), values)
def test_adding_to_a_list_changes_nothing_else(lab, draw, value):
    """To any list of any file any entry can be added."""
    text, said = lab
    lists = [path for path in paths(said) if isinstance(at(said, path), list)]
    assume(lists)
    path = draw.draw(st.sampled_from(lists))
    expected = copy.deepcopy(said)
    at(expected, path).append(value)
    check(add_item(text, path, value), expected)


@given(labs(), st.data())
def test_removing_takes_that_only(lab, draw):
    """Anything but the last section can be removed; what is left without entries may turn to nothing."""
    text, said = lab
    path = draw.draw(st.sampled_from([path for path in paths(said) if path]))
    assume(len(path) > 1 or len(said) > 1)
    new = remove(text, path)
    expected = copy.deepcopy(said)
    del at(expected, path[:-1])[path[-1]]
    if not at(expected, path[:-1]) and not at(plain(read_text(new, "x").root), path[:-1]):
        assert set(new) <= set(text)
        parent = path[:-1]
        at(expected, parent[:-1])[parent[-1]] = at(plain(read_text(new, "x").root), parent)
    check(new, expected)


@given(data)
def test_a_file_can_be_built_by_adding(said):
    """Adding section by section to a bare file gives the whole."""
    text = "falsework: 1\n"
    for key, value in said.items():
        text = add_entry(text, (), key, value)
    check(text, {"falsework": "1", **said})
    with io.StringIO(text) as lines:
        assert len(list(lines)) == 1 + len(said)


def test_a_difference_is_a_patch():
    """Unified, with the missing line end told, and empty for the same text."""
    assert difference("a\nb\n", "a\nc", "lab.yaml") == (
        "--- lab.yaml\n+++ lab.yaml\n@@ -1,2 +1,2 @@\n a\n-b\n+c\n\\ No newline at end of file\n"
    )
    assert difference(LAB, LAB, "lab.yaml") == ""
