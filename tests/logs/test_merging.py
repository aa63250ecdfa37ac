"""Is what is merged in order, whatever had to go to disk?"""

import errno
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.errors import LimitError
from falsework.logs import merging
from falsework.logs.line import Line
from falsework.logs.merging import merged


def made(times):
    """Lines of a few files with these times, a file after the other; (time, file) as given."""
    places = {}
    found = []
    for at, file in sorted(times, key=lambda each: each[1]):
        places[file] = places.get(file, -1) + 1
        found.append(Line(at, file, places[file], "h", "a", 6, "x" * (at % 50)))
    return found


@given(
    times=st.lists(st.tuples(st.integers(0, 40), st.integers(0, 5)), max_size=200),
    most=st.sampled_from([0, 400, 3_000, 1 << 20]),
)
@settings(max_examples=60, deadline=None)
def test_it_is_what_sorting_all_would_give(times, most):
    """Against Python's own stable sort by time alone: all lines, once, in the order of files and of lines in them."""
    lines = made(times)
    assert list(merged(lines, most_held=most)) == sorted(lines, key=lambda line: line.at_us)


@given(times=st.lists(st.tuples(st.integers(0, 40), st.integers(0, 5)), min_size=20, max_size=80))
@settings(max_examples=20, deadline=None)
def test_many_runs_are_merged_into_one(times):
    """However many runs there are, few are open at once, and the order is the same."""
    lines = made(times)
    before, merging.MOST_RUNS = merging.MOST_RUNS, 3
    try:
        assert list(merged(lines, most_held=700)) == sorted(lines, key=lambda line: line.at_us)
    finally:
        merging.MOST_RUNS = before


def test_what_is_given_up_leaves_nothing_open():
    """Runs on disk are closed when the iteration is."""
    lines = merged((Line(9 - each % 10, 0, each, "h", "a", 6, "x") for each in range(100)), most_held=1)
    assert next(lines).at_us == 0
    lines.close()


def test_a_full_disk_is_told(monkeypatch):
    """No room for runs: what to do is said, and what was opened is closed."""

    class Full(io.BytesIO):
        def write(self, _):
            """As a full disk answers."""
            raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(merging.tempfile, "TemporaryFile", lambda **_: Full())
    with pytest.raises(
        LimitError, match=r"no room for them in .* \(no space left on device\)\. Ask about a shorter time"
    ):
        list(merged(made([(1, 0)] * 9), most_held=1))
