"""Are many keys added at once while everything that their owner wrote stays?"""

import pytest

from falsework.errors import QuestionError
from falsework.lab import tree
from falsework.lab.bulk import add_entries, add_section
from falsework.lab.read import read_text

TEXT = """\
lab: x   # mine
addresses:
  house: {a: 10.0.0.1, b: [10.0.0.2]}   # learnt by others
  care:
    c: 10.1.0.1   # the switch
  wide: {
    d: 10.2.0.1,   # first
  }
  none:
aims: {}
"""


def book(text):
    """What stands under addresses, as plain text."""
    return tree.plain(read_text(text, "lab.yaml").root)["addresses"]


def added(path, fresh, longer=None, text=TEXT):
    """The text with more keys."""
    return add_entries(text, path, fresh, longer or {}, name="lab.yaml")


def test_keys_between_braces_get_a_line_each_and_the_remark_stays_with_what_it_is_about():
    """The brace moves to the end; what stands behind it stays on its line."""
    text = added(("addresses", "house"), {"e": "10.0.0.3", "f": ["10.0.0.4", "fd00::4"]})
    lines = text.splitlines()
    assert lines[2] == "  house: {a: 10.0.0.1, b: [10.0.0.2],   # learnt by others"
    assert lines[3:5] == ["          e: 10.0.0.3,", "          f: [10.0.0.4, fd00::4]}"]
    assert lines[5:] == TEXT.splitlines()[3:]
    assert list(book(text)["house"]) == ["a", "b", "e", "f"]


def test_keys_on_lines_of_their_own_get_such():
    """Below the last, with its indentation."""
    lines = added(("addresses", "care"), {"e": "10.1.0.2", "f": "10.1.0.3"}).splitlines()
    assert lines[4:7] == ["    c: 10.1.0.1   # the switch", "    e: 10.1.0.2", "    f: 10.1.0.3"]


def test_braces_over_several_lines_stay_so():
    """With a comma at the end where there was one."""
    text = added(("addresses", "wide"), {"e": "10.2.0.2"})
    assert book(text)["wide"] == {"d": "10.2.0.1", "e": "10.2.0.2"}
    assert "# first" in text


def test_an_empty_key_is_filled():
    """The first key finds the place, the others follow it."""
    assert book(added(("addresses", "none"), {"e": "1", "f": "2"}))["none"] == {"e": "1", "f": "2"}


def test_a_value_becomes_a_list_and_a_list_gets_longer():
    """In place, and the rest stays byte for byte."""
    text = added(("addresses", "house"), {}, {"a": ["fd00::1"], "b": ["fd00::2"]})
    assert text == TEXT.replace("a: 10.0.0.1,", "a: [10.0.0.1, fd00::1],").replace(
        "[10.0.0.2]", "[10.0.0.2, fd00::2]"
    )


def test_a_section_comes_to_the_end():
    """A line each, a blank line before it; line ends as in the file; a mark at its beginning stays."""
    text = "\ufefflab: x\r\nmachines: {a: {is: node}}\r\n"
    said = add_section(text, "addresses", {"house": {"a b": ["10.0.0.1", "fd00::1"]}}, name="lab.yaml")
    assert said == f"{text}\r\naddresses:\r\n  house:\r\n    a b: [10.0.0.1, fd00::1]\r\n"


def test_a_file_in_braces_gets_its_section_too():
    """On one line, as the rest is."""
    said = add_section(
        "{lab: x, machines: {a: {is: node}}}\n", "addresses", {"h": {"a": "10.0.0.1"}}, name="lab.yaml"
    )
    assert book(said) == {"h": {"a": "10.0.0.1"}}


def test_what_cannot_be_done_is_refused():
    """A place that is not there; a list that is not between brackets."""
    with pytest.raises(QuestionError):
        added(("addresses", "hous"), {"e": "1"})
    text = TEXT.replace("    c: 10.1.0.1   # the switch", "    c:\n      - 10.1.0.1")
    with pytest.raises(QuestionError, match="made longer"):
        added(("addresses", "care"), {}, {"c": ["fd00::1"]}, text=text)
