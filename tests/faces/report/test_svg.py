"""Is everything that reaches a drawing escaped, legible and told apart?"""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.faces.report import svg

HOSTILE = [
    '<script>alert("1")</script>',
    "a & b",
    "it's",
    '"quoted"',
    "]]>",
    "<!--",
    "\u202egnp.exe",
    "\x00\x07",
    "\ud800",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text(text):
    """What a lab says becomes the text of one element and the value of one attribute, and nothing else."""
    made = ElementTree.fromstring(svg.tag("g", svg.words(text), data_id=text))
    assert list(made) == []
    assert made.text == made.get("data-id") == svg.clean(text)


@given(st.text())
def test_any_text_is_well_formed(text):
    """No text at all breaks the markup."""
    assert (
        ElementTree.fromstring(svg.thing("x", svg.words(text), says=text, word=text, state=text)) is not None
    )


def test_marks_that_turn_text_are_made_visible():
    """A right-to-left override can't make a name read as another."""
    assert svg.clean("a\u202eb\u2066c") == "a\ufffdb\ufffdc"
    assert svg.clean("שלום") == "שלום"


@given(st.text(max_size=12), st.text(max_size=12))
def test_slugs_tell_names_apart(one, other):
    """Two names share an id only if they are one name."""
    assert (svg.slug(one) == svg.slug(other)) == (one == other)


@given(st.text(min_size=1, max_size=80), st.floats(20, 300))
def test_shortened_text_fits(text, room):
    """A shortened name takes no more than its room, and one that fits is left alone."""
    short = svg.shortened(text, 12, room)
    assert svg.width_of(short, 12) <= room
    if svg.width_of(svg.clean(text), 12) <= room:
        assert short == svg.clean(text)


def test_a_shortened_label_tells_the_whole():
    """The title of a shortened label is the whole text."""
    made = ElementTree.fromstring(svg.label(0, 0, "a very long name indeed", room=60))
    assert made.find("title").text == "a very long name indeed"
    assert "…" in "".join(made.itertext())


@pytest.mark.parametrize(
    ("value", "said"), [(0, "0"), (-0.01, "0"), (1.0, "1"), (1.25, "1.2"), (-3.06, "-3.1"), (100.0, "100")]
)
def test_lengths_are_short(value, said):
    """Lengths carry a tenth at most, and no minus before nothing."""
    assert svg.number(value) == said
