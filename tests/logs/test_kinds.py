"""Do lines that say the same count as one kind?"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.logs import kinds
from falsework.logs.kinds import MOST_LETTERS, bared


def says(text):
    """The kind of a text."""
    return kinds.said(bared(text))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("worker 12 took 3.5 s", "worker 7 took 12.25 s"),
        ("from 192.0.2.1:5353 to 198.51.100.77:53", "from 203.0.113.9:1 to 192.0.2.200:65535"),
        ("from 2001:db8::1 ok", "from 2001:db8:0:1:2:3:4:abcd ok"),
        ("lease de:ad:be:ef:00:01", "lease 02:00:5e:10:aa:ff"),
        ("id=7c9e6679-7425-40de-944b-e07fc1f90ae7", "id=ffffffff-aaaa-bbbb-cccc-ddddeeeeffff"),
        ("at 0xdeadbeef", "at 0x7f"),
        ("commit 3f2a1c9e done", "commit 1234567 done"),
        ("token eyJhbGciOiJIUzI1NiJ9", "token k3jd92kdk20dk2kd02kd"),
        ("read  3\tblocks", "read 5 blocks"),
        ("2026-03-01T04:05:06.789+01:00 again", "2026-12-31T23:59:59.1+01:00 again"),
    ],
)
def test_what_differs_from_time_to_time_is_left_out(one, other):
    """Numbers, addresses of all sorts, names of one time, blanks."""
    assert says(one) == says(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("disk is full", "disk is fine"),
        ("sda failed", "sdb failed"),
        ("facade up", "decade up"),
        ("n = 3", "n < 3"),
    ],
)
def test_what_says_something_else_is_another_kind(one, other):
    """Words count, also those that could be read as numbers to the base of sixteen."""
    assert says(one) != says(other)


@given(text=st.text(max_size=200), numbers=st.lists(st.integers(0, 99_999), max_size=5))
@settings(max_examples=50, deadline=None)
def test_it_is_short_and_the_same_every_time(text, numbers):
    """A kind depends on the text alone, not on what was seen before; any numbers give one kind."""
    said = says(text)
    assert says(text) == said
    assert len(said) <= MOST_LETTERS
    assert {says(f"x {each} y") for each in numbers} <= {"x # y"}


def test_long_texts_count_by_their_beginning():
    """However long a line is, little of it is looked at and kept."""
    assert len(bared("z" * 50_000)) <= 400
    assert len(says("word " * 10_000)) <= MOST_LETTERS
