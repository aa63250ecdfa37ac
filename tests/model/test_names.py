"""Counted names, patterns and counters."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.errors import LimitError
from falsework.model import names


def spread(name):
    """The names alone."""
    return [each for each, _ in names.spread(name)]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("desk", ["desk"]),
        ("desk-1..3", ["desk-1", "desk-2", "desk-3"]),
        ("desk-08..10", ["desk-08", "desk-09", "desk-10"]),
        ("twin-1..2.a..b", ["twin-1.a", "twin-1.b", "twin-2.a", "twin-2.b"]),
        ("a..c", ["a", "b", "c"]),
        ("d1..d3", ["d1", "d2", "d3"]),
        ("desk-1..desk-2", ["desk-1", "desk-2"]),
        ("3..3", ["3"]),
        ("row 1..2 left", ["row 1 left", "row 2 left"]),
    ],
)
def test_a_counted_name_stands_for_each_of_its_names(name, expected):
    """Numbers and letters count up, zeros in front stay, later counters run fastest."""
    assert spread(name) == expected


def test_each_name_knows_its_counters():
    """A name carries the value of each of its counters, first counter first."""
    assert names.spread("twin-1..2.a..b")[2] == ("twin-2.a", ("2", "a"))
    assert names.spread("desk") == (("desk", ()),)


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("desk-3..1", "the range 3..1 runs backwards"),
        ("desk-c..a", "the range c..a runs backwards"),
        ("desk-1..c", "the range 1..c mixes a number with a letter"),
    ],
)
def test_a_range_without_sense_is_refused(name, what):
    """A range that runs backwards, or from a number to a letter, is an error that shows the range."""
    with pytest.raises(ValueError, match=what):
        names.spread(name)


def test_a_word_with_dots_in_its_midst_is_no_range():
    """Letters count only where they stand alone, so that a slip does not invent names."""
    assert spread("desk..lamp") == ["desk..lamp"]
    assert not names.sound("desk..lamp")


@pytest.mark.parametrize("name", ["n-1..1000000000", "n-1..1000.1..1000", "1..10" * 60])
def test_too_many_names_are_refused_before_they_are_made(name):
    """A name that stands for too much, or is too long, meets a bound and not the memory."""
    with pytest.raises(LimitError):
        names.spread(name)


def test_as_many_names_as_a_lab_may_have_things():
    """The bound itself is still taken."""
    assert len(names.spread(f"n-1..{names.MOST}")) == names.MOST


@given(st.integers(0, 10**6), st.integers(0, 300))
def test_a_range_has_as_many_names_as_its_ends_say(low, more):
    """low..high stands for high - low + 1 different names, ends included."""
    found = spread(f"n-{low}..{low + more}")
    assert len(set(found)) == more + 1
    assert found[0] == f"n-{low}"
    assert found[-1] == f"n-{low + more}"


@pytest.mark.parametrize("name", ["desk-1", "mast link", "twin-1.a", "Ä", "1", "x" * 200])
def test_ordinary_names_are_sound(name):
    """Letters, digits, dashes, dots and inner blanks make a name."""
    assert names.sound(name)


@pytest.mark.parametrize("name", ["", " a", "a ", "a,b", "a:b", "a*", "#a", "[a", "a}", "a -- b", "x" * 201])
def test_signs_of_the_language_are_no_names(name):
    """What the language uses as signs, what is empty and what is too long is no name."""
    assert not names.sound(name)


def test_signs_stand_for_counters():
    """# is the first counter of the entry, ## the second, each as often as it stands there."""
    assert names.counted("strip-#.##.#", ("1", "b")) == "strip-1.b.1"
    assert names.counted("strip", ("1",)) == "strip"


@pytest.mark.parametrize(
    ("counters", "what"),
    [
        ((), "## stands for counter 2 of the name, which has none"),
        (("1",), "## stands for counter 2 of the name, which has only 1"),
    ],
)
def test_a_counter_that_is_not_there_is_refused(counters, what):
    """More signs than counters are an error that tells how many there are."""
    with pytest.raises(ValueError, match=what):
        names.counted("strip-##", counters)


def slow_match(reference, name):
    """Whether a pattern fits, piece by piece and by trying everything."""
    pieces, parts = reference.split("."), name.split(".")
    return len(pieces) == len(parts) and all(map(slow_piece, pieces, parts))


def slow_piece(pattern, text):
    """Whether a piece without dots fits."""
    if not pattern or not text:
        return pattern == text
    if pattern[0] != "*":
        return pattern[0] == text[0] and slow_piece(pattern[1:], text[1:])
    return any(slow_piece(pattern[1:], text[taken:]) for taken in range(1, len(text) + 1))


@given(st.text("ab*.", max_size=8), st.text("ab.", max_size=10))
def test_a_pattern_fits_as_trying_everything_says(reference, name):
    """`*` stands for one or more characters but the dot; the quick way agrees with the plain one."""
    assert bool(names.pattern(reference).fullmatch(name)) == slow_match(reference, name)
    assert bool(names.matcher(reference)(name)) == slow_match(reference, name)


def test_many_stars_are_answered():
    """A pattern made to be slow is answered like any other."""
    assert not names.pattern("*a" * 60 + "b").fullmatch("a" * 200)
