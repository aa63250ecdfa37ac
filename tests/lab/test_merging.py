from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.lab.merging import CLASH, merged

OLD = "lab: x\na: 1\nb: 2\nc: 3\nd: 4\n"


def test_changes_of_different_lines_are_both_taken():
    """One side changed the first value, the other added at the end."""
    mine, theirs = OLD.replace("a: 1", "a: 10"), OLD + "e: 5\n"
    assert merged(OLD, mine, theirs).text == "lab: x\na: 10\nb: 2\nc: 3\nd: 4\ne: 5\n"
    assert merged(OLD, mine, theirs).clashes == 0


def test_where_both_changed_the_same_line_one_stays_and_the_other_is_a_comment():
    """Both are there to be joined by hand, and the text says what mine said."""
    told = merged(OLD, OLD.replace("b: 2", "b: 20"), OLD.replace("b: 2", "b: 21"))
    assert told.text == OLD.replace("b: 2\n", "# on disk: b: 21\nb: 20\n")
    assert told.clashes == 1


def test_what_the_other_side_took_away_is_said():
    """A line that is changed here and gone there stays, and a comment says so."""
    told = merged(OLD, OLD.replace("c: 3", "c: 33"), OLD.replace("c: 3\n", ""))
    assert told.text == OLD.replace("c: 3\n", "# on disk: (these lines are gone)\nc: 33\n")


def test_comments_are_as_far_in_as_what_they_tell():
    """So that they read as part of the keys around them; endings of lines stay."""
    old = "a:\r\n  b: 1\r\n"
    told = merged(old, "a:\r\n  b: 2\r\n", "a:\r\n  b: 3\r\n")
    assert told.text == "a:\r\n  # on disk: b: 3\r\n  b: 2\r\n"


lines = st.lists(st.sampled_from("abcd"), max_size=8).map(lambda each: "".join(f"{line}\n" for line in each))


@settings(deadline=None, max_examples=200)
@given(lines, lines, lines)
def test_merging_keeps_what_only_one_side_did(old, mine, theirs):
    """With one side unchanged the other's text comes out, the same change on both sides is taken once, and
    without a clash nobody's fresh line is missing.
    """
    assert merged(old, mine, old).text == mine
    assert merged(old, old, theirs).text == theirs
    assert merged(old, mine, mine) == merged(old, mine, old)
    told = merged(old, mine, theirs)
    fresh = (set(mine.split("\n")) | set(theirs.split("\n"))) - set(old.split("\n"))
    assert all(line in told.text for line in fresh)
    assert told.clashes == 0 or CLASH.strip() in told.text


def test_very_many_equal_lines_are_joined_too():
    """What both added is there, however often a line comes."""
    old = "x\n" * 9_000
    told = merged(old, "mine\n" + old, old + "theirs\n")
    assert told.text == "mine\n" + old + "theirs\n"
    assert told.clashes == 0
