"""Are lines found in a stream, whichever way they are parted?"""

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.logs import framing
from falsework.logs.framing import LONGEST, lines


def parted(data, **more):
    """The lines of some bytes."""
    return list(lines(io.BytesIO(data), **more))


def test_lines_that_end_and_lines_that_say_their_length():
    """RFC 6587: both ways in one stream, with a line feed in a line that says its length."""
    data = b"<1>Mar  1 00:00:00 a: x\n12 <1>one\ntwo x11 <1>Mar  1 b<1>c\r\n\nlast"
    assert parted(data) == [
        (0, b"<1>Mar  1 00:00:00 a: x"),
        (24, b"<1>one\ntwo x"),
        (39, b"<1>Mar  1 b"),
        (53, b"<1>c"),
        (60, b"last"),
    ]


@pytest.mark.parametrize("data", [b"99 <1> bottles\n", b"2 <1> bottles\n", b"99999 <1> x\n", b"12 things\n"])
def test_a_length_that_leads_nowhere_is_text(data):
    """Too long, too short, or no priority behind it: the line ends with its line feed."""
    assert parted(data) == [(0, data[:-1])]


def test_a_line_without_end_is_cut():
    """Only the beginning of a very long line is read, and the next one is found again."""
    data = b"x" * (LONGEST * 9) + b"\nnext\n"
    assert parted(data) == [(0, b"x" * LONGEST), (LONGEST * 9 + 1, b"next")]
    assert parted(b"y" * (LONGEST * 9)) == [(0, b"y" * LONGEST)]


class Drops:
    """A stream that gives a few bytes at a time."""

    def __init__(self, data, size):
        self.data, self.size = io.BytesIO(data), size

    def read(self, _):
        """As many as it gives."""
        return self.data.read(self.size)


@given(
    texts=st.lists(st.binary(max_size=30).map(lambda each: each.replace(b"\n", b"").replace(b"\r", b""))),
    counted=st.lists(st.booleans(), min_size=20),
    size=st.integers(1, 50),
)
@settings(max_examples=60, deadline=None)
def test_what_was_written_is_read(texts, counted, size):
    """Lines written in either way come back, however the stream is cut, each from the place it is told to begin at."""
    data, wanted = b"", []
    for number, text in enumerate(texts):
        text = b"<7>" + text
        way = counted[number % len(counted)]
        wanted.append((len(data), text))
        data += b"%d %s" % (len(text), text) if way else text + b"\n"
    found = list(lines(Drops(data, size)))
    assert found == wanted


def test_little_is_held(monkeypatch):
    """Of a stream of many blocks never more than a few are in memory: the buffer is what is held."""
    monkeypatch.setattr(framing, "BLOCK", 1024)
    monkeypatch.setattr(framing, "LONGEST", 256)
    asked = []

    class Counting(io.BytesIO):
        def read(self, size=-1):
            """Counts what is asked for."""
            asked.append(size)
            return super().read(size)

    data = b"a line of a log\n" * 10_000
    assert len(list(lines(Counting(data)))) == 10_000
    assert set(asked) == {1024}
